/**
 * The life of a server, and what happens when something goes wrong in it.
 *
 * Requests before `initialize` and after `shutdown` are refused as the protocol says. A bug is caught once per request:
 * logged with its stack, told to the client as one quiet note, answered with an error. The server goes on.
 */

import { type CancellationToken, type Connection, ErrorCodes, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { PROBLEM_NOTIFICATION, type ProblemNote } from './messages.ts';
import { tell } from './tell.ts';

type Stage = 'starting' | 'running' | 'stopped';

export interface LifeCycle {
  readonly stage: () => Stage;
  readonly enter: (stage: Stage) => void;
  /** Throws the protocol's error when the server may not answer now. */
  readonly refuseUnlessRunning: () => void;
  /** A handler of requests that refuses, logs and answers as above. */
  readonly request: <Params, Answer>(
    name: string,
    handler: (params: Params, token: CancellationToken) => Answer | Promise<Answer>,
  ) => (params: Params, token: CancellationToken) => Promise<Answer>;
  /** A handler of notifications: nobody hears its errors, so they are only logged. */
  readonly notification: <Params>(name: string, handler: (params: Params) => void | Promise<void>) => (params: Params) => void;
  /** Logs a bug and tells the client quietly. */
  readonly reportBug: (name: string, error: unknown) => void;
}

export function createLifeCycle(connection: Connection, hearsProblems: () => boolean): LifeCycle {
  let stage: Stage = 'starting';
  const refuseUnlessRunning = (): void => {
    if (stage === 'starting') throw new ResponseError(ErrorCodes.ServerNotInitialized, 'The server was not initialized yet.');
    if (stage === 'stopped') throw new ResponseError(ErrorCodes.InvalidRequest, 'The server was shut down.');
  };
  const reportBug = (name: string, error: unknown): void => {
    const detail = error instanceof Error ? (error.stack ?? error.message) : String(error);
    connection.console.error(`${name} failed: ${detail}`);
    const note: ProblemNote = { message: `${name} failed; the log has the details.` };
    if (hearsProblems()) tell(connection.sendNotification(PROBLEM_NOTIFICATION, note));
  };
  return {
    stage: () => stage,
    enter: (next) => {
      stage = next;
    },
    refuseUnlessRunning,
    reportBug,
    request: (name, handler) => async (params, token) => {
      refuseUnlessRunning();
      refuseIfCancelled(token);
      try {
        return await handler(params, token);
      } catch (error) {
        if (error instanceof ResponseError) throw error;
        reportBug(name, error);
        throw new ResponseError(
          ErrorCodes.InternalError,
          `${name} failed: ${error instanceof Error ? error.message : String(error)}`,
        );
      }
    },
    notification: (name, handler) => (params) => {
      if (stage !== 'running') return;
      void (async () => {
        try {
          await handler(params);
        } catch (error) {
          reportBug(name, error);
        }
      })();
    },
  };
}

export function refuseIfCancelled(token: CancellationToken): void {
  if (token.isCancellationRequested)
    throw new ResponseError(LSPErrorCodes.RequestCancelled, 'The client cancelled this request.');
}
