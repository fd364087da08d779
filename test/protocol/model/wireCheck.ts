/**
 * Watches both directions of a connection and notes every breach of the protocol by the server.
 *
 * Sources: JSON-RPC 2.0 (shape of messages, one answer for each request); Language Server Protocol 3.17, 'Base Protocol', 'Partial
 * Result Progress' (parts come before the answer, which is empty then), 'Work Done Progress' (tokens). Shapes come from the
 * protocol's meta-model (protocolModel.ts), what a client takes from its capabilities (clientPromises.ts).
 */

import { faultsOf } from './checkValue.ts';
import { type Capabilities, capabilitiesIn, neededFor, unpromised } from './clientPromises.ts';
import { reference } from './metaModel.ts';
import { type ProtocolModel, protocolModel } from './protocolModel.ts';

// biome-ignore lint/suspicious/noExplicitAny: what is checked here may be anything
type Any = any;

export interface WireCheck {
  /** A message of the client, as it is sent. */
  readonly sent: (message: Any) => void;
  /** A message of the server, as it was received. */
  readonly received: (message: Any) => void;
  readonly breaches: string[];
  /** Methods of the requests that still wait for their answer. */
  readonly unanswered: () => readonly string[];
}

interface Asked {
  readonly method: string;
  readonly partialResultToken: unknown;
  readonly workDoneToken: unknown;
}

interface Watched {
  readonly model: ProtocolModel;
  readonly open: Map<unknown, Asked>;
  /** Tokens that parts were sent for. */
  readonly partTokens: Set<unknown>;
  /** Tokens that the server made. */
  readonly ownTokens: Set<unknown>;
  can: Capabilities;
  /** True once the client used or asked for anything of ours beyond the protocol. */
  speaksOurs: boolean;
}

export function createWireCheck(): WireCheck {
  const breaches: string[] = [];
  const watched: Watched = {
    model: protocolModel(),
    open: new Map(),
    partTokens: new Set(),
    ownTokens: new Set(),
    can: capabilitiesIn({}),
    speaksOurs: false,
  };
  return {
    sent: (message) => noteSent(watched, message),
    received: (message) => breaches.push(...faultsOfMessage(watched, message)),
    breaches,
    unanswered: () => [...watched.open.values()].map(({ method }) => method),
  };
}

function noteSent(watched: Watched, { id, method, params }: Any): void {
  if (typeof method !== 'string') return;
  if (method.startsWith('afterclap/')) watched.speaksOurs = true;
  if (method === 'initialize') {
    watched.can = capabilitiesIn(params?.capabilities);
    if (params?.initializationOptions !== undefined) watched.speaksOurs = true;
  }
  if (id === undefined) return;
  watched.open.set(id, { method, partialResultToken: params?.partialResultToken, workDoneToken: params?.workDoneToken });
}

function faultsOfMessage(watched: Watched, message: Any): readonly string[] {
  if (message?.jsonrpc !== '2.0') return ["a message whose jsonrpc is not '2.0'"];
  const { id, method } = message;
  if (typeof method !== 'string') {
    return [
      ...foreignMembers(message, ['jsonrpc', 'id', 'error' in message ? 'error' : 'result']),
      ...faultsOfAnswer(watched, message),
    ];
  }
  const known = id === undefined ? ['jsonrpc', 'method', 'params'] : ['jsonrpc', 'id', 'method', 'params'];
  const faults = method === '$/progress' ? faultsOfProgress(watched, message.params) : faultsOfOwnMessage(watched, message);
  return [...foreignMembers(message, known), ...faults.map((fault) => `${method}: ${fault}`)];
}

function foreignMembers(message: object, known: readonly string[]): readonly string[] {
  const others = Object.keys(message).filter((name) => !known.includes(name));
  return others.map((name) => `a message has the member '${name}' besides ${known.join(', ')}`);
}

