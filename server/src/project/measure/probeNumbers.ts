/** Numbers as ffprobe writes them: `30000/1001`, `0/0` for 'unknown'. */

import { absolute, compare, type Rational, rational, round, subtract } from '../../core/time/rational.ts';

/** A ratio above zero; null for `0/0`, `N/A` and everything else. */
export function parsePositiveRatio(text: string): Rational | null {
  const match = /^(\d{1,15})[/:](\d{1,15})$/.exec(text.trim());
  if (match === null) return null;
  const [numerator, denominator] = [Number(match[1]), Number(match[2])];
  return numerator === 0 || denominator === 0 ? null : rational(numerator, denominator);
}

/** The whole number within `reach` of `value`; null when there is none. */
export function nearest(value: Rational, reach: Rational): number | null {
  const whole = round(value);
  return compare(absolute(subtract(value, rational(whole))), reach) <= 0 ? Number(whole) : null;
}
