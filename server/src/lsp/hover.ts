/**
 * The hover of a place in a timeline or a report, in the form the client can show.
 */

import { type CancellationToken, type Hover, type HoverParams, MarkupKind } from 'vscode-languageserver';
import { type Hover as HoverView, hoverAt } from '../core/views/hover.ts';
import { type Page, pageAsMarkdown, pageAsText } from '../core/views/page.ts';
import { reportHoverAt } from '../core/views/reportHover.ts';
import { withUses } from '../core/views/useSummary.ts';
import { reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { subjectUnder, usesOf } from './navigation.ts';
import { offsetOf, rangeOf } from './positions.ts';
import type { Session } from './session.ts';

export async function hover(session: Session, params: HoverParams, token: CancellationToken): Promise<Hover | null> {
  const document = session.store.get(params.textDocument.uri);
  const audited = document === null ? null : await session.audits.of(document);
  if (document === null || audited === null) return null;
  const { columnUnit, rendersMarkdown } = session.abilities;
  const offset = offsetOf(document.index, params.position, columnUnit);
  const alone = hoverOf(audited, offset);
  if (alone === null) return null;
  const found =
    audited.result === null ? { ...alone, page: await withUsesOf(session, audited, offset, alone.page, token) } : alone;
  const contents = rendersMarkdown
    ? { kind: MarkupKind.Markdown, value: pageAsMarkdown(found.page) }
    : { kind: MarkupKind.PlainText, value: pageAsText(found.page) };
  return found.span === null ? { contents } : { contents, range: rangeOf(document.index, found.span, columnUnit) };
}

function hoverOf({ document, result, project }: AuditedDocument, offset: number): HoverView | null {
  if (result !== null) return hoverAt(result, offset, project.reason);
  const report = reportOf(document);
  return report === null ? null : reportHoverAt(report, offset);
}

/** A hover must not keep a person waiting for a large workspace; what was not looked into by then is said. */
const LONGEST_SEARCH_MS = 300;

async function withUsesOf(
  session: Session,
  audited: AuditedDocument,
  offset: number,
  page: Page,
  token: CancellationToken,
): Promise<Page> {
  const subject = subjectUnder(audited, offset);
  if (subject === null) return page;
  const { timers } = session.ports;
  const startedAt = timers.now();
  let [clipCount, timelineCount, unseenCount] = [0, 0, 0];
  for await (const { kind, uses, unseen } of usesOf(session, subject, token)) {
    if (kind === 'timeline' && uses.length > 0) {
      clipCount += uses.length;
      timelineCount += 1;
    }
    if (timers.now() - startedAt < LONGEST_SEARCH_MS) continue;
    unseenCount = unseen;
    break;
  }
  return withUses(page, { clipCount, timelineCount, unseenCount });
}
