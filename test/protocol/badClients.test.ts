/**
 * Clients that break the protocol: bytes that are no messages, messages that are no requests, parameters that are missing or of other
 * types, changes out of order. What can be answered is, with the protocol's codes; what can not is said; and the server is not
 * confused by any of it.
 *
 * Sources: JSON-RPC 2.0, 'Error object'; Language Server Protocol 3.17, 'Base Protocol' and 'ErrorCodes'.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { FULL_CLIENT, openFile, WHOLE } from './features.ts';
import { protocolModel } from './model/protocolModel.ts';
import { type Message, SILENCE, type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

const INVALID_PARAMS = -32602;
const METHOD_NOT_FOUND = -32601;
const RENAME_REFUSED = -32803;

let workspace: Workspace;
let client: WireClient;

beforeEach(async () => {
  workspace = await makeWorkspace();
  client = await WireClient.ready({ capabilities: PULLING_CLIENT });
});

afterEach(async () => {
  client.kill();
  await workspace.discard();
});

async function codesOf(uri: string): Promise<readonly string[]> {
  return (await client.result('textDocument/diagnostic', { textDocument: { uri } })).items.map(({ code }: Wire) => code);
}

async function expectSound(): Promise<void> {
  expect(await codesOf(await openFile(client, workspace, 'interview.edl'))).toEqual(['sound-leads', 'sound-lags']);
}

function logged(pattern: RegExp): readonly Message[] {
  return client.all('window/logMessage').filter(({ params }) => pattern.test(params.message));
}

describe('bytes that are no messages', () => {
  it.each([
    ['text before the header', 'starting up\r\nContent-Length: 2\r\n\r\n{}', '"starting up" is no line of a header'],
    ['a header without a length', 'Content-Type: text/plain\r\n\r\n{}', 'has no Content-Length'],
    ['a length that is none', 'Content-Length: many\r\n\r\n{}', '"many" is no number of bytes'],
    ['a length of terabytes', 'Content-Length: 9999999999999\r\n\r\n{}', 'is more than the 536870912 bytes that can be read'],
  ])('end the server with 1 and a sentence, instead of leaving it waiting: %s', async (_, bytes, reason) => {
    client.sendBytes(bytes);
    expect(await client.exited).toBe(1);
    expect(client.standardError).toContain("afterclap: the messages of the client can't be told apart: ");
    expect(client.standardError).toContain(reason);
    expect(client.standardError.trim().split('\n')).toHaveLength(1);
  });

  it('in a sound frame are left out, and said', async () => {
    client.sendBytes('Content-Length: 11\r\n\r\n{"jsonrpc":');
    client.sendBytes(Buffer.from('Content-Length: 4\r\n\r\n{\xff\xfe}', 'latin1'));
    client.sendBytes('Content-Length: 0\r\n\r\n');
    await expectSound();
    expect(client.standardError.match(/a message of the client can't be read and was left out/g)).toHaveLength(3);
  });

  it('may come in any pieces', async () => {
    // The server has asked what it asks at the start, so that no answer gets in between the pieces.
    await expectSound();
    const body = JSON.stringify({ jsonrpc: '2.0', id: 'slow 🎬', method: 'textDocument/moniker', params: {} });
    client.check.sent(JSON.parse(body));
    const answer = client.next(({ id }) => id === 'slow 🎬', 'an answer to the slow client');
    for (const byte of Buffer.from(`content-length: ${Buffer.byteLength(body)}\r\n\r\n${body}`)) {
      client.sendBytes(Uint8Array.of(byte));
      if (byte % 16 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    expect((await answer).error?.code).toBe(METHOD_NOT_FOUND);
  });
});

const NO_MESSAGES = [
  7,
  null,
  'hello',
  true,
  [{ jsonrpc: '2.0', id: 1, method: 'shutdown' }],
  {},
  { id: 5 },
  { method: 5 },
  { result: 1 },
];

describe('messages that are neither request nor notification', () => {
  it('are passed over', async () => {
    for (const message of NO_MESSAGES) {
      const body = JSON.stringify(message);
      client.sendBytes(`Content-Length: ${body.length}\r\n\r\n${body}`);
      expect((await client.request('textDocument/moniker', {})).error?.code, body).toBe(METHOD_NOT_FOUND);
    }
    await expectSound();
  });

  it('among them answers that nobody waits for, and cancellations of nothing', async () => {
    client.send({ id: 999, result: {} });
    client.send({ id: 'x', error: { code: 1, message: 'no' } });
    client.notify('$/cancelRequest', { id: 999 });
    client.notify('$/cancelRequest', {});
    client.notify('$/progress', { token: 'nobody', value: {} });
    client.notify('$/setTrace', { value: 'verbose' });
    await expectSound();
  });
});

/** Missing, empty, of other types, and of other types further inside. */
const NO_PARAMS = [
  undefined,
  null,
  'textDocument',
  [1, 2],
  {},
  { textDocument: 'a', position: 3, range: [], positions: {}, context: 1, query: 2, command: [], newName: {} },
  { textDocument: { uri: {} }, position: {}, range: { start: 1 }, positions: [1], context: {}, color: {}, item: {}, data: 1 },
];

