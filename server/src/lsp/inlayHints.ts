/**
 * Lags as inlay hints; the tooltip comes when the client resolves one.
 */

import type { InlayHint, InlayHintParams } from 'vscode-languageserver';
import { hoverOfClip } from '../core/views/hover.ts';
import { inlayHintsIn } from '../core/views/inlayHints.ts';
import { pageAsMarkdown } from '../core/views/page.ts';
import { auditedDocument } from './auditedDocument.ts';
import { rangesOf, spanOf } from './positions.ts';
import type { Session } from './session.ts';

/** What a hint carries so that it can be resolved by a server that never saw it. */
interface HintData {
  readonly uri: string;
  readonly version: number;
  readonly clip: number;
}

export async function inlayHints(session: Session, { textDocument, range }: InlayHintParams): Promise<InlayHint[]> {
  const audited = await auditedDocument(session, textDocument.uri);
  if (audited === null || audited.result === null) return [];
  const { document, result } = audited;
  const { columnUnit } = session.abilities;
  const { inlayHints: choice } = await session.display.of(document.uri);
  const hints = inlayHintsIn(result, spanOf(document.index, range, columnUnit), choice);
  const ranges = rangesOf(
    document.index,
    hints.map(({ offset }) => ({ start: offset, end: offset })),
    columnUnit,
  );
  return hints.map(({ label, clip }, at) => {
    const position = (ranges[at] as (typeof ranges)[number]).start;
    const data: HintData | null = clip === null ? null : { uri: document.uri, version: document.version, clip };
    return { position, label, paddingLeft: true, ...(data === null ? {} : { data }) };
  });
}

/** The hint unchanged when its text has moved on: the client asks for hints anew then. */
export async function resolveInlayHint(session: Session, hint: InlayHint): Promise<InlayHint> {
  const { uri, version, clip } = (hint.data ?? {}) as Partial<HintData>;
  if (typeof uri !== 'string' || typeof clip !== 'number') return hint;
  const audited = await auditedDocument(session, uri);
  if (audited === null || audited.result === null || audited.document.version !== version) return hint;
  const page = hoverOfClip(audited.result, clip, audited.project.reason);
  return page === null ? hint : { ...hint, tooltip: { kind: 'markdown', value: pageAsMarkdown(page) } };
}
