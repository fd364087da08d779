/**
 * Units in which times can be written exactly: which rate to count in so that nothing is rounded.
 *
 * A preferred rate is kept wherever it can hold the time. Otherwise a finer one is taken in which the same instant is a whole
 * number, so a time is never rounded here; formats that cannot change their unit round elsewhere and say so.
 */

import { type Rate, secondsToCount, snapRate } from '../time/rate.ts';
import {
  absolute,
  compare,
  equals,
  floor,
  formatExactDecimal,
  isInteger,
  parseDecimal,
  type Rational,
  rational,
  reduce,
  toNumber,
} from '../time/rational.ts';

/** A time as a decimal number of units at a decimal rate, both exactly what they say when read by the rules of `snapRate`. */
export interface DecimalTime {
  readonly value: string;
  readonly rateText: string;
  readonly rate: Rate;
}

/** Doubles hold fifteen decimal digits for certain, and other readers read doubles. */
const MOST_DIGITS = 15;
/** Digits of a rate by the schema of the neutral XML. */
const MOST_RATE_DIGITS = 19;
const FINEST_UNIT = rational(1_000_000_000_000);

/** `seconds` in the first of `preferred` that holds it as a short decimal, else in whole parts of a second. */
export function decimalTime(seconds: Rational, preferred: readonly (Rate | null)[]): DecimalTime {
  for (const rate of preferred) {
    if (rate === null) continue;
    const rateText = decimalRate(rate);
    const value = formatExactDecimal(secondsToCount(seconds, rate));
    if (rateText !== null && value !== null && value.replace(/\D/g, '').length <= MOST_DIGITS) return { value, rateText, rate };
  }
  const { numerator, denominator } = reduce(seconds);
  const rate = rational(denominator);
  return { value: String(numerator), rateText: String(denominator), rate };
}

/** The rate as a decimal that is read back as this very ratio; null when no double does that. */
function decimalRate(rate: Rate): string | null {
  const text = String(toNumber(rate));
  const written = parseDecimal(text);
  const snapped = written === null ? null : snapRate(written);
  return snapped !== null && equals(snapped.rate, rate) ? text : null;
}

/** The first of `preferred` in which all of `times` are whole numbers, else the coarsest whole number per second that does it. */
function wholeUnit(times: readonly Rational[], preferred: readonly (Rate | null)[]): Rate {
  for (const rate of preferred) {
    if (rate !== null && times.every((time) => isInteger(secondsToCount(time, rate)))) return rate;
  }
  let unit = 1n;
  for (const time of times) unit = leastCommonMultiple(unit, BigInt(reduce(time).denominator));
  return reduce(rational(unit));
}

/** A unit in which times are whole, or one so fine that rounding to it is a millionth of a millionth of a second. */
interface BoundedUnit {
  readonly unit: Rate;
  readonly isExact: boolean;
}

/** As `wholeUnit`, for a format that holds rates of `MOST_RATE_DIGITS` digits. */
export function boundedUnit(times: readonly Rational[], preferred: readonly (Rate | null)[]): BoundedUnit {
  const unit = wholeUnit(times, preferred);
  return String(unit.numerator).length <= MOST_RATE_DIGITS ? { unit, isExact: true } : { unit: FINEST_UNIT, isExact: false };
}

/** The digits of the whole units at or before `seconds`. */
export function wholeCountBefore(seconds: Rational, rate: Rate): string {
  return String(floor(secondsToCount(seconds, rate)));
}

/** Longer than any file or film by far, in seconds: 30,000 years. */
const OUT_OF_PROPORTION = rational(1_000_000_000_000);

/** True for a number that no timeline means: a damaged file, or an attack. */
export function isOutOfProportion(value: Rational): boolean {
  return compare(absolute(value), OUT_OF_PROPORTION) > 0;
}

function leastCommonMultiple(left: bigint, right: bigint): bigint {
  return (left / greatestCommonDivisor(left, right)) * right;
}

function greatestCommonDivisor(left: bigint, right: bigint): bigint {
  let a = left;
  let b = right;
  while (b !== 0n) [a, b] = [b, a % b];
  return a;
}
