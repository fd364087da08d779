/**
 * A key press in a long timeline until its findings are there.
 *
 * Measured against two things: a server on the same library that keeps the text in the library's own TextDocument and does
 * nothing with it, and the audit alone. The first says what a person pays for having findings at all; the second what the
 * server adds to them. All run in this process, in turns. The pauses that wait for the next key press are left out: they are
 * not work.
 */

import { PassThrough } from 'node:stream';
import {
  type Connection,
  createConnection,
  createMessageConnection,
  type MessageConnection,
  StreamMessageReader,
  StreamMessageWriter,
  TextDocumentSyncKind,
  TextDocuments,
} from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import { startServer } from '../../server/src/lsp/server.ts';
import type { FileSystem } from '../../server/src/project/fileSystem.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, median } from './benchmark.ts';
import { longOtio } from './otioText.ts';

const CLIP_COUNT = 4_300;
const ROUNDS = 40;
const WARM_UP_ROUNDS = 6;
const TAKE_COUNT = 400;
const FOLDER = 'file:///cut/';
const URI = `${FOLDER}long.otio`;

const TAKES = Array.from({ length: TAKE_COUNT }, (_, index) => String(index).padStart(4, '0'));
/** Pairs each camera file with its two recordings. */
const REPORT = writeTestReport({
  pictures: Object.fromEntries(TAKES.map((take) => [`cam-${take}`, { names: [`CAM_A_${take}.mov`], rate: 24, frames: 100_000 }])),
  sounds: Object.fromEntries(
    TAKES.flatMap((take) =>
      [1, 2].map((track) => [
        `deck-${track}-${take}`,
        { names: [`DECK_${track}_${take}.wav`], sampleRate: 48000, samples: 200_000_000 },
      ]),
    ),
  ),
  pairs: TAKES.flatMap((take) =>
    [1, 2].map((track) => ({ picture: `cam-${take}`, sound: `deck-${track}-${take}`, frame: 0, sample: 0 })),
  ),
});

export const benches: readonly Bench[] = [
  {
    name: 'one key press in 10 MB of OTIO to fresh findings / the audit of the whole',
    limit: 0.5,
    unit: 'x',
    run: async () => {
      const { text, ours, done } = await opened();
      const report = readReport('day1.alignment.json', REPORT);
      const whole = async (): Promise<unknown> =>
        audit({ format: 'otio', text: pressed(text, placeOfEdit(text, 0), 1), reports: [report], settings: defaultSettings });
      return done(await inTurns((round) => press(ours, text, digit(round)), whole));
    },
  },
  ...(
    [
      ['a digit for a digit', digit],
      ['a digit more, so that all behind it moves', digitMore],
    ] as const
  ).map(([what, edit]) => ({
    name: `one key press (${what}) in 10 MB of OTIO to fresh findings / a TextDocument server that does nothing`,
    limit: 1.5,
    unit: 'x',
    run: async (): Promise<BenchResult> => {
      const { text, ours, idle, done } = await opened();
      return done(
        await inTurns(
          (round) => press(ours, text, edit(round)),
          (round) => press(idle, text, edit(round)),
        ),
      );
    },
  })),
  {
    name: 'a key press in another clip each time, in 10 MB of OTIO / a TextDocument server that does nothing',
    // The first key press in a clip works out everything for the ones that follow it there.
    limit: 3,
    unit: 'x',
    run: async () => {
      const { text, ours, idle, done } = await opened();
      return done(
        await inTurns(
          (round) => press(ours, text, elsewhere(round)),
          (round) => press(idle, text, elsewhere(round)),
        ),
      );
    },
  },
];

/** What a round types: into which clip, and how many characters it replaces by which. */
interface KeyPress {
  readonly clip: number;
  readonly removed: number;
  readonly inserted: string;
}

function digit(round: number): KeyPress {
  return { clip: 0, removed: 1, inserted: String(5 + (round % 5)) };
}

/** Typed in one round, taken back in the next. */
function digitMore(round: number): KeyPress {
  return round % 2 === 0 ? { clip: 0, removed: 0, inserted: '9' } : { clip: 0, removed: 1, inserted: '' };
}

function elsewhere(round: number): KeyPress {
  return { clip: round, removed: 1, inserted: String(5 + (round % 5)) };
}

interface Opened {
  readonly text: string;
  readonly ours: MessageConnection;
  readonly idle: MessageConnection;
  /** Closes both servers and says the figure. */
  readonly done: (medians: { readonly first: number; readonly second: number }) => BenchResult;
}

async function opened(): Promise<Opened> {
  const text = longOtio(CLIP_COUNT);
  const ours = await connect(startOurs);
  const idle = await connect(startIdle);
  for (const client of [ours, idle]) {
    await client.sendNotification('textDocument/didOpen', { textDocument: { uri: URI, languageId: 'otio', version: 1, text } });
    await pull(client);
  }
  const done: Opened['done'] = ({ first, second }) => {
    for (const client of [ours, idle]) client.dispose();
    const size = `${(text.length / 1e6).toFixed(1)} MB`;
    return { ratio: first / second, detail: `${size}, ${first.toFixed(1)} ms against ${second.toFixed(1)} ms` };
  };
  return { text, ours, idle, done };
}

