/**
 * What an editor asks for while a person reads and types in a long timeline: 10 MB of OTIO, checked with its report.
 *
 * Each question is timed from its first byte to the last byte of the answer, in this process: the server's work with the
 * writing of the JSON, without the editor's reading of it. Two figures each: warm, the text checked before and nothing
 * changed since; and after a key press whose findings were fetched, when nothing that was kept counts any more.
 *
 * A figure is the 95th percentile of the processor time of the whole process, so that other programs on the machine do not
 * count and garbage does. The wall clock stands beside it; and, since between any two questions there is one for a hover where
 * no clip is, so does what that took on the wall at the same time.
 */

import type { FileSystem } from '../../server/src/project/fileSystem.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, median, percentile } from './benchmark.ts';
import { longOtio } from './otioText.ts';
import { startWireServer, type WireServer } from './wireServer.ts';

const CLIP_COUNT = 4_300;
const TAKE_COUNT = 400;
const WARM_ROUNDS = 60;
const TYPING_ROUNDS = 60;
/** The first questions compile; an editor has been open for a while. */
const WARM_UP = 10;
/** Milliseconds right after a key press, whatever is asked. */
const TYPING_LIMIT = 50;
const FOLDER = 'file:///cut/';
const URI = `${FOLDER}long.otio`;
const textDocument = { uri: URI };

interface Question {
  readonly name: string;
  readonly method: string;
  readonly params: (desk: Desk, round: number) => object;
  /** Milliseconds, warm. */
  readonly limit: number;
}

const QUESTIONS: readonly Question[] = [
  {
    name: 'hover of a clip',
    method: 'textDocument/hover',
    params: ({ positions }, round) => ({ textDocument, position: positions[(round * 37) % positions.length] }),
    limit: 30,
  },
  {
    name: 'inlay hints of a screen of 60 lines',
    method: 'textDocument/inlayHint',
    params: ({ lineCount }, round) => ({ textDocument, range: linesFrom((round * 4_999) % lineCount, 60) }),
    limit: 30,
  },
  {
    name: 'inlay hints of the whole file',
    method: 'textDocument/inlayHint',
    params: ({ lineCount }) => ({ textDocument, range: linesFrom(0, lineCount) }),
    limit: 30,
  },
  { name: 'document symbols', method: 'textDocument/documentSymbol', params: () => ({ textDocument }), limit: 30 },
  { name: 'document links', method: 'textDocument/documentLink', params: () => ({ textDocument }), limit: 50 },
  { name: 'folding ranges', method: 'textDocument/foldingRange', params: () => ({ textDocument }), limit: 50 },
  { name: 'semantic tokens', method: 'textDocument/semanticTokens/full', params: () => ({ textDocument }), limit: 50 },
  { name: 'code lens', method: 'textDocument/codeLens', params: () => ({ textDocument }), limit: 50 },
  {
    name: 'code actions for the light bulb at the caret',
    method: 'textDocument/codeAction',
    params: ({ positions }, round) => actionsAt(positions[(round * 41) % positions.length] as Position, AUTOMATICALLY),
    limit: 30,
  },
  {
    // Works out all safe fixes of the timeline, to offer them together.
    name: 'the menu of code actions',
    method: 'textDocument/codeAction',
    params: ({ positions }, round) => actionsAt(positions[(round * 47) % positions.length] as Position, WHEN_INVOKED),
    limit: 50,
  },
  {
    name: 'the definition of a clip',
    method: 'textDocument/definition',
    params: ({ positions }, round) => ({ textDocument, position: positions[(round * 43) % positions.length] }),
    limit: 50,
  },
  {
    name: 'selection ranges',
    method: 'textDocument/selectionRange',
    params: ({ positions }, round) => ({ textDocument, positions: [positions[(round * 53) % positions.length]] }),
    limit: 50,
  },
];

export const benches: readonly Bench[] = QUESTIONS.flatMap((question) => [
  {
    name: `10 MB of OTIO, warm: ${question.name}, 95th percentile`,
    limit: question.limit,
    unit: 'ms',
    run: async () => figureOf((await figures()).warm, question),
  },
  {
    name: `10 MB of OTIO, after a key press: ${question.name}, 95th percentile`,
    limit: TYPING_LIMIT,
    unit: 'ms',
    run: async () => figureOf((await figures()).typing, question),
  },
]);

interface Desk {
  readonly server: WireServer;
  /** Of sound clips, in the digits of their starts. */
  readonly positions: readonly Position[];
  readonly lineCount: number;
}

interface Position {
  readonly line: number;
  readonly character: number;
}

interface Times {
  readonly own: number[];
  readonly wall: number[];
  readonly idle: number[];
  bytes: number;
}

type Figures = ReadonlyMap<string, Times>;

function figureOf(all: Figures, { name }: Question): BenchResult {
  const { own, wall, idle, bytes } = all.get(name) as Times;
  const size = bytes < 10_000 ? `${bytes} bytes` : `${Math.round(bytes / 1000)} KB`;
  return {
    ratio: percentile(own, 0.95),
    detail: `${own.length} answers of ${size}, median ${median(own).toFixed(1)} ms; on the wall ${percentile(wall, 0.95).toFixed(1)} ms, median ${median(wall).toFixed(1)} ms; a hover over nothing ${percentile(idle, 0.95).toFixed(1)} ms`,
  };
}

let measured: Promise<{ readonly warm: Figures; readonly typing: Figures }> | null = null;

/** All questions are asked in one run, which several benches share. */
function figures() {
  measured ??= measure();
  return measured;
}

