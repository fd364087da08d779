/**
 * Whether drift is taken out of a piece or left in, and where a piece that is copied begins.
 *
 * A copy can't follow a drifting clock; laid in the middle of the drift it is nowhere further off than half of it. So a drift below a
 * threshold over the piece is left in, and the piece stays bit for bit what was recorded. Without drift a piece begins on the nearest
 * whole sample, which is at most half a sample off and moves nothing against itself.
 */

import {
  absolute,
  add,
  compare,
  isOne,
  multiply,
  ONE,
  type Rational,
  rational,
  round,
  subtract,
} from '../../core/time/rational.ts';
import type { ReelPiece } from './reel.ts';

export interface ReelTiming extends Pick<ReelPiece, 'from' | 'step'> {
  readonly isResampled: boolean;
  /** Samples of drift over the piece, not negative. */
  readonly driftSamples: Rational;
  /** The largest distance from the exact place, anywhere in the piece, in samples; 0 when resampled. */
  readonly largestError: Rational;
}

/**
 * `from` and `step` as the report has them, exactly; `thresholdSamples` is how much drift over `count` samples may stay. A recording of
 * another sample rate than the reel's has a step far from 1 and is always resampled.
 */
export function reelTiming(from: Rational, step: Rational, count: number, thresholdSamples: Rational): ReelTiming {
  const last = rational(Math.max(0, count - 1));
  const signedDrift = multiply(subtract(step, ONE), last);
  const driftSamples = absolute(signedDrift);
  if (compare(driftSamples, thresholdSamples) > 0) {
    return { from, step, isResampled: true, driftSamples, largestError: rational(0) };
  }
  const middle = add(from, multiply(signedDrift, rational(1, 2)));
  const start = rational(round(middle));
  const atHead = absolute(subtract(start, from));
  const atTail = absolute(subtract(start, add(from, signedDrift)));
  return {
    from: start,
    step: ONE,
    isResampled: false,
    driftSamples: isOne(step) ? rational(0) : driftSamples,
    largestError: compare(atHead, atTail) >= 0 ? atHead : atTail,
  };
}
