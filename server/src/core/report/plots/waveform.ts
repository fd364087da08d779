/**
 * Samples as a shape: for each column of the picture the highest and lowest sample, or a line where samples are few.
 *
 * Nothing is smoothed: a single sample that sticks out is seen, since it may be the edge somebody looks for.
 */

import type { Scale } from './plotScale.ts';
import { element, pathThrough } from './svgText.ts';

/** Samples with their places: sample `index` lies at `first + index * step` on the scale's own axis. */
export interface Trace {
  readonly first: number;
  readonly step: number;
  readonly samples: ArrayLike<number>;
}

/** Fewer samples than this for each unit of width are drawn as a line. */
const LINE_BELOW = 1.5;

export function waveform(trace: Trace, across: Scale, up: Scale, width: number, className: string): string {
  const { first, step, samples } = trace;
  const from = Math.max(0, Math.ceil((across.low - first) / step));
  const to = Math.min(samples.length, Math.floor((across.high - first) / step) + 1);
  if (to - from < 2) return '';
  const clamped = (value: number): number => up.place(Math.max(up.low, Math.min(up.high, value)));
  const x = (index: number): number => across.place(first + index * step);
  if (to - from < LINE_BELOW * width || className !== 'wave') {
    const points = envelopeOrAll(from, to, width, (index) => [x(index), clamped(samples[index] as number)]);
    return element('path', {
      class: className === 'wave' ? 'trace' : className,
      d: pathThrough(points),
      fill: 'none',
      stroke: 'black',
    });
  }
  const upper: (readonly [number, number])[] = [];
  const lower: (readonly [number, number])[] = [];
  const columns = Math.round(width);
  for (let column = 0; column < columns; column += 1) {
    const start = from + Math.floor(((to - from) * column) / columns);
    const end = Math.max(start + 1, from + Math.floor(((to - from) * (column + 1)) / columns));
    let high = Number.NEGATIVE_INFINITY;
    let low = Number.POSITIVE_INFINITY;
    for (let index = start; index < Math.min(end, to); index += 1) {
      high = Math.max(high, samples[index] as number);
      low = Math.min(low, samples[index] as number);
    }
    upper.push([x(start), clamped(high)]);
    lower.push([x(start), clamped(low)]);
  }
  return element('path', { class: 'wave', d: `${pathThrough([...upper, ...lower.reverse()])} Z` });
}

/** Every point where there is room for it, else the extremes of each column in the order in which they come. */
function envelopeOrAll(
  from: number,
  to: number,
  width: number,
  point: (index: number) => readonly [number, number],
): readonly (readonly [number, number])[] {
  const perColumn = (to - from) / width;
  if (perColumn <= 4) return Array.from({ length: to - from }, (_, index) => point(from + index));
  const points: (readonly [number, number])[] = [];
  for (let column = 0; column < width; column += 1) {
    const start = from + Math.floor(column * perColumn);
    const end = Math.min(to, from + Math.floor((column + 1) * perColumn));
    let highest = start;
    let lowest = start;
    for (let index = start; index < end; index += 1) {
      if (point(index)[1] < point(highest)[1]) highest = index;
      if (point(index)[1] > point(lowest)[1]) lowest = index;
    }
    for (const index of [Math.min(highest, lowest), Math.max(highest, lowest)]) points.push(point(index));
  }
  return points;
}

/** The largest magnitude, never 0, so that silence can be drawn. */
export function largestMagnitude(samples: ArrayLike<number>): number {
  let largest = 0;
  for (let index = 0; index < samples.length; index += 1) largest = Math.max(largest, Math.abs(samples[index] as number));
  return largest > 0 ? largest : 1;
}
