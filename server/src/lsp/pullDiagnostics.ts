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
  return reportOf(published, params.previousResultId);
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
