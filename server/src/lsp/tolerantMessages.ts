/**
 * Mends what the protocol library or our handlers would stumble over, before they see it.
 *
 * `initialize` without capabilities breaks the protocol, and clients written by hand in an afternoon send it all the same: it is
 * taken for a client that can do nothing. Parameters that a handler can't work with are handed to one place instead, which answers
 * requests with the protocol's error and logs notifications (`bindIllFormed`).
 */

import { type Connection, type ConnectionOptions, ErrorCodes, type Message, ResponseError } from 'vscode-languageserver';
import type { LifeCycle } from './lifeCycle.ts';
import { illFormedReason } from './wellFormed.ts';

const ILL_FORMED = 'afterclap/illFormed';

interface IllFormed {
  readonly method: string;
  readonly reason: string;
}

export const tolerantMessages: ConnectionOptions = {
  messageStrategy: {
    handleMessage: (message, next) => next(isCall(message) ? mended(message) : message),
  },
};

/** Answers, or logs, what was ill-formed. */
export function bindIllFormed(connection: Connection, { request, notification }: LifeCycle): void {
  connection.onRequest(
    ILL_FORMED,
    request('A request', ({ method, reason }: IllFormed): never => {
      throw new ResponseError(ErrorCodes.InvalidParams, `${method}: ${reason}`);
    }),
  );
  connection.onNotification(
    ILL_FORMED,
    notification('A notification', ({ method, reason }: IllFormed) => {
      connection.console.warn(`${method} was ignored. ${reason}`);
    }),
  );
}

type Call = Message & { readonly method: string; readonly params?: unknown };

function isCall(message: unknown): message is Call {
  return isObject(message) && typeof message['method'] === 'string';
}

function mended(message: Call): Message {
  const { method, params } = message;
  if (method === 'initialize') {
    const given = isObject(params) ? params : {};
    const capabilities = isObject(given['capabilities']) ? given['capabilities'] : {};
    return Object.assign(message, { params: { ...given, capabilities } });
  }
  const reason = illFormedReason(method, params);
  return reason === null
    ? message
    : Object.assign(message, { method: ILL_FORMED, params: { method, reason } satisfies IllFormed });
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
