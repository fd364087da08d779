/**
 * Whole sessions at random: timelines of all formats, the report and the settings are opened, typed into, saved, closed, changed on disk
 * by other programs and removed, the editor's settings change, and questions are asked and taken back in between. In the end a server that
 * knows only what is open and what is on disk must find the same, whether the editor asks for diagnostics or waits to be told.
 */

import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { FULL_CLIENT, WHOLE } from './features.ts';
import { type Message, type Wire, WireClient } from './wireClient.ts';
import { makeWorkspace, type Workspace } from './workspace.ts';

const REQUEST_CANCELLED = -32800;
const SERVER_CANCELLED = -32802;
const REQUEST_FAILED = -32803;
const RUNS = 6;
const START = { line: 0, character: 0 };
const PATIENCE_MS = 15_000;

const REPORT = 'day1.alignment.json';
const SETTINGS = 'afterclap.json';
const FILES = ['interview.otio', 'interview.edl', 'interview.timeline.xml', REPORT, SETTINGS] as const;
type FileName = (typeof FILES)[number];
const LANGUAGES: Partial<Record<FileName, string>> = {
  'interview.edl': 'afterclap-edl',
  'interview.timeline.xml': 'afterclap-xml',
};

/** What other programs leave on disk; null removes the file, and the first is what the workspace begins with. */
const ON_DISK: Partial<Record<FileName, readonly ((original: string) => string | null)[]>> = {
  [REPORT]: [
    (original) => original,
    (original) => original.replace('"sample": 264264', '"sample": 266266'),
    (original) => original.replace('"picture": "cam-a-01"', '"picture": "cam-z-99"'),
    (original) => original.slice(0, 300),
    () => null,
  ],
  [SETTINGS]: [
    () => null,
    () => '{ "rules": { "no-sound": "warning", "sound-lags": "off" } }\n',
    () => '{ "tolerance": { "lead": "50ms", "lag": "5f" } }\n',
    () => '{ "alignment": ["gone.alignment.json"] }\n',
    () => '{ "tolerance": \n',
  ],
};

const file = fc.constantFrom(...FILES);
const onDisk = fc.constantFrom<FileName>(REPORT, SETTINGS);
const part = fc.nat(9999).map((parts) => parts / 10_000);
const scrap = fc.constantFrom('', '', '1', '0', ':', ' ', '"', '<', '}', '\n', '\r\n', '\u{1F3AC}', '\u00e9', '00:00:10:00');
const asked = fc.constantFrom(
  'textDocument/diagnostic',
  'textDocument/hover',
  'textDocument/codeAction',
  'textDocument/inlayHint',
  'textDocument/codeLens',
  'textDocument/documentSymbol',
  'textDocument/foldingRange',
  'textDocument/semanticTokens/full',
  'textDocument/documentColor',
  'textDocument/prepareCallHierarchy',
  'textDocument/definition',
  'textDocument/references',
  'textDocument/completion',
  'textDocument/rename',
  'workspace/diagnostic',
  'workspace/symbol',
);
const step = fc.oneof(
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('open' as const), file }) },
  { weight: 8, arbitrary: fc.record({ kind: fc.constant('type' as const), file, at: part, removed: fc.nat(3), text: scrap }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('number' as const), file, at: part, digit: fc.nat(9) }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('restore' as const), file }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('save' as const), file }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant('close' as const), file }) },
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('disk' as const), file: onDisk, variant: fc.nat(4) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('configure' as const), hints: fc.constantFrom('all', 'off', 7) }) },
  {
    weight: 5,
    arbitrary: fc.record({ kind: fc.constant('ask' as const), file, method: asked, at: part, isCancelled: fc.boolean() }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('wait' as const), milliseconds: fc.nat(300) }) },
);
type Step = typeof step extends fc.Arbitrary<infer Kind> ? Kind : never;

let workspace: Workspace;
let original: Readonly<Record<FileName, string>>;

beforeEach(async () => {
  workspace = await makeWorkspace();
  const texts = await Promise.all(
    FILES.map(async (name) => [name, name === SETTINGS ? '{}\n' : await workspace.read(name)] as const),
  );
  original = Object.fromEntries(texts) as Record<FileName, string>;
});

afterEach(() => workspace.discard());

/** The editor's side of a session. */
interface Editor {
  readonly client: WireClient;
  readonly documents: Map<FileName, TextDocument>;
  readonly answers: { readonly method: string; readonly answer: Promise<Message> }[];
  readonly tellsOfDisk: boolean;
}

async function startServer(capabilities: object): Promise<WireClient> {
  const client = await WireClient.start();
  client.answers.set('workspace/configuration', ({ items }) => items.map(() => ({})));
  const workspaceFolders = [{ uri: workspace.uri(''), name: 'cut' }];
  await client.request('initialize', { processId: process.pid, rootUri: null, capabilities, workspaceFolders });
  client.notify('initialized', {});
  return client;
}

