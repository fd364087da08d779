/**
 * From one comparison to another by keys: along the record, among those that are out, and up and down at one record time.
 */

import type { ChartMarks } from '../../../../server/src/core/report/lagChart/chartMarks.ts';

type IsShown = (index: number) => boolean;

/** The next one that is shown after `from`, or before it; from null the first, or the last. Null at the end. */
export function along(marks: ChartMarks, isShown: IsShown, from: number | null, step: 1 | -1): number | null {
  return find(marks, from, step, isShown);
}

/** The same among those that are not in. */
export function alongOut(marks: ChartMarks, isShown: IsShown, from: number | null, step: 1 | -1): number | null {
  return find(marks, from, step, (index) => isShown(index) && marks.verdict[index] !== 0);
}

export function firstOf(marks: ChartMarks, isShown: IsShown): number | null {
  return find(marks, null, 1, isShown);
}

export function lastOf(marks: ChartMarks, isShown: IsShown): number | null {
  return find(marks, null, -1, isShown);
}

/** The nearest one that lags more (`up`), or leads more, and shares record time with `from`. Null when there is none. */
export function across(marks: ChartMarks, isShown: IsShown, from: number | null, direction: 'up' | 'down'): number | null {
  if (from === null) return firstOf(marks, isShown);
  const height = middleOf(marks, from);
  let nearest: number | null = null;
  for (let index = 0; index < marks.count; index += 1) {
    if (index === from || !isShown(index) || !shareTime(marks, index, from)) continue;
    const distance = direction === 'up' ? middleOf(marks, index) - height : height - middleOf(marks, index);
    // Of two on one spot, the later one counts as higher, so that both can be reached.
    if (distance < 0 || (distance === 0 && (direction === 'up') !== index > from)) continue;
    const before = nearest === null ? Number.POSITIVE_INFINITY : distanceTo(marks, nearest, height);
    if (distance < before || (distance === before && direction === 'down')) nearest = index;
  }
  return nearest;
}

/** The comparison `to` names by its clips, in another state of the chart; null when it is gone. */
export function sameIn(
  clips: readonly { readonly index: number }[],
  comparisons: readonly { readonly picture: number; readonly sound: number }[],
  to: { readonly picture: number; readonly sound: number },
): number | null {
  const at = comparisons.findIndex(
    ({ picture, sound }) => clips[picture]?.index === to.picture && clips[sound]?.index === to.sound,
  );
  return at === -1 ? null : at;
}

function find(marks: ChartMarks, from: number | null, step: 1 | -1, isWanted: IsShown): number | null {
  const start = from === null ? (step === 1 ? 0 : marks.count - 1) : from + step;
  for (let index = start; index >= 0 && index < marks.count; index += step) if (isWanted(index)) return index;
  return null;
}

function middleOf(marks: ChartMarks, index: number): number {
  return ((marks.head[index] as number) + (marks.tail[index] as number)) / 2;
}

function distanceTo(marks: ChartMarks, index: number, height: number): number {
  return Math.abs(middleOf(marks, index) - height);
}

function shareTime(marks: ChartMarks, left: number, right: number): boolean {
  return (
    (marks.start[left] as number) < (marks.end[right] as number) && (marks.start[right] as number) < (marks.end[left] as number)
  );
}
