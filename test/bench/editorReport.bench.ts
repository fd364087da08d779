/**
 * What an editor asks for while a person reads a long alignment report: 5,000 pairs in about 2 MB, read once and not changed.
 *
 * Timed as in editor.bench.ts: from the first byte of the question to the last of the answer, the 95th percentile of the processor
 * time of the whole process. No timeline is beside it, so a hover does not search the workspace for uses.
 */

import type { FileSystem } from '../../server/src/project/fileSystem.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, median, percentile } from './benchmark.ts';
import { startWireServer, type WireServer } from './wireServer.ts';

const PAIR_COUNT = 5000;
const ROUNDS = 60;
const WARM_UP = 10;
const textDocument = { uri: 'file:///cut/day1.alignment.json' };

const QUESTIONS = [
  ['hover of an entry', 'textDocument/hover'],
  ['the definition of an entry', 'textDocument/definition'],
  ['selection ranges', 'textDocument/selectionRange'],
  ['document symbols', 'textDocument/documentSymbol'],
  ['folding ranges', 'textDocument/foldingRange'],
  ['document links', 'textDocument/documentLink'],
] as const;

export const benches: readonly Bench[] = QUESTIONS.map(([name, method]) => ({
  name: `alignment report of ${PAIR_COUNT} pairs, warm: ${name}, 95th percentile`,
  limit: 30,
  unit: 'ms',
  run: () => answersOf(method),
}));

interface Desk {
  readonly server: WireServer;
  /** Of the names of pictures. */
  readonly positions: readonly { readonly line: number; readonly character: number }[];
}

let desk: Promise<Desk> | null = null;

async function answersOf(method: string): Promise<BenchResult> {
  desk ??= openDesk();
  const { server, positions } = await desk;
  const [own, wall]: [number[], number[]] = [[], []];
  let bytes = 0;
  for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
    const position = positions[(round * 37) % positions.length];
    const answer = await server.ask(method, { textDocument, position, positions: [position] });
    if (round < WARM_UP) continue;
    own.push(answer.processorMilliseconds);
    wall.push(answer.milliseconds);
    bytes = Math.max(bytes, answer.bytes);
  }
  return {
    ratio: percentile(own, 0.95),
    detail: `${ROUNDS} answers of ${Math.ceil(bytes / 1000)} KB, median ${median(own).toFixed(1)} ms; on the wall ${percentile(wall, 0.95).toFixed(1)} ms`,
  };
}

async function openDesk(): Promise<Desk> {
  const takes = Array.from({ length: PAIR_COUNT }, (_, index) => String(index).padStart(4, '0'));
  const text = writeTestReport({
    pictures: Object.fromEntries(
      takes.map((take) => [`cam-${take}`, { names: [`CAM_A_${take}.mov`], rate: 24, frames: 100_000 }]),
    ),
    sounds: Object.fromEntries(
      takes.map((take) => [`deck-${take}`, { names: [`DECK_${take}.wav`], sampleRate: 48000, samples: 200_000_000 }]),
    ),
    pairs: takes.map((take) => ({ picture: `cam-${take}`, sound: `deck-${take}`, frame: 0, sample: 0 })),
  });
  const server = await startWireServer({
    files: emptyShelf(),
    workspaceFolder: null,
    capabilities: {
      textDocument: { diagnostic: {}, documentSymbol: { hierarchicalDocumentSymbolSupport: true } },
      workspace: { didChangeWatchedFiles: {} },
    },
  });
  server.tell('textDocument/didOpen', { textDocument: { ...textDocument, languageId: 'json', version: 1, text } });
  await server.ask('textDocument/diagnostic', { textDocument });
  const positions = text.split('\n').flatMap((words, line) => {
    const character = words.indexOf('"cam-');
    return character === -1 ? [] : [{ line, character: character + 3 }];
  });
  const { result } = await server.ask('textDocument/hover', { textDocument, position: positions[0] });
  if (result() === null) throw new Error('there is no hover where the bench asks for one');
  return { server, positions };
}

function emptyShelf(): FileSystem {
  const missing = { ok: false, reason: 'is not there', isMissing: true } as const;
  return {
    absolute: (path) => path,
    readText: async () => missing,
    list: async () => missing,
    exists: async () => false,
  };
}
