/**
 * One step of a grid, in counts of the rate a clip's start is written in.
 */

import type { Grid } from '../alignment/settings.ts';
import { countToSeconds, secondsToCount } from '../time/rate.ts';
import { type Rational, rational } from '../time/rational.ts';
import type { AuditContext } from './context.ts';

const PARTS_OF_A_FRAME = { '1f': 1, '1/10f': 10, '1/80f': 80, '1/100f': 100 } as const;

/** Frames are the timeline's; samples are the recording's, where the report knows it. */
export function gridStep(context: AuditContext, clip: number, grid: Grid): Rational {
  const rate = context.timeline.clips[clip]?.start?.rate ?? context.timeline.rate;
  const seconds =
    grid === 'sample'
      ? countToSeconds(rational(1), context.clips[clip]?.sound?.sampleRate ?? rate)
      : countToSeconds(rational(1, PARTS_OF_A_FRAME[grid]), context.timeline.rate);
  return secondsToCount(seconds, rate);
}
