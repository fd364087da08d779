/**
 * A client that does everything at once and half of it wrong. Every request must be answered once, the server must live, and in
 * the end it must say of the text what a server says that has just been started.
 */

import fc from 'fast-check';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { WireClient } from './wireClient.ts';
import { makeWorkspace, PULLING_CLIENT, type Workspace } from './workspace.ts';

const REQUEST_CANCELLED = -32800;
const SERVER_CANCELLED = -32802;

let workspace: Workspace;

beforeAll(async () => {
  workspace = await makeWorkspace();
});

afterAll(() => workspace.discard());

const place = fc.record({ line: fc.integer({ min: -2, max: 30 }), character: fc.integer({ min: -2, max: 90 }) });
const scrap = fc.constantFrom(
  '',
  '0',
  '7',
  ':',
  '\n',
  '\r\n',
  '🎬',
  ' ',
  '001  DECK0001 A C 00:00:10:01 00:00:15:01 01:00:00:00 01:00:05:00\n',
  '\0',
);
const step = fc.oneof(
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('change' as const), start: place, end: place, text: scrap }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('replace' as const), text: scrap }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('hover' as const), at: place, isCancelled: fc.boolean() }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('fixes' as const), at: place, isCancelled: fc.boolean() }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('pull' as const), isCancelled: fc.boolean() }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('reopen' as const) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('stranger' as const) }) },
);

it('answers every request of a hasty client, and ends where a fresh server begins', async () => {
  const uri = workspace.uri('interview.edl');
  const original = await workspace.read('interview.edl');
  const worker = await WireClient.ready({ capabilities: PULLING_CLIENT });
  const fresh = await WireClient.ready({ capabilities: PULLING_CLIENT });
  await fc.assert(
    fc.asyncProperty(fc.array(step, { maxLength: 25 }), async (steps) => {
      let text = original;
      let version = 1;
      worker.open(uri, 'afterclap-edl', text, version);
      const answers: Promise<{ readonly error?: { readonly code: number } }>[] = [];
      const ask = (method: string, params: object, isCancelled: boolean): void => {
        const { id, answer } = worker.ask(method, { textDocument: { uri }, ...params });
        answers.push(answer);
        if (isCancelled) worker.notify('$/cancelRequest', { id });
      };
      for (const each of steps) {
        switch (each.kind) {
          case 'change': {
            const isTurned =
              each.start.line > each.end.line || (each.start.line === each.end.line && each.start.character > each.end.character);
            const range = isTurned ? { start: each.end, end: each.start } : { start: each.start, end: each.end };
            version += 1;
            worker.notify('textDocument/didChange', {
              textDocument: { uri, version },
              contentChanges: [{ range, text: each.text }],
            });
            text = changed(text, range, each.text);
            break;
          }
          case 'replace':
            version += 1;
            text = `${each.text}${original}`;
            worker.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ text }] });
            break;
          case 'hover':
            ask('textDocument/hover', { position: each.at }, each.isCancelled);
            break;
          case 'fixes':
            ask(
              'textDocument/codeAction',
              { range: { start: each.at, end: each.at }, context: { diagnostics: [] } },
              each.isCancelled,
            );
            break;
          case 'pull':
            ask('textDocument/diagnostic', {}, each.isCancelled);
            break;
          case 'reopen':
            version += 1;
            worker.notify('textDocument/didClose', { textDocument: { uri } });
            worker.open(uri, 'afterclap-edl', text, version);
            break;
          case 'stranger':
            worker.notify('textDocument/didChange', {
              textDocument: { uri: 'file:///no.edl', version: -1 },
              contentChanges: [{ text: 'x' }],
            });
            break;
        }
      }
      for (const { error } of await Promise.all(answers)) {
        expect([undefined, REQUEST_CANCELLED, SERVER_CANCELLED]).toContain(error?.code);
      }
      fresh.open(uri, 'afterclap-edl', text, version);
      const question = { textDocument: { uri } };
      const [own, expected] = await Promise.all([
        worker.result('textDocument/diagnostic', question),
        fresh.result('textDocument/diagnostic', question),
      ]);
      expect(own).toEqual(expected);
      worker.notify('textDocument/didClose', { textDocument: { uri } });
      fresh.notify('textDocument/didClose', { textDocument: { uri } });
    }),
    { numRuns: 40 },
  );
  expect(await worker.stop()).toBe(0);
  expect(await fresh.stop()).toBe(0);
}, 120_000);

/** The change as the protocol library makes it, on a fresh document so that its line table is right. */
function changed(
  text: string,
  range: { start: { line: number; character: number }; end: { line: number; character: number } },
  by: string,
): string {
  const document = TextDocument.create('file:///cut', 'any', 1, text);
  return TextDocument.update(document, [{ range, text: by }], 2).getText();
}