let version = 1;

async function press(client: MessageConnection, text: string, { clip, removed, inserted }: KeyPress): Promise<void> {
  const start = placeOfEdit(text, clip);
  version += 1;
  await client.sendNotification('textDocument/didChange', {
    textDocument: { uri: URI, version },
    contentChanges: [{ range: { start, end: { ...start, character: start.character + removed } }, text: inserted }],
  });
  await pull(client);
}

/** Medians in milliseconds of both. They take turns at going first, since each leaves its garbage to the next. */
async function inTurns(
  first: (round: number) => Promise<unknown>,
  second: (round: number) => Promise<unknown>,
): Promise<{ readonly first: number; readonly second: number }> {
  const times = { first: [] as number[], second: [] as number[] };
  for (let round = 0; round < ROUNDS + WARM_UP_ROUNDS; round += 1) {
    const runs = [
      async () => times.first.push(await timeOf(() => first(round))),
      async () => times.second.push(await timeOf(() => second(round))),
    ];
    for (const run of round % 2 === 0 ? runs : runs.reverse()) await run();
  }
  return { first: median(times.first.slice(WARM_UP_ROUNDS)), second: median(times.second.slice(WARM_UP_ROUNDS)) };
}

async function timeOf(work: () => Promise<unknown>): Promise<number> {
  const startedAt = performance.now();
  await work();
  return performance.now() - startedAt;
}

interface Place {
  readonly line: number;
  readonly character: number;
}

const places = new Map<number, Place>();

/** The first digit of a sound's start, in the clip that many clips behind the middle of the text. */
function placeOfEdit(text: string, clip: number): Place {
  let place = places.get(clip);
  if (place === undefined) {
    let at = text.indexOf('DECK_1_0200', text.length / 2);
    for (let behind = 0; behind < clip; behind += 1) at = text.indexOf('"Clip.2"', at + 1);
    const value = text.indexOf('"value": ', text.indexOf('"start_time"', at)) + '"value": '.length;
    place = { line: text.slice(0, value).split('\n').length - 1, character: value - (text.lastIndexOf('\n', value) + 1) };
    places.set(clip, place);
  }
  return place;
}

function pressed(text: string, { line, character }: Place, removed: number): string {
  let at = 0;
  for (let above = 0; above < line; above += 1) at = text.indexOf('\n', at) + 1;
  return `${text.slice(0, at + character)}7${text.slice(at + character + removed)}`;
}

async function pull(client: MessageConnection): Promise<readonly unknown[]> {
  const { items } = await client.sendRequest<{ items: readonly unknown[] }>('textDocument/diagnostic', {
    textDocument: { uri: URI },
  });
  return items;
}

async function connect(start: (connection: Connection) => void): Promise<MessageConnection> {
  const [up, down] = [new PassThrough(), new PassThrough()];
  start(createConnection(new StreamMessageReader(up), new StreamMessageWriter(down)));
  const client = createMessageConnection(new StreamMessageReader(down), new StreamMessageWriter(up));
  client.listen();
  await client.sendRequest('initialize', {
    processId: null,
    rootUri: null,
    capabilities: {
      textDocument: { diagnostic: {}, publishDiagnostics: { relatedInformation: true, dataSupport: true } },
      workspace: { didChangeWatchedFiles: {} },
    },
  });
  await client.sendNotification('initialized', {});
  return client;
}

function startOurs(connection: Connection): void {
  const yieldNow = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));
  const timers = {
    now: () => performance.now(),
    after: (_: number, callback: () => void) => {
      const timer = setImmediate(callback);
      return () => clearImmediate(timer);
    },
    yieldNow,
  };
  startServer(
    connection,
    {
      timers,
      localFiles: reportBeside(),
      soundEngine: () => Promise.reject(new Error('no sound here')),
      documentationUri: 'file:///pages',
    },
    { name: 'afterclap', version: '0' },
  );
}

/** A folder with one report. */
function reportBeside(): FileSystem {
  const missing = { ok: false, reason: 'is not there', isMissing: true } as const;
  const files: Readonly<Record<string, string>> = { [`${FOLDER}day1.alignment.json`]: REPORT };
  return {
    absolute: (path) => path,
    readText: async (path) => {
      const text = files[path];
      return text === undefined ? missing : { ok: true, text, encoding: 'utf-8' };
    },
    list: async (folder) =>
      folder === FOLDER.slice(0, -1) ? { ok: true, entries: [{ name: 'day1.alignment.json', isFolder: false }] } : missing,
    exists: async (path) => files[path] !== undefined,
  };
}

function startIdle(connection: Connection): void {
  const documents = new TextDocuments(TextDocument);
  connection.onInitialize(() => ({
    capabilities: {
      textDocumentSync: TextDocumentSyncKind.Incremental,
      diagnosticProvider: { interFileDependencies: false, workspaceDiagnostics: false },
    },
  }));
  connection.languages.diagnostics.on(() => ({ kind: 'full', items: [] }));
  documents.listen(connection);
  connection.listen();
}
