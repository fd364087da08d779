/**
 * The hover of a place in a timeline or a report, in the form the client can show.
 */

import { type Hover, type HoverParams, MarkupKind } from 'vscode-languageserver';
import { readReport } from '../core/alignment/readReport.ts';
import { type Hover as HoverView, hoverAt } from '../core/views/hover.ts';
import { pageAsMarkdown, pageAsText } from '../core/views/page.ts';
import { reportHoverAt } from '../core/views/reportHover.ts';
import type { AuditedDocument } from './audits.ts';
import { documentKindOf, fileNameOf } from './documentKind.ts';
import { offsetOf, rangeOf } from './positions.ts';
import type { Session } from './session.ts';

export async function hover(session: Session, params: HoverParams): Promise<Hover | null> {
  const document = session.store.get(params.textDocument.uri);
  const audited = document === null ? null : await session.audits.of(document);
  if (document === null || audited === null) return null;
  const { columnUnit, rendersMarkdown } = session.abilities;
  const offset = offsetOf(document.index, params.position, columnUnit);
  const found = hoverOf(audited, offset);
  if (found === null) return null;
  const contents = rendersMarkdown
    ? { kind: MarkupKind.Markdown, value: pageAsMarkdown(found.page) }
    : { kind: MarkupKind.PlainText, value: pageAsText(found.page) };
  return found.span === null ? { contents } : { contents, range: rangeOf(document.index, found.span, columnUnit) };
}

function hoverOf({ document, result, project }: AuditedDocument, offset: number): HoverView | null {
  if (result !== null) return hoverAt(result, offset, project.reason);
  if (documentKindOf(document.uri, null)?.kind !== 'alignment') return null;
  return reportHoverAt(readReport(fileNameOf(document.uri), document.index.text), offset);
}
