/**
 * The line of a pair against an independent formulation in BigInt fractions, and what it must do at its own instant.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { mapPictureToSound, mapSoundToPicture } from '../../server/src/core/alignment/pairLine.ts';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { equals, formatRational, rational } from '../../server/src/core/time/rational.ts';

interface Written {
  readonly rate: readonly [bigint, bigint];
  readonly sampleRate: readonly [bigint, bigint];
  /** In thousandths. */
  readonly frame: bigint;
  /** In millionths. */
  readonly sample: bigint;
  /** In ten-thousandths of a part per million. */
  readonly drift: bigint;
}

const written: fc.Arbitrary<Written> = fc.record({
  rate: fc.constantFrom<[bigint, bigint]>(
    [24000n, 1001n],
    [24n, 1n],
    [25n, 1n],
    [30000n, 1001n],
    [50n, 1n],
    [60000n, 1001n],
    [47n, 2n],
  ),
  sampleRate: fc.constantFrom<[bigint, bigint]>([44100n, 1n], [48000n, 1n], [48000000n, 1001n], [96000n, 1n], [192000n, 1n]),
  frame: fc.bigInt({ min: 0n, max: 10n ** 10n }),
  sample: fc.bigInt({ min: 0n, max: 10n ** 17n }),
  drift: fc.oneof(fc.constant(0n), fc.bigInt({ min: -9_990_000n, max: 10_000_000n })),
});

const decimalText = (value: bigint, places: number): string => {
  const digits = (value < 0n ? -value : value).toString().padStart(places + 1, '0');
  return `${value < 0n ? '-' : ''}${digits.slice(0, -places)}.${digits.slice(-places)}`;
};

function pairOf({ rate, sampleRate, frame, sample, drift }: Written): Parameters<typeof mapPictureToSound>[0] {
  const at = `{ "frame": ${decimalText(frame, 3)}, "sample": ${decimalText(sample, 6)} }`;
  const text = `{ "alignment": 1, "pictures": { "p": { "rate": "${rate.join('/')}" } }, "sounds": { "s": { "sampleRate": "${sampleRate.join('/')}" } },
    "pairs": [{ "picture": "p", "sound": "s", "at": ${at}, "driftPpm": ${decimalText(drift, 4)} }] }`;
  const [pair] = readReport('r', text).pairs;
  if (pair === undefined) throw new Error('the pair was not read');
  return pair;
}

/** s(p) = sample/sampleRate + (p - frame/rate) x (1 + driftPpm/1e6), over one common denominator and without a division. */
function expected({ rate, sampleRate, frame, sample, drift }: Written, [p, q]: readonly [bigint, bigint]): string {
  const [r, rd] = rate;
  const [n, nd] = sampleRate;
  const soundN = sample * nd;
  const soundD = 1_000_000n * n;
  const sinceN = p * (1000n * r) - frame * rd * q;
  const sinceD = q * 1000n * r;
  const slopeN = 10n ** 10n + drift;
  const slopeD = 10n ** 10n;
  const numerator = soundN * sinceD * slopeD + sinceN * slopeN * soundD;
  const denominator = soundD * sinceD * slopeD;
  const divisor = gcd(numerator < 0n ? -numerator : numerator, denominator);
  const lowest = [numerator / divisor, denominator / divisor];
  return lowest[1] === 1n ? String(lowest[0]) : lowest.join('/');
}

function gcd(left: bigint, right: bigint): bigint {
  return right === 0n ? left : gcd(right, left % right);
}

const mediaTimes = fc.tuple(fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n }), fc.bigInt({ min: 1n, max: 48_048_000n }));

describe('picture media time in the sound', () => {
  it('is exactly s(p)', () => {
    fc.assert(
      fc.property(written, mediaTimes, (pair, time) => {
        expect(formatRational(mapPictureToSound(pairOf(pair), rational(time[0], time[1])))).toBe(expected(pair, time));
      }),
      { numRuns: 1000 },
    );
  });

  it('goes back exactly', () => {
    fc.assert(
      fc.property(written, mediaTimes, (values, time) => {
        const pair = pairOf(values);
        const picture = rational(time[0], time[1]);
        expect(equals(mapSoundToPicture(pair, mapPictureToSound(pair, picture)), picture)).toBe(true);
      }),
    );
  });

  it('meets the sample of the report at its frame, whatever the drift', () => {
    fc.assert(
      fc.property(written, (values) => {
        const { rate, sampleRate, frame, sample } = values;
        const at = rational(frame * rate[1], 1000n * rate[0]);
        expect(equals(mapPictureToSound(pairOf(values), at), rational(sample * sampleRate[1], 1_000_000n * sampleRate[0]))).toBe(
          true,
        );
      }),
    );
  });

  it('gains 3.6 s per hour at a 0.1 % pull, and 3.6 ms per hour and part per million', () => {
    // Computed from the definition; the trade's figure for 0.1 % is 3.6 s per hour.
    const drifting = (drift: bigint): string =>
      formatRational(
        mapPictureToSound(pairOf({ rate: [24n, 1n], sampleRate: [48000n, 1n], frame: 0n, sample: 0n, drift }), rational(3600)),
      );
    expect(drifting(10_000_000n)).toBe('18018/5');
    expect(drifting(10_000n)).toBe(formatRational(rational(3600_0036n, 10000n)));
  });
});
