/**
 * How two rates that should be one disagree, in the words of the trade: what it costs per hour and what it usually means.
 */

import { amountOfTime } from '../text/words.ts';
import { type Rate, rateLabel } from '../time/rate.ts';
import { absolute, compare, divide, equals, multiply, ONE, type Rational, rational, subtract } from '../time/rational.ts';

const HOUR = rational(3600);
const PULLED_UP = rational(1001, 1000);

/** True when one rate is the other times 1001/1000: 24 and 24000/1001, 48048 and 48000. */
export function differsByPull(left: Rate, right: Rate): boolean {
  return equals(left, multiply(right, PULLED_UP)) || equals(right, multiply(left, PULLED_UP));
}

/** Seconds that counting at `written` goes wrong in an hour counted at `actual`; always positive. */
export function driftPerHour(written: Rate, actual: Rate): Rational {
  return absolute(multiply(HOUR, subtract(ONE, divide(actual, written))));
}

/** 'counted at 24 instead of 23.976 it runs 3.6 s per hour apart'. */
export function driftInWords(written: Rate, actual: Rate): string {
  const direction = compare(written, actual) > 0 ? 'short' : 'long';
  return `counted at ${rateLabel(written)} instead of ${rateLabel(actual)}, an hour comes out ${amountOfTime(driftPerHour(written, actual))} ${direction}`;
}
