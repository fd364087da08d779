/**
 * The main promise: lag is exact, in every format, on any cut.
 *
 * Random cuts are written by the tests' own writers and their lags worked out by a second formulation with its own
 * fractions: lag = s(p) - a with s(p) = sample/sampleRate + (p - frame/rate) x (1 + ppm/1e6), the mapping of the alignment
 * report (its published format, section 'alignment report' of the README). Nothing of the code under test is used for that.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Audit } from '../../server/src/core/audit.ts';
import { formatRational } from '../../server/src/core/time/rational.ts';
import { auditText, FORMATS, writeCut } from '../support/auditText.ts';
import type { RatePair, TestCut, TestShot } from '../support/cut.ts';
import { type Fraction, fraction, fractionText, less, minus, over, plus, times } from '../support/fraction.ts';
import type { TestReport } from '../support/report.ts';

const SAMPLE_RATE = 48000;

interface Scenario {
  readonly cut: TestCut;
  readonly report: TestReport;
  readonly frame: number;
  readonly sample: number;
  readonly driftPpm: number;
}

interface ExpectedPair {
  readonly record: { readonly start: string; readonly end: string };
  readonly lag: { readonly head: string; readonly tail: string };
  readonly verdict: string;
}

/** Rates with a whole number of samples per frame, which the neutral XML needs for sample counts. */
const rates: fc.Arbitrary<RatePair> = fc.constantFrom([24000, 1001], [24, 1], [25, 1], [30, 1], [50, 1]);

const scenarios: fc.Arbitrary<Scenario> = fc
  .record({
    rate: rates,
    pictureStamp: fc.integer({ min: 0, max: 1_000_000 }),
    soundStamp: fc.integer({ min: 0, max: 1_000_000 }),
    frame: fc.integer({ min: 0, max: 5000 }),
    sample: fc.integer({ min: 0, max: 40_000_000 }).map((quarters) => quarters / 4),
    driftPpm: fc.constantFrom(0, 12, -7.5, 250, 1000),
    shots: fc.array(
      fc.record({
        track: fc.constantFrom('V1', 'V2', 'A1', 'A2', 'A3'),
        gap: fc.integer({ min: 0, max: 50 }),
        length: fc.integer({ min: 1, max: 4000 }),
        offset: fc.integer({ min: 0, max: 3000 }),
        isNearSync: fc.boolean(),
        nudge: fc.integer({ min: -3, max: 3 }),
      }),
      { minLength: 1, maxLength: 12 },
    ),
  })
  .map(({ rate, pictureStamp, soundStamp, frame, sample, driftPpm, shots }) => {
    const ends = new Map<string, number>();
    const placed: TestShot[] = shots.map((shot) => {
      const recordIn = (ends.get(shot.track) ?? 0) + shot.gap;
      ends.set(shot.track, recordIn + shot.length);
      const isPicture = shot.track.startsWith('V');
      const stamp = isPicture ? pictureStamp : soundStamp;
      // Half of the shots sit near sync, so that verdicts of every kind occur.
      const sync = Math.floor((sample / SAMPLE_RATE - (frame * rate[1]) / rate[0]) * (rate[0] / rate[1]));
      const near = isPicture ? recordIn + 2000 : Math.max(0, recordIn + 2000 + sync + shot.nudge);
      return {
        track: shot.track,
        media: isPicture ? 'CAM_A_0001.mov' : 'DECK_0001.wav',
        recordIn,
        length: shot.length,
        sourceIn: stamp + (shot.isNearSync ? near : shot.offset),
      };
    });
    // An EDL counts record time from its earliest event, the others from the timeline's start: make these one.
    const earliest = Math.min(...placed.map((shot) => shot.recordIn));
    const lengthFrames = 2_000_000;
    const cut: TestCut = {
      rate,
      media: [
        { file: 'CAM_A_0001.mov', stampFrames: pictureStamp, lengthFrames },
        { file: 'DECK_0001.wav', stampFrames: soundStamp, lengthFrames },
      ],
      shots: placed.map((shot) => ({ ...shot, recordIn: shot.recordIn - earliest })),
    };
    const samplesPerFrame = (SAMPLE_RATE * rate[1]) / rate[0];
    const report: TestReport = {
      pictures: {
        'cam-a': {
          names: ['CAM_A_0001.mov'],
          rate: `${rate[0]}/${rate[1]}`,
          start: label(pictureStamp, rate),
          frames: lengthFrames,
        },
      },
      sounds: {
        deck: {
          names: ['DECK_0001.wav'],
          sampleRate: SAMPLE_RATE,
          startSample: soundStamp * samplesPerFrame,
          samples: lengthFrames * samplesPerFrame,
        },
      },
      pairs: [{ picture: 'cam-a', sound: 'deck', frame, sample, driftPpm }],
    };
    return { cut, report, frame, sample, driftPpm };
  });

