/**
 * Where the start of a clip may land: the steps of a grid, in counts of the rate the start is written in.
 *
 * Two steps act together. The grid is what the project asks for (a frame, a tenth of one, a sample); the unit is the smallest
 * step that can be written there: one frame in an EDL, one edit unit in XML, one sample wherever samples are counted. A tenth
 * of a frame need not be whole samples (200.2 at 23.976), so a position counts as on the grid when it is the last unit at or
 * before a step of it.
 */

import type { Grid } from '../alignment/settings.ts';
import { formatFor } from '../formats/formatFor.ts';
import { countToSeconds, isSampleRate, secondsToCount } from '../time/rate.ts';
import { ceiling, equals, floor, multiply, type Rational, rational } from '../time/rational.ts';
import type { AuditContext } from './context.ts';

/** Where a count is cut off because no finite decimal is exact (a third of a frame, say): 0.04 microseconds at 24. */
export const FINEST_DECIMAL = rational(1, 1_000_000);

const PARTS_OF_A_FRAME = { '1f': 1, '1/10f': 10, '1/80f': 80, '1/100f': 100 } as const;

/** One step of a grid. Frames are the timeline's; samples are the recording's, where the report knows it. */
export function gridStep(context: AuditContext, clip: number, grid: Grid): Rational {
  const rate = context.timeline.clips[clip]?.start?.rate ?? context.timeline.rate;
  const seconds =
    grid === 'sample'
      ? countToSeconds(rational(1), context.clips[clip]?.sound?.sampleRate ?? rate)
      : countToSeconds(rational(1, PARTS_OF_A_FRAME[grid]), context.timeline.rate);
  return secondsToCount(seconds, rate);
}

/** The smallest step that can be written; null where any exact decimal can. */
export function unitStep(context: AuditContext, clip: number): Rational | null {
  const rate = context.timeline.clips[clip]?.start?.rate;
  if (rate !== undefined && isSampleRate(rate)) return rational(1);
  return formatFor(context.timeline.format).startStep(context.timeline, clip);
}

/** The last writable position on the grid that is not after `count`. A null step does not limit. */
export function floorToGrid(count: Rational, step: Rational | null, unit: Rational | null): Rational {
  const onGrid = step === null ? count : floorTo(count, step);
  return unit === null ? onGrid : floorTo(onGrid, unit);
}

/** True when `count` is a step of the grid, or the last unit (where any decimal can be written, a millionth) before one. */
export function isOnGrid(count: Rational, step: Rational, unit: Rational | null): boolean {
  const next = multiply(rational(ceiling(inSteps(count, step))), step);
  return equals(count, next) || equals(count, floorTo(next, unit ?? FINEST_DECIMAL));
}

/** The greatest multiple of `step` that is not above `value`. */
export function floorTo(value: Rational, step: Rational): Rational {
  return multiply(rational(floor(inSteps(value, step))), step);
}

function inSteps(value: Rational, step: Rational): Rational {
  return multiply(value, { numerator: step.denominator, denominator: step.numerator });
}
