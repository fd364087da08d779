/**
 * How the server lives and dies. Source of every rule: Language Server Protocol 3.17, 'Server lifecycle' and 'Error codes'.
 */

import { spawn } from 'node:child_process';
import { afterEach, describe, expect, it } from 'vitest';
import { WireClient } from './wireClient.ts';

const REQUEST_CANCELLED = -32800;
const SERVER_NOT_INITIALIZED = -32002;
const INVALID_REQUEST = -32600;
const METHOD_NOT_FOUND = -32601;

let client: WireClient;

afterEach(() => client.kill());

describe('before initialize', () => {
  it('refuses requests, known and unknown, and swallows notifications', async () => {
    client = await WireClient.start();
    client.notify('textDocument/didOpen', { textDocument: { uri: 'file:///a.edl', languageId: 'x', version: 1, text: '' } });
    const hover = { textDocument: { uri: 'file:///a.edl' }, position: { line: 0, character: 0 } };
    expect((await client.request('textDocument/hover', hover)).error?.code).toBe(SERVER_NOT_INITIALIZED);
    expect((await client.request('afterclap/nonsense', {})).error?.code).toBe(SERVER_NOT_INITIALIZED);
    expect((await client.request('initialize', { capabilities: {} })).error).toBeUndefined();
  });

  it('leaves with 1 when told to exit without a shutdown', async () => {
    client = await WireClient.start();
    client.notify('exit', null);
    expect(await client.exited).toBe(1);
  });
});

describe('while it runs', () => {
  it('names itself and its version', async () => {
    client = await WireClient.start();
    const { serverInfo } = await client.result('initialize', { processId: null, rootUri: null, capabilities: {} });
    expect(serverInfo).toEqual({ name: 'afterclap', version: expect.stringMatching(/^\d+\.\d+\.\d+$/) });
  });

  it('refuses a second initialize', async () => {
    client = await WireClient.ready({});
    expect((await client.request('initialize', { capabilities: {} })).error?.code).toBe(INVALID_REQUEST);
  });

  it('answers unknown requests with an error and ignores unknown notifications', async () => {
    client = await WireClient.ready({});
    client.notify('$/afterclapKnowsNothingOfThis', {});
    client.notify('textDocument/somethingNew', {});
    expect((await client.request('textDocument/somethingNew', {})).error?.code).toBe(METHOD_NOT_FOUND);
    expect((await client.request('textDocument/moniker', {})).error?.code).toBe(METHOD_NOT_FOUND);
  });

  it('gives up a question the client no longer asks', async () => {
    client = await WireClient.ready({ capabilities: { textDocument: { diagnostic: {} } } });
    const uri = 'file:///nowhere/cut.edl';
    client.open(uri, 'afterclap-edl', 'TITLE: ONE\n');
    await client.result('textDocument/diagnostic', { textDocument: { uri } });
    client.notify('textDocument/didChange', {
      textDocument: { uri, version: 2 },
      contentChanges: [{ text: 'TITLE: TWO\n' }],
    });
    // A changed text waits out its pause, so there is time to cancel.
    const { id, answer } = client.ask('textDocument/diagnostic', { textDocument: { uri } });
    client.notify('$/cancelRequest', { id });
    expect((await answer).error?.code).toBe(REQUEST_CANCELLED);
  });

  it('survives changes and questions about documents nobody opened', async () => {
    client = await WireClient.ready({ capabilities: { textDocument: { diagnostic: {} } } });
    const uri = 'file:///nowhere/cut.otio';
    client.notify('textDocument/didChange', { textDocument: { uri, version: 2 }, contentChanges: [{ text: '{}' }] });
    client.notify('textDocument/didClose', { textDocument: { uri } });
    expect(await client.result('textDocument/diagnostic', { textDocument: { uri } })).toEqual({ kind: 'full', items: [] });
    expect(await client.result('textDocument/hover', { textDocument: { uri }, position: { line: 9, character: 9 } })).toBeNull();
    const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
    expect(
      await client.result('textDocument/codeAction', { textDocument: { uri }, range, context: { diagnostics: [] } }),
    ).toEqual([]);
  });
});

describe('at the end', () => {
  it('refuses requests after shutdown and leaves with 0', async () => {
    client = await WireClient.ready({});
    expect((await client.request('shutdown', null)).error).toBeUndefined();
    const hover = { textDocument: { uri: 'file:///a.edl' }, position: { line: 0, character: 0 } };
    expect((await client.request('textDocument/hover', hover)).error?.code).toBe(INVALID_REQUEST);
    expect((await client.request('afterclap/nonsense', {})).error?.code).toBe(INVALID_REQUEST);
    expect((await client.request('shutdown', null)).error?.code).toBe(INVALID_REQUEST);
    client.notify('exit', null);
    expect(await client.exited).toBe(0);
  });

  it('leaves when its input ends, as it does when an editor dies', async () => {
    client = await WireClient.ready({});
    client.hangUp();
    expect(await client.exited).toBe(1);
  });
});

describe('left alone', () => {
  it('leaves when the process that started it is gone, though its input stays open', async () => {
    const gone = spawn(process.execPath, ['--eval', '']);
    await new Promise((resolve) => gone.on('exit', resolve));
    client = await WireClient.ready({ processId: gone.pid });
    expect(await client.exited).toBe(1);
  });

  it('leaves quietly when nobody reads its answers any more', async () => {
    client = await WireClient.ready({});
    client.stopReading('stdout');
    client.send({ id: 'unheard', method: 'textDocument/moniker', params: {} });
    expect(await client.exited).toBe(1);
    expect(client.standardError).toBe('');
  });

  it('goes on when nobody reads its standard error', async () => {
    client = await WireClient.ready({});
    client.stopReading('stderr');
    client.sendBytes('Content-Length: 3\r\n\r\n{{{');
    expect((await client.request('textDocument/moniker', {})).error?.code).toBe(METHOD_NOT_FOUND);
    expect(await client.stop()).toBe(0);
  });
});

describe('with poor clients', () => {
  it.each([
    ['no params worth the name', {}],
    ['capabilities of the wrong types', { capabilities: { textDocument: 7, workspace: 'none', general: [] } }],
    ['options of the wrong types', { capabilities: {}, initializationOptions: ['showsStatus'], workspaceFolders: null }],
    ['encodings of the wrong types', { capabilities: { general: { positionEncodings: [8, 'utf-7'] } } }],
  ])('starts with %s', async (_, params) => {
    client = await WireClient.start();
    const { capabilities } = await client.result('initialize', params);
    expect(capabilities.positionEncoding).toBe('utf-16');
    expect(capabilities.diagnosticProvider).toBeUndefined();
    client.open('file:///nowhere/cut.edl', 'afterclap-edl', 'not a list');
    const { diagnostics } = await client.nextNotification('textDocument/publishDiagnostics');
    expect(Array.isArray(diagnostics)).toBe(true);
  });

  it('starts over standard streams when no transport is named', async () => {
    client = await WireClient.start([]);
    expect((await client.request('initialize', { capabilities: {} })).error).toBeUndefined();
  });
});