async function measure() {
  const desk = await openDesk();
  const round = async (all: Map<string, Times>, at: number): Promise<void> => {
    for (const { name, method, params } of QUESTIONS) {
      const idle = await desk.server.ask('textDocument/hover', { textDocument, position: { line: 0, character: 0 } });
      const answer = await desk.server.ask(method, params(desk, at));
      if (at < WARM_UP) continue;
      const times = all.get(name) ?? { own: [], wall: [], idle: [], bytes: 0 };
      all.set(name, times);
      times.own.push(answer.processorMilliseconds);
      times.wall.push(answer.milliseconds);
      times.idle.push(idle.milliseconds);
      times.bytes = Math.max(times.bytes, answer.bytes);
    }
  };
  const warm = new Map<string, Times>();
  for (let at = 0; at < WARM_UP + WARM_ROUNDS; at += 1) await round(warm, at);
  const typing = new Map<string, Times>();
  const place = desk.positions[desk.positions.length >> 1] as Position;
  for (let at = 0; at < WARM_UP + TYPING_ROUNDS; at += 1) {
    const range = { start: place, end: { ...place, character: place.character + 1 } };
    desk.server.tell('textDocument/didChange', {
      textDocument: { uri: URI, version: at + 2 },
      contentChanges: [{ range, text: String(1 + (at % 9)) }],
    });
    await desk.server.ask('textDocument/diagnostic', { textDocument });
    await round(typing, at);
  }
  return { warm, typing };
}

async function openDesk(): Promise<Desk> {
  const text = longOtio(CLIP_COUNT);
  const server = await startWireServer({
    files: shelf(),
    workspaceFolder: null,
    capabilities: {
      textDocument: {
        diagnostic: {},
        publishDiagnostics: { relatedInformation: true, dataSupport: true },
        documentSymbol: { hierarchicalDocumentSymbolSupport: true },
        hover: { contentFormat: ['markdown', 'plaintext'] },
        semanticTokens: { requests: { full: true, range: true }, tokenTypes: [], tokenModifiers: [], formats: ['relative'] },
      },
      workspace: { didChangeWatchedFiles: {} },
    },
  });
  server.tell('textDocument/didOpen', { textDocument: { uri: URI, languageId: 'otio', version: 1, text } });
  const { items } = (await server.ask('textDocument/diagnostic', { textDocument })).result() as {
    readonly items: readonly unknown[];
  };
  if (items.length === 0) throw new Error('the timeline was made to have findings, and has none');
  return { server, positions: startsOfSounds(text), lineCount: text.split('\n').length };
}

/** LSP 3.17, CodeActionTriggerKind. */
const [WHEN_INVOKED, AUTOMATICALLY] = [1, 2];

function actionsAt(start: Position, triggerKind: number | undefined) {
  return { textDocument, range: { start, end: start }, context: { diagnostics: [], triggerKind } };
}

function linesFrom(line: number, count: number) {
  return { start: { line, character: 0 }, end: { line: line + count, character: 0 } };
}

/** The first digit of each sound clip's start. */
function startsOfSounds(text: string): readonly Position[] {
  const positions: Position[] = [];
  let kind = '';
  let isStart = false;
  for (const [line, words] of text.split('\n').entries()) {
    if (words.includes('"name": "DECK_') && !words.includes('.wav')) kind = 'sound';
    if (words.includes('"name": "CAM_')) kind = 'picture';
    if (words.includes('"start_time"')) isStart = kind === 'sound';
    const at = words.indexOf('"value": ');
    if (at === -1 || !isStart) continue;
    positions.push({ line, character: at + '"value": '.length });
    isStart = false;
    kind = '';
  }
  return positions;
}

/** A folder with the report and half of the media. */
function shelf(): FileSystem {
  const takes = Array.from({ length: TAKE_COUNT }, (_, index) => String(index).padStart(4, '0'));
  const report = writeTestReport({
    pictures: Object.fromEntries(
      takes.map((take) => [`cam-${take}`, { names: [`CAM_A_${take}.mov`], rate: 24, frames: 100_000 }]),
    ),
    sounds: Object.fromEntries(
      takes.flatMap((take) =>
        [1, 2].map((track) => [
          `deck-${track}-${take}`,
          { names: [`DECK_${track}_${take}.wav`], sampleRate: 48000, samples: 200_000_000 },
        ]),
      ),
    ),
    // Every tenth take was paired a frame off, so that there is something to hint at.
    pairs: takes.flatMap((take, index) =>
      [1, 2].map((track) => ({
        picture: `cam-${take}`,
        sound: `deck-${track}-${take}`,
        frame: index % 10 === 3 ? 1 : 0,
        sample: 0,
      })),
    ),
  });
  const missing = { ok: false, reason: 'is not there', isMissing: true } as const;
  const reportUri = `${FOLDER}day1.alignment.json`;
  const media = takes
    .slice(0, TAKE_COUNT / 2)
    .flatMap((take) => [`CAM_A_${take}.mov`, `DECK_1_${take}.wav`, `DECK_2_${take}.wav`]);
  const folders: Readonly<Record<string, readonly string[]>> = {
    'file:///cut': ['day1.alignment.json', 'long.otio'],
    'file:///shoot/day1': media,
  };
  return {
    absolute: (path) => path,
    readText: async (path) => (path === reportUri ? { ok: true, text: report, encoding: 'utf-8' } : missing),
    list: async (folder) => {
      const names = folders[folder.replace(/\/$/, '')];
      return names === undefined ? missing : { ok: true, entries: names.map((name) => ({ name, isFolder: false })) };
    },
    exists: async (path) => path === reportUri,
  };
}
