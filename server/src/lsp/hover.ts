/**
 * The hover of a place in a timeline or a report, in the form the client can show.
 */

import { type Hover, type HoverParams, MarkupKind } from 'vscode-languageserver';
import { hoverAt } from '../core/views/hover.ts';
import { pageAsMarkdown, pageAsText } from '../core/views/page.ts';
import { offsetOf, rangeOf } from './positions.ts';
import type { Session } from './session.ts';

export async function hover(session: Session, params: HoverParams): Promise<Hover | null> {
  const document = session.store.get(params.textDocument.uri);
  const audited = document === null ? null : await session.audits.of(document);
  if (document === null || audited === null || audited.result === null) return null;
  const { columnUnit, rendersMarkdown } = session.abilities;
  const offset = offsetOf(document.index, params.position, columnUnit);
  const found = hoverAt(audited.result, offset, audited.project.reason);
  if (found === null) return null;
  const contents = rendersMarkdown
    ? { kind: MarkupKind.Markdown, value: pageAsMarkdown(found.page) }
    : { kind: MarkupKind.PlainText, value: pageAsText(found.page) };
  return found.span === null ? { contents } : { contents, range: rangeOf(document.index, found.span, columnUnit) };
}
