/**
 * The check that every protocol test goes through, held to breaches planted by hand. Source of what is right and wrong: Language
 * Server Protocol 3.17, the page of each method.
 */

import { describe, expect, it } from 'vitest';
import { createWireCheck } from './model/wireCheck.ts';
import { PULLING_CLIENT } from './workspace.ts';

const RANGE = { start: { line: 0, character: 0 }, end: { line: 0, character: 3 } };

function breachesOf(
  exchange: readonly (readonly ['sent' | 'received', object])[],
  capabilities: object = PULLING_CLIENT,
): readonly string[] {
  const check = createWireCheck();
  check.sent({ jsonrpc: '2.0', id: 0, method: 'initialize', params: { capabilities } });
  check.received({ jsonrpc: '2.0', id: 0, result: { capabilities: {} } });
  for (const [direction, message] of exchange) check[direction]({ jsonrpc: '2.0', ...message });
  return check.breaches;
}

function answered(method: string, result: unknown, capabilities?: object): readonly string[] {
  return breachesOf(
    [
      ['sent', { id: 1, method, params: {} }],
      ['received', { id: 1, result }],
    ],
    capabilities,
  );
}

function told(method: string, params: unknown, capabilities?: object): readonly string[] {
  return breachesOf([['received', { method, params }]], capabilities);
}

describe('answers that keep to the protocol', () => {
  it.each([
    ['textDocument/hover', null],
    ['textDocument/hover', { contents: { kind: 'plaintext', value: 'in' }, range: RANGE }],
    ['textDocument/hover', { contents: ['in', { language: 'x', value: 'y' }] }],
    ['textDocument/definition', { uri: 'file:///a', range: RANGE }],
    ['textDocument/definition', [{ uri: 'file:///a', range: RANGE }]],
    ['textDocument/diagnostic', { kind: 'unchanged', resultId: '7' }],
    ['textDocument/diagnostic', { kind: 'full', items: [], relatedDocuments: { 'file:///b': { kind: 'full', items: [] } } }],
    ['textDocument/selectionRange', [{ range: RANGE, parent: { range: RANGE } }]],
    ['shutdown', null],
  ])('%s: %j', (method, result) => expect(answered(method, result)).toEqual([]));
});

describe('answers that do not', () => {
  it.each([
    ['textDocument/hover', {}, 'has no contents'],
    ['textDocument/hover', { contents: '', range: { start: RANGE.start } }, 'has no end'],
    ['textDocument/hover', { contents: '', colour: 1 }, "has a member 'colour'"],
    ['textDocument/hover', { contents: { kind: 'html', value: '' } }, '"html"'],
    ['textDocument/definition', [{ uri: 'a.edl', range: RANGE }], 'not a URI'],
    ['textDocument/definition', [{ uri: 'file:///a', range: { start: { line: -1, character: 0 }, end: RANGE.end } }], 'is -1'],
    ['textDocument/definition', [{ uri: 'file:///a', range: { start: { line: 0.5, character: 0 }, end: RANGE.end } }], 'is 0.5'],
    ['textDocument/diagnostic', { kind: 'full' }, 'has no '],
    ['textDocument/diagnostic', { kind: 'unchanged' }, 'has no '],
    ['textDocument/diagnostic', { kind: 'full', items: [{ range: RANGE, message: 'm', severity: 5 }] }, 'is 5'],
    ['textDocument/selectionRange', [{ range: RANGE, parent: {} }], 'has no range'],
    ['textDocument/foldingRange', [{ startLine: 1, endLine: null }], 'endLine is null'],
    ['textDocument/semanticTokens/full', { data: [0, 0, -1, 0, 0] }, 'data[2] is -1'],
    ['shutdown', {}, 'not null'],
  ])('%s: %j', (method, result, fault) => expect(answered(method, result).join()).toContain(fault));
});

describe('what a client did not ask for', () => {
  it.each([
    ['textDocument/hover', { contents: { kind: 'markdown', value: '' } }],
    ['textDocument/codeAction', [{ title: 'Slip' }]],
    ['textDocument/rename', { documentChanges: [] }],
    ['textDocument/diagnostic', { kind: 'full', items: [{ range: RANGE, message: 'm', data: 1 }] }],
    ['textDocument/documentSymbol', [{ name: 'n', kind: 1, range: RANGE, selectionRange: RANGE }]],
  ])('is noticed in the answer to %s', (method, result) => {
    expect(answered(method, result, {})).not.toEqual([]);
  });

  it.each([
    ['afterclap/status', {}],
    ['textDocument/publishDiagnostics', { uri: 'file:///a', version: 1, diagnostics: [] }],
    ['$/progress', { token: 'never given', value: { kind: 'end' } }],
    ['textDocument/somethingNew', {}],
    ['textDocument/didClose', { textDocument: { uri: 'file:///a' } }],
    ['$/logTrace', { message: 7 }],
  ])('is noticed when %s comes', (method, params) => expect(told(method, params, {})).not.toEqual([]));

  it.each([
    ['workspace/configuration', { items: [] }],
    ['workspace/diagnostic/refresh', undefined],
    ['workspace/codeLens/refresh', undefined],
    ['workspace/textDocumentContent/refresh', { uri: 'afterclap-lags:file:///a.edl.txt' }],
    ['workspace/applyEdit', { edit: {} }],
    ['window/workDoneProgress/create', { token: 1 }],
    ['client/registerCapability', { registrations: [{ id: '1', method: 'workspace/didChangeWatchedFiles' }] }],
  ])('is noticed when the server asks for %s', (method, params) => {
    expect(breachesOf([['received', { id: 1, method, params }]], {})).not.toEqual([]);
  });
});

describe('the order of messages', () => {
  const asked = ['sent', { id: 1, method: 'textDocument/references', params: { partialResultToken: 'p' } }] as const;
  const part = ['received', { method: '$/progress', params: { token: 'p', value: [] } }] as const;
  const answer = ['received', { id: 1, result: [] }] as const;

  it('has parts before the answer, which is empty then', () => {
    expect(breachesOf([asked, part, part, answer])).toEqual([]);
    expect(breachesOf([asked, answer, part])).not.toEqual([]);
    const full = ['received', { id: 1, result: [{ uri: 'file:///a', range: RANGE }] }] as const;
    expect(breachesOf([asked, full])).toEqual([]);
    expect(breachesOf([asked, part, full])).not.toEqual([]);
  });

  it('has no parts where the protocol knows none', () => {
    const hover = ['sent', { id: 1, method: 'textDocument/hover', params: { partialResultToken: 'p' } }] as const;
    expect(breachesOf([hover, part])).toEqual(['$/progress: a part of textDocument/hover, which is answered whole']);
  });

  it('has one answer for each request, with a result or an error', () => {
    expect(breachesOf([asked, answer, answer])).not.toEqual([]);
    expect(breachesOf([answer])).not.toEqual([]);
    expect(breachesOf([asked, ['received', { id: 1, error: { code: -32800, message: 'cancelled' } }]])).toEqual([]);
    expect(breachesOf([asked, ['received', { id: 1, error: { code: 7, message: 'seven' } }]])).not.toEqual([]);
    expect(breachesOf([asked, ['received', { id: 1 }]])).not.toEqual([]);
    expect(breachesOf([asked, ['received', { id: 1, result: [], error: { code: -32603, message: 'both' } }]])).not.toEqual([]);
  });
});
