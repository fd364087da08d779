/**
 * Frame rates and sample rates as exact ratios per second.
 *
 * Files write rates as decimals (23.976, 23.98, 29.97002997). Taken literally they drift by up to
 * 0.9 s per hour, so a written rate is snapped to the ratio it stands for, and the rest of the
 * program only ever sees the ratio.
 */

import { absolute, compare, divide, equals, multiply, type Rational, rational, reduce, subtract } from './rational.ts';

/** Frames or samples per second; always positive and in lowest terms. */
export type Rate = Rational;

const THOUSAND_AND_ONE_FAMILY = [24, 30, 48, 60, 120];
const SNAP_TO_1001 = rational(65, 10000);
const SNAP_TO_INTEGER = rational(5, 10000);
const LARGEST_UNUSUAL_DENOMINATOR = 1001n;
const NTSC = rational(30000, 1001);
const TWICE_NTSC = rational(60000, 1001);

/**
 * The frame rates for which SMPTE ST 12-1:2008 defines timecode (its abstract lists the nominal
 * values; the exact ratios follow from NTSC's 30/1.001).
 */
export const TIMECODE_RATES: readonly Rate[] = [
  rational(24000, 1001),
  rational(24),
  rational(25),
  rational(30000, 1001),
  rational(30),
  rational(48000, 1001),
  rational(48),
  rational(50),
  rational(60000, 1001),
  rational(60),
];

export interface SnappedRate {
  readonly rate: Rate;
  /** False when the written number is neither a 1001 ratio nor a whole number: worth telling the user. */
  readonly isUsual: boolean;
}

/**
 * The ratio a written rate stands for; null when it is zero or negative.
 *
 * N x 1000/1001 for N in 24, 30, 48, 60, 120 within 0.0065; a whole number within 0.0005; otherwise the
 * best fraction with a denominator up to 1001. The widths are chosen so that every spelling met in
 * public files lands right (OpenTimelineIO issues 322, 830, 1822 show the spellings).
 */
export function snapRate(written: Rational): SnappedRate | null {
  if (compare(written, rational(0)) <= 0) return null;
  for (const nominal of THOUSAND_AND_ONE_FAMILY) {
    const candidate = rational(nominal * 1000, 1001);
    if (compare(absolute(subtract(written, candidate)), SNAP_TO_1001) <= 0) return { rate: reduce(candidate), isUsual: true };
  }
  const whole = wholeNumberNear(written);
  if (whole !== null) return { rate: whole, isUsual: true };
  return { rate: bestFraction(written, LARGEST_UNUSUAL_DENOMINATOR), isUsual: false };
}

/** Frame labels per second: 24 for 24000/1001, 30 for 30000/1001. */
export function nominalFramesPerSecond(rate: Rate): number {
  const { numerator, denominator } = rate;
  if (typeof numerator === 'number' && typeof denominator === 'number') {
    const rest = numerator % denominator;
    return rest === 0 ? numerator / denominator : (numerator - rest) / denominator + 1;
  }
  const divisor = BigInt(denominator);
  return Number((BigInt(numerator) + divisor - 1n) / divisor);
}

/** Labels skipped at the start of nine minutes in ten: 2 at 30000/1001, 4 at 60000/1001, else 0. */
export function droppedLabelsPerMinute(rate: Rate): 0 | 2 | 4 {
  if (equals(rate, NTSC)) return 2;
  if (equals(rate, TWICE_NTSC)) return 4;
  return 0;
}

export function isTimecodeRate(rate: Rate): boolean {
  return TIMECODE_RATES.some((candidate) => equals(candidate, rate));
}

/** Rates from here up count samples of sound; below it they count frames of picture. */
const LOWEST_SAMPLE_RATE: Rate = rational(8000);

export function isSampleRate(rate: Rate): boolean {
  return compare(rate, LOWEST_SAMPLE_RATE) >= 0;
}

/** Seconds taken by `count` frames or samples. */
export function countToSeconds(count: Rational, rate: Rate): Rational {
  return divide(count, rate);
}

/** Frames or samples, whole or not, in `seconds`. */
export function secondsToCount(seconds: Rational, rate: Rate): Rational {
  return multiply(seconds, rate);
}

/**
 * A rate as the trade writes it: `23.976`, `29.97`, `25`; an unusual one as its fraction.
 * For rendering only.
 */
export function rateLabel(rate: Rate): string {
  const { numerator, denominator } = reduce(rate);
  if (denominator === 1) return String(numerator);
  const decimals: Record<string, string> = {
    '24000/1001': '23.976',
    '30000/1001': '29.97',
    '48000/1001': '47.952',
    '60000/1001': '59.94',
    '120000/1001': '119.88',
  };
  return decimals[`${numerator}/${denominator}`] ?? `${numerator}/${denominator}`;
}

function wholeNumberNear(written: Rational): Rate | null {
  const nearest = rational((BigInt(written.numerator) * 2n + BigInt(written.denominator)) / (2n * BigInt(written.denominator)));
  if (compare(nearest, rational(0)) <= 0) return null;
  return compare(absolute(subtract(written, nearest)), SNAP_TO_INTEGER) <= 0 ? reduce(nearest) : null;
}

/** Continued-fraction convergents and their last semiconvergent, as in Knuth 4.5.3 (from memory). */
function bestFraction(value: Rational, largestDenominator: bigint): Rate {
  let numerator = BigInt(value.numerator);
  let denominator = BigInt(value.denominator);
  let previous = { n: 0n, d: 1n };
  let current = { n: 1n, d: 0n };
  while (denominator !== 0n) {
    const term = numerator / denominator;
    const next = { n: term * current.n + previous.n, d: term * current.d + previous.d };
    if (next.d > largestDenominator) {
      const room = (largestDenominator - previous.d) / current.d;
      const between = { n: room * current.n + previous.n, d: room * current.d + previous.d };
      return closer(value, between, current);
    }
    previous = current;
    current = next;
    [numerator, denominator] = [denominator, numerator - term * denominator];
  }
  return rational(current.n, current.d);
}

interface Fraction {
  readonly n: bigint;
  readonly d: bigint;
}

function closer(value: Rational, left: Fraction, right: Fraction): Rate {
  const smallest = rational(1, 1001);
  const leftValue = left.n > 0n && left.d > 0n ? rational(left.n, left.d) : smallest;
  const rightValue = right.n > 0n && right.d > 0n ? rational(right.n, right.d) : smallest;
  const leftDistance = absolute(subtract(value, leftValue));
  const rightDistance = absolute(subtract(value, rightValue));
  return reduce(compare(leftDistance, rightDistance) < 0 ? leftValue : rightValue);
}