describe('lag as an exact rational', () => {
  it('is what an independent formulation gives, whichever format carries the cut', () => {
    fc.assert(
      fc.property(scenarios, (scenario) => {
        const expected = expectedPairs(scenario);
        for (const format of FORMATS) {
          const result = auditText(format, writeCut(scenario.cut, format), scenario.report);
          expect(pairsOf(result), format).toEqual(expected);
        }
      }),
      { numRuns: 150 },
    );
  });

  it('depends on nothing but the input: the same call twice gives the same findings', () => {
    fc.assert(
      fc.property(scenarios, fc.constantFrom(...FORMATS), (scenario, format) => {
        const text = writeCut(scenario.cut, format);
        const once = auditText(format, text, scenario.report);
        const again = auditText(format, text, scenario.report);
        expect(again.findings).toEqual(once.findings);
      }),
      { numRuns: 40 },
    );
  });
});

function pairsOf(result: Audit): readonly ExpectedPair[] {
  return result.comparisons
    .map((comparison) => ({
      record: { start: formatRational(comparison.record.start), end: formatRational(comparison.record.end) },
      lag: { head: formatRational(comparison.lag.head), tail: formatRational(comparison.lag.tail) },
      verdict: comparison.verdict,
    }))
    .sort(byText);
}

/** The second formulation: straight from the definitions, in BigInt fractions, with no sharing of steps. */
function expectedPairs({ cut, frame, sample, driftPpm }: Scenario): readonly ExpectedPair[] {
  const seconds = (frames: number): Fraction => fraction(BigInt(frames) * BigInt(cut.rate[1]), cut.rate[0]);
  const stampOf = (media: string): number => cut.media.find(({ file }) => file === media)?.stampFrames ?? 0;
  const expected: ExpectedPair[] = [];
  for (const picture of cut.shots.filter((shot) => shot.track.startsWith('V'))) {
    for (const sound of cut.shots.filter((shot) => shot.track.startsWith('A'))) {
      const start = Math.max(picture.recordIn, sound.recordIn);
      const end = Math.min(picture.recordIn + picture.length, sound.recordIn + sound.length);
      if (start >= end) continue;
      const lagAt = (record: number): Fraction => {
        const p = seconds(picture.sourceIn - stampOf(picture.media) + (record - picture.recordIn));
        const a = seconds(sound.sourceIn - stampOf(sound.media) + (record - sound.recordIn));
        const slope = plus(fraction(1), over(fraction(BigInt(Math.round(driftPpm * 10)), 10), fraction(1_000_000)));
        const anchor = over(fraction(BigInt(Math.round(sample * 4)), 4), fraction(SAMPLE_RATE));
        return minus(plus(anchor, times(minus(p, seconds(frame)), slope)), a);
      };
      const lag = { head: lagAt(start), tail: lagAt(end) };
      expected.push({
        record: { start: fractionText(seconds(start)), end: fractionText(seconds(end)) },
        lag: { head: fractionText(lag.head), tail: fractionText(lag.tail) },
        verdict: verdict(lag, seconds(1)),
      });
    }
  }
  return expected.sort(byText);
}

/** The default tolerance: 1 ms early, one frame late (common practice). */
function verdict(lag: { readonly head: Fraction; readonly tail: Fraction }, frame: Fraction): string {
  const side = (value: Fraction): string => (less(value, fraction(-1, 1000)) ? 'leads' : less(frame, value) ? 'lags' : 'in');
  return side(lag.head) === side(lag.tail) ? side(lag.head) : 'drifts';
}

function byText(left: ExpectedPair, right: ExpectedPair): number {
  return JSON.stringify(left).localeCompare(JSON.stringify(right));
}

function label(frame: number, rate: RatePair): string {
  const nominal = Math.ceil(rate[0] / rate[1]);
  const two = (value: number): string => String(value).padStart(2, '0');
  const seconds = Math.floor(frame / nominal);
  return `${two(Math.floor(seconds / 3600) % 24)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}:${two(frame % nominal)}`;
}
