/**
 * Mends what the protocol library itself would stumble over, before it sees it.
 *
 * `initialize` without capabilities breaks the protocol, and clients written by hand in an afternoon send it all the same.
 */

import type { ConnectionOptions, Message } from 'vscode-languageserver';

export const tolerantMessages: ConnectionOptions = {
  messageStrategy: {
    handleMessage: (message, next) => next(isInitialize(message) ? withCapabilities(message) : message),
  },
};

type Initialize = Message & { readonly method: string; readonly params?: unknown };

function isInitialize(message: Message): message is Initialize {
  return 'method' in message && message.method === 'initialize';
}

function withCapabilities(message: Initialize): Message {
  const params = isObject(message.params) ? message.params : {};
  const changed = { ...params, capabilities: isObject(params['capabilities']) ? params['capabilities'] : {} };
  return Object.assign(message, { params: changed });
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
