/**
 * The record timecode at which an edit list begins.
 */

import { type Rational, rational, round } from '../time/rational.ts';
import { labelToFrame } from '../time/timecode.ts';
import type { Timeline } from '../timeline/model.ts';

/** Whole frames. 01:00:00:00 where the timeline does not say (common practice: the hour is the reel). */
export function listStart({ startFrame, rate, isDropFrame }: Timeline): Rational {
  if (startFrame !== null) return rational(round(startFrame));
  const label = { hours: 1, minutes: 0, seconds: 0, frames: 0, isMarkedDrop: false };
  return rational(labelToFrame(label, rate, isDropFrame).frame);
}