/** The codes that JSON-RPC and the protocol define or leave to servers. */
function isErrorCode(code: unknown): boolean {
  return Number.isInteger(code) && /^-32(?:[06]\d\d|700|80[0-3])$/.test(String(code));
}

function faultsOfAnswer({ model, open, partTokens, can }: Watched, message: Any): readonly string[] {
  const { id, result, error } = message;
  // What could not be read has no number to answer to.
  if (id === null && error !== undefined) return [];
  const asked = open.get(id);
  if (asked === undefined) return [`an answer to ${JSON.stringify(id)}, which was not asked, or is answered already`];
  open.delete(id);
  const { method, partialResultToken } = asked;
  if (error !== undefined) {
    const isRight = isErrorCode(error.code) && typeof error.message === 'string' && error.message !== '';
    return isRight ? [] : [`${method}: the error is ${JSON.stringify(error)}`];
  }
  if (!('result' in message)) return [`${method}: is answered with neither result nor error`];
  const known = model.methods.get(method);
  if (known === undefined) return [];
  const faults = [...faultsOf(model, result, known.result, 'result'), ...unpromised(method, result, can)];
  const rest = Array.isArray(result) ? result : (result?.items ?? []);
  if (partTokens.has(partialResultToken) && rest.length > 0) faults.push('was answered in parts, and then not with nothing');
  return faults.map((fault) => `${method}: ${fault}`);
}

function faultsOfProgress({ model, open, partTokens, ownTokens }: Watched, params: Any): readonly string[] {
  const token = params?.token;
  if (token === undefined) return ['has no token'];
  const asked = [...open.values()];
  const whole = asked.find(({ partialResultToken }) => partialResultToken === token);
  if (whole !== undefined) {
    partTokens.add(token);
    const known = model.methods.get(whole.method);
    if (known === undefined) return [];
    if (known.partialResult === null) return [`a part of ${whole.method}, which is answered whole`];
    return faultsOf(model, params.value, known.partialResult, `a part of ${whole.method}`);
  }
  const isWork = ownTokens.has(token) || asked.some(({ workDoneToken }) => workDoneToken === token);
  if (!isWork) return [`for ${JSON.stringify(token)}, which no open request gave`];
  const items = ['Begin', 'Report', 'End'].map((name) => reference(`WorkDoneProgress${name}`));
  return faultsOf(model, params.value, { kind: 'or', items }, 'value');
}

function faultsOfOwnMessage({ model, ownTokens, can, speaksOurs }: Watched, message: Any): readonly string[] {
  const { id, method, params } = message;
  if (method.startsWith('afterclap/')) return speaksOurs ? [] : ['is sent to a client that never asked for it'];
  const known = model.methods.get(method);
  if (known === undefined) return ['is no method of the protocol'];
  const faults = [...faultsOf(model, params ?? null, known.params, 'params'), ...unpromised(method, params, can)];
  if (known.isRequest !== (id !== undefined)) faults.push(known.isRequest ? 'is sent as a notification' : 'is sent as a request');
  if (known.direction === 'clientToServer') faults.push('is a message of clients');
  const needed = neededFor(method, known.clientCapability);
  if (known.isRequest && needed !== null && !can(needed)) faults.push(`though the client has no ${needed}`);
  if (method === 'window/workDoneProgress/create') ownTokens.add(params?.token);
  for (const { method: registered, registerOptions } of params?.registrations ?? []) {
    const about = model.methods.get(registered);
    if (about === undefined) faults.push(`of ${registered}, which is no method of the protocol`);
    else if (can(`${about.clientCapability}.dynamicRegistration`) !== true) faults.push(`of ${registered}, not offered`);
    else if (about.registrationOptions !== null)
      faults.push(...faultsOf(model, registerOptions ?? null, about.registrationOptions, registered));
    else if (registerOptions !== undefined) faults.push(`of ${registered}, which takes no options`);
  }
  return faults;
}
