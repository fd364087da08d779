/**
 * Units in which times can be written exactly: which rate to count in so that nothing is rounded.
 *
 * A preferred rate is kept wherever it can hold the time. Otherwise a finer one is taken in which the same instant is a whole
 * number, so a time is never rounded here; formats that cannot change their unit round elsewhere and say so.
 */

import { type Rate, secondsToCount, snapRate } from '../time/rate.ts';
import {
  equals,
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
export function wholeUnit(times: readonly Rational[], preferred: readonly (Rate | null)[]): Rate {
  for (const rate of preferred) {
    if (rate !== null && times.every((time) => isInteger(secondsToCount(time, rate)))) return rate;
  }
  let unit = 1n;
  for (const time of times) unit = leastCommonMultiple(unit, BigInt(reduce(time).denominator));
  return reduce(rational(unit));
}

/** The digits of a whole count. `seconds` at `rate` must be one. */
export function wholeCount(seconds: Rational, rate: Rate): string {
  return String(reduce(secondsToCount(seconds, rate)).numerator);
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
