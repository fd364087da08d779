/** Frames to seconds as a plain number, for weighing odds. What goes into a report stays rational. */

import { countToSeconds, type Rate } from '../../core/time/rate.ts';
import { type Rational, toNumber } from '../../core/time/rational.ts';

export function toSeconds(frames: Rational, rate: Rate): number {
  return toNumber(countToSeconds(frames, rate));
}
