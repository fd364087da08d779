/**
 * A workspace of 500 timelines checked at once, as an editor asks for it when a folder is opened.
 *
 * The files lie on the disk: lists, OTIO and XML of an invented shoot in 25 folders, a report above them all. Measured from the
 * question to the end of the answer, sent in parts and with progress, against the audits of the same 500 texts one after the
 * other without a server, a disk or a protocol. Both in turns, each time with a server that has read nothing yet.
 */

import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { createNodeFileSystem } from '../../server/src/node/fileSystem.ts';
import { type TestCut, type TestShot, writeEdl, writeOtio, writeXml } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, median } from './benchmark.ts';
import { startWireServer } from './wireServer.ts';

const TIMELINE_COUNT = 500;
const FOLDER_COUNT = 25;
const PAIRS_PER_TIMELINE = 40;
const TAKE_COUNT = 40;
const TAKE_FRAMES = 40_000;
const STAMP = 14 * 3600 * 25;
const ROUNDS = 7;
const WARM_UP = 2;

export const benches: readonly Bench[] = [
  { name: '500 timelines of a workspace checked, with progress / their audits alone', limit: 3, unit: 'x', run: scan },
];

interface Timeline {
  readonly path: string;
  readonly format: FormatId;
  readonly text: string;
}

async function scan(): Promise<BenchResult> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-bench-'));
  try {
    const timelines = makeTimelines();
    const input = { reports: [readReport('day1.alignment.json', REPORT)], settings: defaultSettings };
    await writeAll(folder, timelines);
    const times = { scan: [] as number[], audits: [] as number[] };
    for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
      const scanned = await scanOnce(pathToFileURL(folder).href);
      const startedAt = performance.now();
      for (const { format, text } of timelines) {
        if (audit({ ...input, format, text }).findings.length === 0) throw new Error('a lead was made to be found, and was not');
      }
      const alone = performance.now() - startedAt;
      if (round < WARM_UP) continue;
      times.scan.push(scanned);
      times.audits.push(alone);
    }
    const [own, alone] = [median(times.scan), median(times.audits)];
    const size = timelines.reduce((sum, { text }) => sum + text.length, 0) / 1e6;
    return { ratio: own / alone, detail: `${size.toFixed(0)} MB in all, ${own.toFixed(0)} ms / ${alone.toFixed(0)} ms` };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Milliseconds. */
async function scanOnce(workspaceFolder: string): Promise<number> {
  const server = await startWireServer({
    files: createNodeFileSystem(),
    workspaceFolder,
    capabilities: {
      textDocument: { diagnostic: {}, publishDiagnostics: { relatedInformation: true, dataSupport: true } },
      workspace: { didChangeWatchedFiles: {}, diagnostics: {} },
      window: { workDoneProgress: true },
    },
  });
  const tokens = { partialResultToken: 'part', workDoneToken: 'work' };
  const answer = await server.ask('workspace/diagnostic', { previousResultIds: [], ...tokens });
  // One part for each file and one step of progress; the report is a file too.
  const told = server.count('$/progress');
  if (told < 2 * TIMELINE_COUNT) throw new Error(`only ${told} parts and steps came for ${TIMELINE_COUNT} timelines`);
  return answer.milliseconds;
}

function makeTimelines(): readonly Timeline[] {
  const writers = [
    ['edl', '.edl', writeEdl],
    ['otio', '.otio', writeOtio],
    ['xml', '.timeline.xml', writeXml],
  ] as const;
  return Array.from({ length: TIMELINE_COUNT }, (_, at): Timeline => {
    const [format, ending, write] = writers[at % writers.length] as (typeof writers)[number];
    return { path: join(`reel-${at % FOLDER_COUNT}`, `cut-${at}${ending}`), format, text: write(cutOf(at)) };
  });
}

async function writeAll(folder: string, timelines: readonly Timeline[]): Promise<void> {
  for (let at = 0; at < FOLDER_COUNT; at += 1) await mkdir(join(folder, `reel-${at}`));
  for (const { path, text } of timelines) await writeFile(join(folder, path), text);
  await writeFile(join(folder, 'afterclap.json'), '{ "alignment": ["day1.alignment.json"] }\n');
  await writeFile(join(folder, 'day1.alignment.json'), REPORT);
}

/** Every tenth sound leads by a frame. */
function cutOf(seed: number): TestCut {
  const shots: TestShot[] = [];
  for (let index = 0; index < PAIRS_PER_TIMELINE; index += 1) {
    const take = (seed + index) % TAKE_COUNT;
    const sourceIn = STAMP + 200 + ((seed * 101 + index * 37) % 30_000);
    const place = { recordIn: index * 48, length: 48 };
    shots.push({ track: 'V1', media: `CAM_${take}.mov`, ...place, sourceIn });
    shots.push({ track: 'A1', media: `DECK_${take}.wav`, ...place, sourceIn: sourceIn + (index % 10 === 7 ? 1 : 0) });
  }
  const media = Array.from({ length: TAKE_COUNT }, (_, take) => [`CAM_${take}.mov`, `DECK_${take}.wav`]).flat();
  return { rate: [25, 1], media: media.map((file) => ({ file, stampFrames: STAMP, lengthFrames: TAKE_FRAMES })), shots };
}

const TAKES = Array.from({ length: TAKE_COUNT }, (_, take) => take);
const REPORT = writeTestReport({
  pictures: Object.fromEntries(
    TAKES.map((take) => [`cam-${take}`, { names: [`CAM_${take}.mov`], rate: 25, start: '14:00:00:00', frames: TAKE_FRAMES }]),
  ),
  sounds: Object.fromEntries(
    TAKES.map((take) => [
      `deck-${take}`,
      { names: [`DECK_${take}.wav`], sampleRate: 48000, startSample: STAMP * 1920, samples: TAKE_FRAMES * 1920 },
    ]),
  ),
  pairs: TAKES.map((take) => ({ picture: `cam-${take}`, sound: `deck-${take}`, frame: 100, sample: 192_000 })),
});
