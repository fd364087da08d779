/**
 * The whole way, text to findings, as ratios in one process: what a person waits for after a key press or in a check.
 *
 * The cuts are invented and large: ten thousand picture and sound clips, one in a hundred of them a frame out.
 */

import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { type TestCut, type TestShot, writeEdl, writeOtio } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, compareMedians } from './benchmark.ts';

const STAMP = 14 * 3600 * 24;
const FILES = 40;
const FILE_LENGTH = 40_000;

export const benches: readonly Bench[] = [
  { name: 'OTIO 15 MB, 10,000 clips: text to findings / JSON.parse', limit: 4, unit: 'x', run: otioToFindings },
  { name: 'EDL 20,000 events: text to findings / split into lines at CR, LF or both', limit: 40, unit: 'x', run: edlToFindings },
];

async function otioToFindings(): Promise<BenchResult> {
  const text = padded(writeOtio(cutOf(5000)), 15_000_000);
  return compareMedians(
    () => auditOf('otio', text),
    () => JSON.parse(text),
    `${(text.length / 1e6).toFixed(1)} MB`,
  );
}

async function edlToFindings(): Promise<BenchResult> {
  const text = writeEdl(cutOf(10_000));
  return compareMedians(
    () => auditOf('edl', text),
    // Lists end their lines in all three ways, so this is what splitting one takes.
    () => text.split(/\r\n|\r|\n/),
    `${(text.length / 1e6).toFixed(1)} MB`,
  );
}

const report = readReport(
  'day1.alignment.json',
  writeTestReport({
    pictures: Object.fromEntries(
      fileNumbers().map((n) => [
        `cam-${n}`,
        { names: [`CAM_${n}.mov`], rate: '24000/1001', start: '14:00:00:00', frames: FILE_LENGTH },
      ]),
    ),
    sounds: Object.fromEntries(
      fileNumbers().map((n) => [
        `deck-${n}`,
        { names: [`DECK_${n}.wav`], sampleRate: 48000, startSample: STAMP * 2002, samples: FILE_LENGTH * 2002 },
      ]),
    ),
    pairs: fileNumbers().map((n) => ({ picture: `cam-${n}`, sound: `deck-${n}`, frame: 100, sample: 200200 })),
  }),
);
const settings = readSettings('afterclap.json', '{}');

function auditOf(format: FormatId, text: string): number {
  return audit({ format, text, reports: [report], settings }).findings.length;
}

/** `pairCount` pictures, each with its sound under it; every hundredth sound leads by a frame. */
function cutOf(pairCount: number): TestCut {
  const shots: TestShot[] = [];
  for (let index = 0; index < pairCount; index += 1) {
    const file = index % FILES;
    const sourceIn = STAMP + 200 + ((index * 37) % 30_000);
    const place = { recordIn: index * 48, length: 48 };
    shots.push({ track: 'V1', media: `CAM_${file}.mov`, ...place, sourceIn });
    shots.push({ track: 'A1', media: `DECK_${file}.wav`, ...place, sourceIn: sourceIn + (index % 100 === 7 ? 1 : 0) });
  }
  return { rate: [24000, 1001], media: [], shots };
}

/** Metadata as real files carry it, many small fields in nested dictionaries, so that a clip is about 1.5 KB. */
function padded(text: string, size: number): string {
  const clips = text.split('"metadata": {}').length - 1;
  const missing = Math.max(0, Math.floor((size - text.length) / clips));
  let written = 0;
  return text.replaceAll('"metadata": {}', () => {
    written += 1;
    const groups = Array.from({ length: Math.ceil(missing / 230) }, (_, group) => ({
      [`group${group}`]: { scene: `${written % 90}A`, take: written % 9, isCircled: written % 2 === 0, channels: [1, 2] },
    }));
    const metadata = JSON.stringify({ notes: Object.assign({}, ...groups) }, null, 4).replaceAll('\n', `\n${' '.repeat(28)}`);
    return `"metadata": ${metadata}`;
  });
}

function fileNumbers(): readonly number[] {
  return Array.from({ length: FILES }, (_, index) => index);
}
