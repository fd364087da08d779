/**
 * The audit of a converted file is the audit of its source: the same pairs at the same record times, with the same lags and
 * verdicts, whichever two formats are between.
 *
 * The sources are written by the tests' own writers (test/support), not by the code under test. The report is at hand when
 * converting, as it is when checking, so that the start of each file is known.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import type { Audit } from '../../server/src/core/audit.ts';
import type { TargetFormat } from '../../server/src/core/convert/verifyText.ts';
import { formatRational } from '../../server/src/core/time/rational.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { auditText, FORMATS, writeCut } from '../support/auditText.ts';
import type { RatePair, TestCut, TestShot } from '../support/cut.ts';
import { type TestReport, writeTestReport } from '../support/report.ts';
import { convert, told } from '../unit/convert/conversions.ts';

interface Scenario {
  readonly cut: TestCut;
  readonly report: TestReport;
}

const LENGTH = 2_000_000;

const scenarios: fc.Arbitrary<Scenario> = fc
  .record({
    rate: fc.constantFrom<RatePair>([24000, 1001], [24, 1], [25, 1], [30, 1], [50, 1]),
    pictureStamp: fc.integer({ min: 200_000, max: 900_000 }),
    soundStamp: fc.integer({ min: 200_000, max: 900_000 }),
    frame: fc.integer({ min: 0, max: 5000 }),
    sample: fc.integer({ min: 0, max: 10_000_000 }),
    driftPpm: fc.constantFrom(0, 12, -250),
    shots: fc.array(
      fc.record({
        track: fc.constantFrom('V1', 'A1', 'A2', 'A3'),
        gap: fc.constantFrom(0, 0, 7),
        length: fc.integer({ min: 1, max: 2000 }),
        offset: fc.integer({ min: 0, max: 3000 }),
      }),
      { minLength: 1, maxLength: 10 },
    ),
  })
  .map(({ rate, pictureStamp, soundStamp, frame, sample, driftPpm, shots }) => {
    const ends = new Map<string, number>();
    const placed: TestShot[] = shots.map(({ track, gap, length, offset }) => {
      const isPicture = track === 'V1';
      const recordIn = (ends.get(track) ?? 0) + gap;
      ends.set(track, recordIn + length);
      const media = isPicture ? 'CAM_A_0001.mov' : 'DECK_0001.wav';
      return {
        track,
        media,
        recordIn,
        length,
        sourceIn: (isPicture ? pictureStamp : soundStamp) + offset,
        name: `${track} shot`,
      };
    });
    // An edit list counts record time from its earliest event, the others from the timeline's start: make these one.
    const earliest = Math.min(...placed.map((shot) => shot.recordIn));
    const media = [
      { file: 'CAM_A_0001.mov', stampFrames: pictureStamp, lengthFrames: LENGTH },
      { file: 'DECK_0001.wav', stampFrames: soundStamp, lengthFrames: LENGTH },
    ];
    const used = media.filter(({ file }) => placed.some((shot) => shot.media === file));
    const samplesPerFrame = (48_000 * rate[1]) / rate[0];
    const report: TestReport = {
      pictures: {
        'cam-a': { names: ['CAM_A_0001.mov'], rate: `${rate[0]}/${rate[1]}`, start: label(pictureStamp, rate), frames: LENGTH },
      },
      sounds: {
        deck: {
          names: ['DECK_0001.wav'],
          sampleRate: 48_000,
          startSample: soundStamp * samplesPerFrame,
          samples: LENGTH * samplesPerFrame,
        },
      },
      pairs: [{ picture: 'cam-a', sound: 'deck', frame, sample, driftPpm }],
    };
    return { cut: { rate, media: used, shots: placed.map((shot) => ({ ...shot, recordIn: shot.recordIn - earliest })) }, report };
  });

const TARGETS: readonly TargetFormat[] = ['otio', 'xml', 'edl'];
const ROUTES = FORMATS.flatMap((from) => TARGETS.map((to) => ({ from, to })));

describe('the audit of a converted file', () => {
  it.each(ROUTES)('from $from to $to gives the pairs and verdicts of the source', ({ from, to }) => {
    fc.assert(
      fc.property(scenarios, ({ cut, report }) => {
        const text = writeCut(cut, from);
        const reports = [readReport('day1.alignment.json', writeTestReport(report))];
        const converted = convert(from, text, to, { reports });
        // Frames stay frames: nothing of these cuts lies between two, nothing is too fast, too nested or too much.
        const unexpected = converted.losses.filter(({ kind }) => !mayBeTold(from, to).includes(kind));
        expect(told(unexpected)).toEqual([]);
        expect(pairsOf(auditText(to, converted.text, report))).toEqual(pairsOf(auditText(from, text, report)));
      }),
      { numRuns: 40 },
    );
  });
});

/** Kinds that formats differ in, whatever the cut. */
function mayBeTold(from: FormatId, to: TargetFormat): readonly string[] {
  // The identifiers of a playlist are names of media beside the names of clips, and no files.
  const ofPlaylist = from === 'cpl' ? ['identifier', 'metadata', 'name', ...(to === 'xml' ? ['media'] : [])] : [];
  const ofList = to === 'edl' ? ['time-stamp', 'unit', 'rate', ...(from === 'cpl' ? ['media'] : [])] : [];
  return [...ofPlaylist, ...ofList, ...(to === 'xml' ? ['unit'] : []), ...(to === 'otio' ? ['time-stamp'] : [])];
}

function pairsOf(result: Audit): readonly object[] {
  return result.comparisons
    .map(({ record, lag, verdict }) => ({
      record: `${formatRational(record.start)} ${formatRational(record.end)}`,
      lag: `${formatRational(lag.head)} ${formatRational(lag.tail)}`,
      verdict,
    }))
    .sort((left, right) => (JSON.stringify(left) < JSON.stringify(right) ? -1 : 1));
}

function label(frame: number, rate: RatePair): string {
  const nominal = Math.ceil(rate[0] / rate[1]);
  const two = (value: number): string => String(value).padStart(2, '0');
  const seconds = Math.floor(frame / nominal);
  return `${two(Math.floor(seconds / 3600) % 24)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}:${two(frame % nominal)}`;
}
