/**
 * A lag in as few characters as it can be said in: 'lags 12.5 ms, 0.30 f'. For places where a sentence has no room.
 */

import type { Comparison } from '../rules/comparison.ts';
import { amountOfTime } from '../text/words.ts';
import { type Rate, secondsToCount } from '../time/rate.ts';
import { absolute, compare, isInteger, isZero, type Rational, sign, toNumber } from '../time/rational.ts';

/** 'leads 41.7 ms, 1 f'; for drift both ends: 'drifts, leads 6.4 ms to lags 66.9 ms'. */
export function lagLabel({ lag, verdict }: Pick<Comparison, 'lag' | 'verdict'>, rate: Rate): string {
  if (verdict === 'drifts') return `drifts, ${bare(lag.head)} to ${bare(lag.tail)}`;
  const largest = compare(absolute(lag.head), absolute(lag.tail)) >= 0 ? lag.head : lag.tail;
  return isZero(largest) ? 'exact' : `${bare(largest)}, ${frames(largest, rate)}`;
}

function bare(seconds: Rational): string {
  if (isZero(seconds)) return 'exact';
  return `${sign(seconds) < 0 ? 'leads' : 'lags'} ${amountOfTime(seconds)}`;
}

function frames(seconds: Rational, rate: Rate): string {
  const count = absolute(secondsToCount(seconds, rate));
  if (isInteger(count)) return `${toNumber(count)} f`;
  const text = toNumber(count).toFixed(2);
  return `${text === '0.00' ? 'under 0.01' : text} f`;
}
