/**
 * Numbers as people read them. Rendering only: nothing here is compared or computed with.
 *
 * Text says 'leads' or 'lags' with a positive number; a bare sign is never shown.
 */

import type { Rate } from '../time/rate.ts';
import { rateLabel, secondsToCount } from '../time/rate.ts';
import { absolute, isInteger, multiply, type Rational, rational, sign, toNumber } from '../time/rational.ts';

/** '41.7 ms', '3.603 s', '0.002 ms': the size of a time, its sign left out. */
export function amountOfTime(seconds: Rational): string {
  const milliseconds = toNumber(multiply(absolute(seconds), rational(1000)));
  if (milliseconds === 0) return '0 ms';
  if (milliseconds >= 1000) return `${trimmed(milliseconds / 1000, 3)} s`;
  if (milliseconds >= 1) return `${trimmed(milliseconds, 1)} ms`;
  return milliseconds >= 0.001 ? `${trimmed(milliseconds, 3)} ms` : 'less than 0.001 ms';
}

/** '1 frame at 23.976', '0.35 frames at 25'. */
export function amountInFrames(seconds: Rational, rate: Rate): string {
  return `${countOf(absolute(secondsToCount(seconds, rate)), 'frame')} at ${rateLabel(rate)}`;
}

/** '2002 samples', '1 sample', '0.5 samples'. */
export function amountInSamples(seconds: Rational, sampleRate: Rate): string {
  return countOf(absolute(secondsToCount(seconds, sampleRate)), 'sample');
}

/** 'leads by 41.7 ms (1 frame at 23.976, 2002 samples)'; 'is exact' at zero. */
export function lagInWords(seconds: Rational, rate: Rate, sampleRate: Rate): string {
  if (sign(seconds) === 0) return 'is exact';
  const verb = sign(seconds) < 0 ? 'leads' : 'lags';
  return `${verb} by ${amountOfTime(seconds)} (${amountInFrames(seconds, rate)}, ${amountInSamples(seconds, sampleRate)})`;
}

/** 'leads by 41.7 ms', 'lags by 12.5 ms', 'is exact'. */
export function shortLag(seconds: Rational): string {
  if (sign(seconds) === 0) return 'is exact';
  return `${sign(seconds) < 0 ? 'leads' : 'lags'} by ${amountOfTime(seconds)}`;
}

/** 'it lags by 6.4 ms at the head and by 66.9 ms at the tail'; 'it leads by 1 ms at the head and lags by 3 ms at the tail'. */
export function lagAtBothEnds(lag: { readonly head: Rational; readonly tail: Rational }): string {
  const hasOneVerb = sign(lag.head) === sign(lag.tail) && sign(lag.head) !== 0;
  const tail = hasOneVerb ? `by ${amountOfTime(lag.tail)}` : shortLag(lag.tail);
  return `it ${shortLag(lag.head)} at the head and ${tail} at the tail`;
}

/** '1 frame', '2.5 frames': a count with its unit, plural as English wants it. */
export function countOf(count: Rational, unit: string): string {
  const number = decimalText(count);
  return `${number} ${number === '1' ? unit : `${unit}s`}`;
}

/** A positive number with two decimals at most; 'under 0.01' when that would read as zero. */
export function decimalText(value: Rational): string {
  if (isInteger(value)) return String(BigInt(value.numerator) / BigInt(value.denominator));
  const number = toNumber(value);
  return number < 0.01 ? 'under 0.01' : trimmed(number, 2);
}

/** 'a', 'a and b', 'a, b and c'. */
export function listInWords(items: readonly string[]): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
}

function trimmed(value: number, places: number): string {
  return value.toFixed(places).replace(/\.?0+$/, '');
}
