/**
 * Diagnostics for clients that ask for them.
 *
 * A question about a text that is being typed waits out the pause, and is dropped when the client cancels it or the text
 * moves on: the client then keeps showing what it had, so nothing flickers.
 */

import {
  type CancellationToken,
  type DocumentDiagnosticParams,
  type DocumentDiagnosticReport,
  DocumentDiagnosticReportKind,
  LSPErrorCodes,
  ResponseError,
} from 'vscode-languageserver';
import type { Published } from './diagnosticRuns.ts';
import { pauseFor } from './pause.ts';
import type { Session } from './session.ts';
import type { OpenDocument } from './textStore.ts';

export async function pullDiagnostics(
  session: Session,
  params: DocumentDiagnosticParams,
  token: CancellationToken,
): Promise<DocumentDiagnosticReport> {
  const { uri } = params.textDocument;
  const document = session.store.get(uri);
  if (document === null) return reportOf(await session.runs.ofClosed(uri), params.previousResultId);
  await pauseFor(session.ports.timers, session.schedule.waitFor(uri), token);
  refuseIfMoved(session, uri, document);
  const published = await session.runs.of(document);
  refuseIfMoved(session, uri, document);
  const report = reportOf(published, params.previousResultId);
  if (!session.abilities.takesRelatedDocuments) return report;
  return { ...report, relatedDocuments: await reportsBeside(session, document) };
}

/** What is to be said of the alignment reports a timeline is checked with: they were read for it, and the client may show it. */
async function reportsBeside(
  { audits, runs, store }: Session,
  document: OpenDocument,
): Promise<NonNullable<DocumentDiagnosticReport['relatedDocuments']>> {
  const audited = await audits.of(document);
  const uris = (audited?.project.reports ?? []).map(({ path }) => path).filter((uri) => uri !== document.uri);
  const related = await Promise.all(
    uris.map(async (uri) => {
      const open = store.get(uri);
      const published = open === null ? await runs.ofClosed(uri) : await runs.of(open);
      return [uri, reportOf(published, undefined)] as const;
    }),
  );
  return Object.fromEntries(related);
}

function reportOf(published: Published | null, previousResultId: string | undefined): DocumentDiagnosticReport {
  if (published === null) return { kind: DocumentDiagnosticReportKind.Full, items: [] };
  const { resultId, items } = published;
  return resultId === previousResultId
    ? { kind: DocumentDiagnosticReportKind.Unchanged, resultId }
    : { kind: DocumentDiagnosticReportKind.Full, resultId, items: [...items] };
}

function refuseIfMoved(session: Session, uri: string, document: unknown): void {
  if (session.store.get(uri) === document) return;
  throw new ResponseError(LSPErrorCodes.ServerCancelled, 'The text has changed; ask again.', { retriggerRequest: true });
}
