/**
 * Comparing two versions of a long cut, against reading the two texts: what a pull request waits for.
 *
 * The cuts are invented: ten thousand picture and sound clips with the metadata real files carry. The whole way is measured, texts to
 * Markdown; the base is reading both into timelines, nothing else. With 2,000 edits every shot has moved, which no day's work does.
 */

import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import { formatFor } from '../../server/src/core/formats/formatFor.ts';
import { renderCompareMarkdown } from '../../server/src/core/report/renderCompareMarkdown.ts';
import { type CutReview, reviewCut } from '../../server/src/core/review/reviewCut.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { type TestShot, writeEdl, writeOtio } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { type Bench, type BenchResult, compareMedians } from './benchmark.ts';

const STAMP = 14 * 3600 * 24;
const FILES = 40;
const FILE_LENGTH = 400_000;
const SHOTS = 5000;

export const benches: readonly Bench[] = [
  {
    name: 'compare OTIO, 10,000 clips twice, one slip / reading both',
    limit: 3,
    unit: 'x',
    run: async () => compareBench('otio', oneSlip),
  },
  {
    name: 'compare OTIO, 10,000 clips twice, 2,000 edits / reading both',
    limit: 3,
    unit: 'x',
    run: async () => compareBench('otio', manyEdits),
  },
  {
    name: 'compare EDL, 10,000 events twice, 2,000 edits / reading both',
    // Reading a list costs a tenth of reading the same cut as OTIO, comparing it the same.
    limit: 20,
    unit: 'x',
    run: async () => compareBench('edl', manyEdits),
  },
];

const report = readReport(
  'day1.alignment.json',
  writeTestReport({
    pictures: Object.fromEntries(
      numbers(FILES).map((n) => [
        `cam-${n}`,
        { names: [`CAM_${n}.mov`], rate: '24000/1001', start: '14:00:00:00', frames: FILE_LENGTH },
      ]),
    ),
    sounds: Object.fromEntries(
      numbers(FILES).map((n) => [
        `deck-${n}`,
        { names: [`DECK_${n}.wav`], sampleRate: 48000, startSample: STAMP * 2002, samples: FILE_LENGTH * 2002 },
      ]),
    ),
    pairs: numbers(FILES).map((n) => ({ picture: `cam-${n}`, sound: `deck-${n}`, frame: 100, sample: 200200 })),
  }),
);
const settings = readSettings('afterclap.json', '{ "edlRate": "24000/1001" }');
const readOptions = { edlRate: settings.edlRate, sharedPictureRate: null };

interface Shot {
  readonly file: number;
  readonly recordIn: number;
  readonly length: number;
  readonly sourceIn: number;
  /** Frames by which the sound plays later in its recording. */
  readonly slip: number;
}

function compareBench(format: FormatId, edit: (shots: readonly Shot[]) => readonly Shot[]): BenchResult {
  const before = textOf(format, shotsOf());
  const after = textOf(format, edit(shotsOf()));
  const compare = (): CutReview => {
    const review = reviewCut(
      audit({ format, text: before, reports: [report], settings }),
      audit({ format, text: after, reports: [report], settings }),
    );
    renderCompareMarkdown(review, { old: 'old', now: 'new', reportReason: '' });
    return review;
  };
  const { sync, blocks, clips } = compare();
  const told = `${sync.changes.length} slips, ${blocks.length} blocks, ${clips.length} clips told`;
  return compareMedians(
    compare,
    () => [before, after].map((text) => formatFor(format).read(text, readOptions)),
    `${((before.length + after.length) / 1e6).toFixed(1)} MB, ${told}`,
  );
}

function shotsOf(): readonly Shot[] {
  return numbers(SHOTS).map((index) => ({
    file: index % FILES,
    recordIn: index * 60,
    length: 48,
    sourceIn: STAMP + 200 + Math.floor(index / FILES) * 2000,
    slip: 0,
  }));
}

function oneSlip(shots: readonly Shot[]): readonly Shot[] {
  return shots.map((shot, index) => (index === 1234 ? { ...shot, slip: 1 } : shot));
}

/** Every tenth shot is slipped, trimmed or followed by an insert, every twentieth sound is slipped alone. */
function manyEdits(shots: readonly Shot[]): readonly Shot[] {
  let ripple = 0;
  return shots.map((shot, index) => {
    if (index % 10 === 1) ripple += 3;
    const moved = { ...shot, recordIn: shot.recordIn + ripple };
    if (index % 10 === 3) return { ...moved, length: shot.length - 5 };
    if (index % 10 === 5) return { ...moved, sourceIn: shot.sourceIn + 7 };
    return index % 20 === 7 ? { ...moved, slip: 2 } : moved;
  });
}

function textOf(format: FormatId, shots: readonly Shot[]): string {
  const clips: TestShot[] = shots.flatMap(({ file, recordIn, length, sourceIn, slip }) => [
    { track: 'V1', media: `CAM_${file}.mov`, recordIn, length, sourceIn },
    { track: 'A1', media: `DECK_${file}.wav`, recordIn, length, sourceIn: sourceIn + slip },
  ]);
  const cut = { rate: [24000, 1001] as const, media: [], shots: clips };
  return format === 'otio' ? withMetadata(writeOtio(cut)) : writeEdl(cut);
}

/** About 1.5 KB for a clip, in many small members, as real files have them. */
function withMetadata(text: string): string {
  const groups = Object.fromEntries(
    numbers(2).map((group) => [`group${group}`, { scene: '12A', take: 3, isCircled: true, channels: [1, 2] }]),
  );
  const metadata = JSON.stringify({ notes: groups }, null, 4).replaceAll('\n', `\n${' '.repeat(24)}`);
  return text.replaceAll('"metadata": {}', `"metadata": ${metadata}`);
}

function numbers(count: number): readonly number[] {
  return Array.from({ length: count }, (_, index) => index);
}