function open({ client, documents }: Editor, name: FileName, text: string, version: number): void {
  const language = LANGUAGES[name] ?? 'json';
  documents.set(name, TextDocument.create(workspace.uri(name), language, version, text));
  client.open(workspace.uri(name), language, text, version);
}

/** Sends a change and makes it, the latter by the protocol library. */
function change({ client, documents }: Editor, document: TextDocument, start: number, end: number, text: string): void {
  const range = { start: document.positionAt(start), end: document.positionAt(end) };
  const contentChanges = [{ range, text }];
  const version = document.version + 1;
  client.notify('textDocument/didChange', { textDocument: { uri: document.uri, version }, contentChanges });
  const name = [...documents].find(([, each]) => each === document)?.[0] as FileName;
  // A fresh document, so that its table of lines is right.
  const fresh = TextDocument.create(document.uri, document.languageId, document.version, document.getText());
  documents.set(name, TextDocument.update(fresh, contentChanges, version));
}

async function writeToDisk({ client, tellsOfDisk }: Editor, name: FileName, text: string | null): Promise<void> {
  const before = await workspace.read(name).catch(() => null);
  if (text !== null) await workspace.write(name, text);
  else if (before !== null) await workspace.remove(name);
  if (before === text || !tellsOfDisk) return;
  const type = before === null ? 1 : text === null ? 3 : 2;
  client.notify('workspace/didChangeWatchedFiles', { changes: [{ uri: workspace.uri(name), type }] });
}

function ask({ client, answers }: Editor, method: string, params: object, isCancelled: boolean): void {
  const { id, answer } = client.ask(method, params);
  answers.push({ method, answer });
  if (isCancelled) client.notify('$/cancelRequest', { id });
}

async function take(editor: Editor, each: Step): Promise<void> {
  const { client, documents } = editor;
  const document = 'file' in each ? documents.get(each.file) : undefined;
  switch (each.kind) {
    case 'open':
      if (document === undefined) open(editor, each.file, (await workspace.read(each.file).catch(() => null)) ?? '{}\n', 1);
      break;
    case 'type': {
      if (document === undefined) break;
      const start = Math.floor(each.at * document.getText().length);
      change(editor, document, start, Math.min(document.getText().length, start + each.removed), each.text);
      break;
    }
    case 'number': {
      if (document === undefined) break;
      const text = document.getText();
      const offset = text.slice(Math.floor(each.at * text.length)).search(/\d/);
      const start = Math.floor(each.at * text.length) + offset;
      if (offset !== -1) change(editor, document, start, start + 1, String(each.digit));
      break;
    }
    case 'restore':
      if (document !== undefined) change(editor, document, 0, document.getText().length, original[each.file]);
      break;
    case 'save':
      if (document === undefined) break;
      await writeToDisk(editor, each.file, document.getText());
      client.notify('textDocument/didSave', { textDocument: { uri: document.uri } });
      break;
    case 'close':
      if (document === undefined) break;
      documents.delete(each.file);
      client.notify('textDocument/didClose', { textDocument: { uri: document.uri } });
      break;
    case 'disk': {
      const variants = ON_DISK[each.file];
      // An editor that can't watch learns of these when it next saves; see the end of the session.
      if (variants !== undefined) await writeToDisk(editor, each.file, variants[each.variant]?.(original[each.file]) ?? null);
      break;
    }
    case 'configure':
      client.answers.set('workspace/configuration', ({ items }) => items.map(() => ({ inlayHints: each.hints })));
      client.notify('workspace/didChangeConfiguration', { settings: null });
      break;
    case 'ask': {
      const text = document?.getText() ?? original[each.file];
      const place = TextDocument.create('', '', 1, text).positionAt(Math.floor(each.at * text.length));
      const context = { diagnostics: [], includeDeclaration: true };
      const range = { start: place, end: place };
      const more = { position: place, range, context, newName: 'OTHER.wav', query: 'e', previousResultIds: [] };
      ask(editor, each.method, { textDocument: { uri: workspace.uri(each.file) }, ...more }, each.isCancelled);
      break;
    }
    case 'wait':
      await new Promise((resolve) => setTimeout(resolve, each.milliseconds));
      break;
  }
}

async function expectAnswers({ answers }: Editor): Promise<void> {
  for (const { method, answer } of answers.splice(0)) {
    const { error } = await answer;
    const allowed = [
      undefined,
      REQUEST_CANCELLED,
      SERVER_CANCELLED,
      ...(method === 'textDocument/rename' ? [REQUEST_FAILED] : []),
    ];
    expect(allowed, `${method}: ${error?.message}`).toContain(error?.code);
  }
}