describe('requests with parameters that are none', () => {
  const methods = [...protocolModel().methods].filter(([, { serverCapability }]) => serverCapability !== null);
  const requests = methods.filter(([, { isRequest }]) => isRequest).map(([method]) => method);
  const notifications = methods.filter(([, { isRequest }]) => !isRequest).map(([method]) => method);

  it('are refused as such by every method, and no handler fails', async () => {
    for (const params of NO_PARAMS) {
      const answers = await Promise.all(requests.map(async (method) => [method, await client.request(method, params)] as const));
      for (const [method, { error }] of answers) {
        // 'workspace/diagnostic' reads nothing that has to be there.
        const allowed = method === 'workspace/diagnostic' ? [INVALID_PARAMS, undefined] : [INVALID_PARAMS, METHOD_NOT_FOUND];
        expect(allowed, `${method} with ${JSON.stringify(params)}: ${error?.message}`).toContain(error?.code);
      }
      expect(answers.filter(([, { error }]) => error?.code === INVALID_PARAMS).length).toBeGreaterThan(15);
    }
    expect(logged(/failed: /)).toEqual([]);
    await expectSound();
  });

  it('are passed over by every notification, with a line in the log', async () => {
    for (const method of notifications) {
      for (const params of [{}, { textDocument: 7, contentChanges: 7, changes: 7, event: 7 }]) client.notify(method, params);
    }
    await expectSound();
    expect(logged(/failed/)).toEqual([]);
    expect(logged(/textDocument\/didOpen was ignored\. 'params\.textDocument' is missing/)).toHaveLength(1);
    expect(logged(/textDocument\/didChange was ignored\. 'params\.textDocument' has to be an object, and is not/)).toHaveLength(
      1,
    );
  });

  it('say which member is wrong', async () => {
    const { error } = await client.request('textDocument/hover', {
      textDocument: { uri: 'file:///a.edl' },
      position: { line: 1 },
    });
    expect(error?.message).toBe("textDocument/hover: 'params.position.character' is missing; it has to be a number.");
  });
});

describe('methods that nobody knows', () => {
  it('are answered when they ask, also those that are optional, and passed over when they tell', async () => {
    expect((await client.request('$/optional', {})).error?.code).toBe(METHOD_NOT_FOUND);
    expect((await client.request('textDocument/unheardOf', null)).error?.code).toBe(METHOD_NOT_FOUND);
    client.notify('$/optional', { any: 'thing' });
    client.notify('textDocument/unheardOf', null);
    await expectSound();
    expect(logged(/failed/)).toEqual([]);
  });
});

