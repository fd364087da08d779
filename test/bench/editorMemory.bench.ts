/**
 * What a day of typing leaves behind: the memory of a server after 10,000 edits, against that of the same server before them.
 * It had seen 2,000 others by then, so that its code was compiled.
 *
 * A timeline of about 1 MB is open beside its report. Each edit puts a character into a sound's start or takes it out again, so
 * that everything behind it moves; its findings are fetched at once, and at times an outline or a hover. Garbage is collected
 * before either measurement, array buffers count. The text is the same length at both.
 */

import type { FileSystem } from '../../server/src/project/fileSystem.ts';
import { writeTestReport } from '../support/report.ts';
import type { Bench, BenchResult } from './benchmark.ts';
import { longOtio } from './otioText.ts';
import { startWireServer } from './wireServer.ts';

const CLIP_COUNT = 430;
const TAKE_COUNT = 200;
const EDITS = 10_000;
/** Even, as every second edit takes back the one before it. As many as it takes until everything is compiled. */
const EDITS_BEFORE = 2000;
const FOLDER = 'file:///cut/';
const textDocument = { uri: `${FOLDER}long.otio` };

export const benches: readonly Bench[] = [
  { name: 'memory of the server after 10,000 edits / before', limit: 1.1, unit: 'x', run: memoryOfEdits },
];

async function memoryOfEdits(): Promise<BenchResult> {
  const text = longOtio(CLIP_COUNT);
  const server = await startWireServer({
    files: reportBeside(),
    workspaceFolder: null,
    capabilities: {
      textDocument: { diagnostic: {}, publishDiagnostics: { relatedInformation: true, dataSupport: true } },
      workspace: { didChangeWatchedFiles: {} },
    },
  });
  server.tell('textDocument/didOpen', { textDocument: { ...textDocument, languageId: 'otio', version: 1, text } });
  const place = placeOfEdit(text);
  let version = 1;
  const edit = async (): Promise<void> => {
    version += 1;
    const isPutIn = version % 2 === 0;
    const range = { start: place, end: isPutIn ? place : { ...place, character: place.character + 1 } };
    server.tell('textDocument/didChange', {
      textDocument: { ...textDocument, version },
      contentChanges: [{ range, text: isPutIn ? '1' : '' }],
    });
    await server.ask('textDocument/diagnostic', { textDocument });
    if (version % 250 === 0) await server.ask('textDocument/hover', { textDocument, position: place });
    if (version % 500 === 0) await server.ask('textDocument/documentSymbol', { textDocument });
  };
  for (let at = 0; at < EDITS_BEFORE; at += 1) await edit();
  const before = memory();
  const startedAt = performance.now();
  for (let at = 0; at < EDITS; at += 1) await edit();
  const milliseconds = performance.now() - startedAt;
  const after = memory();
  await server.ask('textDocument/documentSymbol', { textDocument });
  return {
    ratio: after / before,
    detail: `${megabytes(text.length)} of text, ${megabytes(after)} / ${megabytes(before)}, ${(milliseconds / EDITS).toFixed(1)} ms an edit`,
  };
}

/** Bytes that are still held. */
function memory(): number {
  if (globalThis.gc === undefined) throw new Error('run with --expose-gc, as npm run bench does');
  for (let round = 0; round < 4; round += 1) globalThis.gc();
  const { heapUsed, external } = process.memoryUsage();
  return heapUsed + external;
}

function megabytes(bytes: number): string {
  return `${(bytes / 1e6).toFixed(1)} MB`;
}

/** Before the first digit of a sound's start, in the middle of the text. */
function placeOfEdit(text: string): { readonly line: number; readonly character: number } {
  const clip = text.indexOf('"name": "DECK_1_', text.length / 2);
  const value = text.indexOf('"value": ', text.indexOf('"start_time"', clip)) + '"value": '.length;
  const line = text.slice(0, value).split('\n').length - 1;
  return { line, character: value - (text.lastIndexOf('\n', value) + 1) };
}

/** A folder with one report. */
function reportBeside(): FileSystem {
  const takes = Array.from({ length: TAKE_COUNT }, (_, index) => String(index).padStart(4, '0'));
  const report = writeTestReport({
    pictures: Object.fromEntries(
      takes.map((take) => [`cam-${take}`, { names: [`CAM_A_${take}.mov`], rate: 24, frames: 100_000 }]),
    ),
    sounds: Object.fromEntries(
      takes.map((take) => [`deck-1-${take}`, { names: [`DECK_1_${take}.wav`], sampleRate: 48000, samples: 200_000_000 }]),
    ),
    pairs: takes.map((take) => ({ picture: `cam-${take}`, sound: `deck-1-${take}`, frame: 0, sample: 0 })),
  });
  const missing = { ok: false, reason: 'is not there', isMissing: true } as const;
  const name = 'day1.alignment.json';
  return {
    absolute: (path) => path,
    readText: async (path) => (path === `${FOLDER}${name}` ? { ok: true, text: report, encoding: 'utf-8' } : missing),
    list: async (folder) =>
      folder.replace(/\/$/, '') === 'file:///cut' ? { ok: true, entries: [{ name, isFolder: false }] } : missing,
    exists: async (path) => path === `${FOLDER}${name}`,
  };
}
