/**
 * Each timeline of the workspace as a test: which there are, and what a check of one of them says.
 *
 * A check is the audit that diagnostics are made of, so that a list of tests and a list of problems can't disagree. What counts as
 * passed is the client's to say; here nothing is left out that it needs for that: how much was compared is told beside the findings.
 */

import type { CancellationToken, Connection } from 'vscode-languageserver';
import { verdictSummary } from '../core/views/verdictSummary.ts';
import type { LifeCycle } from './lifeCycle.ts';
import type { Session } from './session.ts';
import { statusOf } from './status.ts';
import { CHECK_TIMELINE_REQUEST, TIMELINES_REQUEST, type TimelineCheck } from './timelineTestMessages.ts';

export function bindTimelineTests(connection: Connection, { request }: LifeCycle, session: () => Session): void {
  connection.onRequest(
    TIMELINES_REQUEST,
    request('Listing the timelines', (_: object, token) => timelines(session(), token)),
  );
  connection.onRequest<TimelineCheck, unknown>(
    CHECK_TIMELINE_REQUEST,
    request('Checking a timeline', ({ uri }: { readonly uri: string }) => checkTimeline(session(), uri)),
  );
}

async function timelines(session: Session, token: CancellationToken): Promise<readonly string[]> {
  const files = await session.workspace.list(session, token);
  return files.filter(({ kind }) => kind === 'timeline').map(({ uri }) => uri);
}

async function checkTimeline(session: Session, uri: string): Promise<TimelineCheck> {
  const document = await session.workspace.document(session, uri);
  if (document === null) {
    const file = await session.workspace.files.readText(uri);
    return { isRead: false, reason: file.ok ? 'was written while it was read; check it again' : file.reason };
  }
  const audited = await session.audits.of(document);
  if (session.store.get(uri) === null) session.audits.closed(uri);
  const status = audited === null ? null : statusOf(audited);
  if (audited === null || audited.result === null || status === null) return { isRead: false, reason: 'is no timeline' };
  const findings = session.runs.ofAudited(audited).items;
  return { isRead: true, status, summary: verdictSummary(audited.result), findings };
}