describe('clients that keep silent', () => {
  it('get everything all the same: without initialized, settings, registrations or a show of progress', async () => {
    client.kill();
    client = await WireClient.start();
    for (const method of ['workspace/configuration', 'client/registerCapability', 'window/workDoneProgress/create'])
      client.answers.set(method, () => SILENCE);
    const capabilities = { ...FULL_CLIENT, window: { workDoneProgress: true } };
    const workspaceFolders = [{ uri: workspace.uri(''), name: 'cut' }];
    await client.request('initialize', { processId: null, rootUri: null, capabilities, workspaceFolders });
    await expectSound();
    client.notify('initialized', {});
    const hints = await client.result('textDocument/inlayHint', {
      textDocument: { uri: workspace.uri('interview.edl') },
      range: WHOLE,
    });
    expect(hints).toHaveLength(2);
    expect((await client.result('workspace/diagnostic', { previousResultIds: [] })).items).toHaveLength(4);
  });

  it('find what changed on disk once they save, if they told nothing of it', async () => {
    client.kill();
    client = await WireClient.ready({ capabilities: {} });
    const uri = await openFile(client, workspace, 'interview.edl');
    const told = (count: number): Promise<Wire> =>
      client.nextNotification('textDocument/publishDiagnostics', ({ diagnostics }) => diagnostics.length === count);
    await told(2);
    const report = await workspace.read('day1.alignment.json');
    await workspace.write('day1.alignment.json', report.replace('"sample": 264264', '"sample": 262262'));
    const after = told(4);
    client.notify('textDocument/didSave', { textDocument: { uri } });
    expect((await after).uri).toBe(uri);
  });
});

const ADDRESSES = [
  '',
  'interview.edl',
  'file:',
  'file:///',
  'http://[',
  'untitled:Cut-1',
  'file:///%',
  'file:///c%3A/none/cut.edl',
  'a b c',
];

describe('documents out of order', () => {
  it('may be opened twice; the later text counts', async () => {
    const uri = workspace.uri('interview.edl');
    client.open(uri, 'afterclap-edl', 'TITLE: EMPTY\n', 5);
    await expectSound();
  });

  it('may have versions that stand still or go back; each change counts', async () => {
    const uri = await openFile(client, workspace, 'interview.edl');
    const text = await workspace.read('interview.edl');
    const change = (version: number, to: string): void =>
      client.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ text: to }] });
    change(1, 'TITLE: EMPTY\n');
    change(-3, text.replace('00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00'));
    expect(await codesOf(uri)).toEqual(['sound-lags']);
    change(-4, text);
    expect(await codesOf(uri)).toEqual(['sound-leads', 'sound-lags']);
  });

  it('may be changed before they are opened, and after they are closed: neither is remembered', async () => {
    const uri = workspace.uri('interview.edl');
    const contentChanges = [{ text: 'TITLE: EMPTY\n' }];
    client.notify('textDocument/didChange', { textDocument: { uri, version: 1 }, contentChanges });
    await expectSound();
    client.notify('textDocument/didClose', { textDocument: { uri } });
    client.notify('textDocument/didChange', { textDocument: { uri, version: 3 }, contentChanges });
    client.notify('textDocument/didClose', { textDocument: { uri } });
    expect(await codesOf(uri)).toEqual(['sound-leads', 'sound-lags']);
  });

  it('may have any address', async () => {
    const position = { line: 0, character: 0 };
    const context = { diagnostics: [], includeDeclaration: true };
    for (const uri of ADDRESSES) {
      for (const isOpen of [false, true]) {
        if (isOpen)
          client.open(uri, 'afterclap-edl', 'TITLE: ANY\n001  A  V  C  00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n');
        const params = {
          textDocument: { uri },
          position,
          positions: [position],
          range: { start: position, end: position },
          context,
        };
        for (const method of [
          'diagnostic',
          'hover',
          'codeAction',
          'definition',
          'references',
          'documentLink',
          'documentSymbol',
        ]) {
          const { error } = await client.request(`textDocument/${method}`, params);
          expect(error, `${method} of '${uri}'`).toBeUndefined();
        }
        const { error } = await client.request('textDocument/rename', { ...params, newName: 'B' });
        expect([undefined, INVALID_PARAMS, RENAME_REFUSED]).toContain(error?.code);
      }
    }
    expect(logged(/failed/)).toEqual([]);
    // What the client calls a document comes back as it came, URI or not.
    const { breaches } = client.check;
    breaches.push(...breaches.splice(0).filter((breach) => !/ is "(?:|interview\.edl|a b c)", not a URI$/.test(breach)));
  });
});
