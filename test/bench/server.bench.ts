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
const ROUNDS = 25;
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
    limit: 1.5,
    unit: 'x',
    run: overAudit,
  },
  {
    name: 'one key press in 10 MB of OTIO to fresh findings / a TextDocument server that does nothing',
    // The aim is 1.5. What is left above it is checking all clips again; only the reading is done for one clip alone.
    limit: 10,
    unit: 'x',
    run: overIdle,
  },
];

async function overAudit(): Promise<BenchResult> {
  const { own, audited, size } = await keyPresses();
  return { ratio: own / audited, detail: `${size}, ${own.toFixed(0)} ms against ${audited.toFixed(0)} ms` };
}

async function overIdle(): Promise<BenchResult> {
  const { own, idle, size } = await keyPresses();
  return { ratio: own / idle, detail: `${size}, ${own.toFixed(0)} ms against ${idle.toFixed(0)} ms` };
}

/** Medians in milliseconds. */
interface KeyPresses {
  readonly own: number;
  readonly idle: number;
  readonly audited: number;
  readonly size: string;
}

async function keyPresses(): Promise<KeyPresses> {
  const text = longOtio(CLIP_COUNT);
  const ours = await connect(startOurs);
  const idle = await connect(startIdle);
  for (const client of [ours, idle]) {
    await client.sendNotification('textDocument/didOpen', { textDocument: { uri: URI, languageId: 'otio', version: 1, text } });
    await pull(client);
  }
  const place = placeOfEdit(text);
  const press = async (client: MessageConnection, round: number): Promise<readonly unknown[]> => {
    const range = { start: place, end: { ...place, character: place.character + 1 } };
    await client.sendNotification('textDocument/didChange', {
      textDocument: { uri: URI, version: round + 2 },
      contentChanges: [{ range, text: String(5 + (round % 5)) }],
    });
    return pull(client);
  };
  const report = readReport('day1.alignment.json', REPORT);
  const times = { own: [] as number[], idle: [] as number[], audited: [] as number[] };
  for (let round = 0; round < ROUNDS; round += 1) {
    times.own.push(
      await timeOf(async () => {
        if ((await press(ours, round)).length === 0) throw new Error('the edit was made to be found, and nothing was');
      }),
    );
    times.idle.push(await timeOf(() => press(idle, round)));
    times.audited.push(await timeOf(async () => audit({ format: 'otio', text, reports: [report], settings: defaultSettings })));
  }
  for (const client of [ours, idle]) client.dispose();
  return {
    own: median(times.own),
    idle: median(times.idle),
    audited: median(times.audited),
    size: `${(text.length / 1e6).toFixed(1)} MB`,
  };
}

async function timeOf(work: () => Promise<unknown>): Promise<number> {
  const startedAt = performance.now();
  await work();
  return performance.now() - startedAt;
}

/** A digit of a sound's start in the middle of the text: changing it puts the clip out of its media or out of sync. */
function placeOfEdit(text: string): { readonly line: number; readonly character: number } {
  const clip = text.indexOf('DECK_1_0200', text.length / 2);
  const start = text.indexOf('"start_time"', clip);
  const value = text.indexOf('"value": ', start) + '"value": '.length;
  const line = text.slice(0, value).split('\n').length - 1;
  return { line, character: value - (text.lastIndexOf('\n', value) + 1) };
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
    { timers, localFiles: reportBeside(), documentationUri: 'file:///pages' },
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