/** A server of its own for the texts that are open now. */
async function coldStart(capabilities: object, { documents }: Editor): Promise<WireClient> {
  const cold = await startServer(capabilities);
  for (const [, document] of documents) cold.open(document.uri, document.languageId, document.getText(), document.version);
  return cold;
}

/** A session, what has to hold at its end, and a clean slate. */
async function play(
  client: WireClient,
  tellsOfDisk: boolean,
  steps: readonly Step[],
  expectEnd: (editor: Editor) => Promise<void>,
): Promise<void> {
  const editor: Editor = { client, documents: new Map(), answers: [], tellsOfDisk };
  for (const name of FILES.slice(0, 3)) open(editor, name, original[name], 1);
  // What was looked up once is what could be out of date later.
  for (const { uri } of editor.documents.values())
    await client.result('textDocument/hover', { textDocument: { uri }, position: START });
  for (const each of steps) await take(editor, each);
  await expectAnswers(editor);
  await expectEnd(editor);
  for (const [, { uri }] of editor.documents) client.notify('textDocument/didClose', { textDocument: { uri } });
  editor.documents.clear();
  for (const name of FILES) await writeToDisk(editor, name, name === SETTINGS ? null : original[name]);
}

describe('a session at random ends where a cold start begins', () => {
  it('for an editor that asks, and watches the files', async () => {
    const client = await startServer(FULL_CLIENT);
    const views = ['diagnostic', 'documentSymbol', 'semanticTokens/full', 'codeLens', 'documentColor'];
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 5, maxLength: 40 }), (steps) =>
        play(client, true, steps, async (editor) => {
          const cold = await coldStart(FULL_CLIENT, editor);
          for (const [, { uri }] of editor.documents) {
            for (const view of views) {
              const question = { textDocument: { uri }, range: WHOLE };
              const [own, expected] = await Promise.all(
                [client, cold].map((each) => each.result(`textDocument/${view}`, question)),
              );
              expect(own, `${view} of ${uri}`).toEqual(expected);
            }
          }
          const all = await Promise.all(
            [client, cold].map((each) => each.result('workspace/diagnostic', { previousResultIds: [] })),
          );
          // A file that is gone has no result; the server that told of it says once that it shows nothing any more.
          const [own, expected] = all.map(({ items }) => items.filter(({ resultId }: Wire) => resultId !== undefined));
          expect(own).toEqual(expected);
          expect(await cold.stop()).toBe(0);
        }),
      ),
      { numRuns: RUNS, endOnFailure: true },
    );
    expect(await client.stop()).toBe(0);
  }, 120_000);

  it('for an editor that waits to be told, and watches nothing', async () => {
    const { diagnostic: _asks, ...textDocument } = FULL_CLIENT.textDocument;
    const { didChangeWatchedFiles: _watches, ...inWorkspace } = FULL_CLIENT.workspace;
    const capabilities = { ...FULL_CLIENT, workspace: inWorkspace, textDocument };
    const client = await startServer(capabilities);
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 5, maxLength: 40 }), (steps) =>
        play(client, false, steps, async (editor) => {
          // Saving is how such an editor lets the server look at the disk again.
          if (!editor.documents.has('interview.edl')) open(editor, 'interview.edl', original['interview.edl'], 1);
          client.notify('textDocument/didSave', { textDocument: { uri: workspace.uri('interview.edl') } });
          const cold = await coldStart(capabilities, editor);
          for (const { uri, version } of editor.documents.values()) await expectSameTold(client, cold, uri, version);
          for (const name of FILES.filter((each) => !editor.documents.has(each))) {
            expect(lastTold(client, workspace.uri(name))?.diagnostics ?? []).toEqual([]);
          }
          expect(await cold.stop()).toBe(0);
        }),
      ),
      { numRuns: RUNS, endOnFailure: true },
    );
    expect(await client.stop()).toBe(0);
  }, 120_000);
});

function lastTold(client: WireClient, uri: string): Wire {
  return client.all('textDocument/publishDiagnostics').findLast(({ params }) => params.uri === uri)?.params;
}

/** Waits until both servers have told the same of this version last; either may still be at work on it. */
async function expectSameTold(client: WireClient, cold: WireClient, uri: string, version: number): Promise<void> {
  const told = (): readonly Wire[] => [client, cold].map((each) => lastTold(each, uri));
  const isSame = ([own, expected]: readonly Wire[]): boolean =>
    own?.version === version && expected?.version === version && JSON.stringify(own) === JSON.stringify(expected);
  const end = Date.now() + PATIENCE_MS;
  while (!isSame(told()) && Date.now() < end) await new Promise((resolve) => setTimeout(resolve, 20));
  const [own, expected] = told();
  expect(own, uri).toEqual(expected);
  expect(own?.version).toBe(version);
}
