/**
 * Where each comparison lies in the picture: the piece of its line that is in view, its mark, and its place at an edge when
 * some of it lies beyond.
 *
 * One object is filled again and again, so that a frame of ten thousand marks makes no garbage.
 *
 * Invariants
 * - A comparison whose record time is in view is seen: by its line, by a mark at an edge, or by both.
 * - Places never lie outside the boxes of the layout.
 */

import type { ChartLayout, ChartScale } from './chartLayout.ts';
import type { ChartMarks } from './chartMarks.ts';
import type { ChartView } from './chartView.ts';

export interface MarkPlace {
  isInView: boolean;
  /** The line within the plot; meaningless unless `hasLine`. */
  hasLine: boolean;
  x1: number;
  y1: number;
  x2: number;
  y2: number;
  /** Where the mark of its verdict stands within the plot: the middle of the line. */
  x: number;
  y: number;
  /** Where it stands at the upper or lower edge; null when nothing lies beyond. */
  over: number | null;
  under: number | null;
  /** What the report leaves open around the mark, within the plot; a cap where the end is in view. */
  hasWhisker: boolean;
  whiskerTop: number;
  whiskerBottom: number;
  hasTopCap: boolean;
  hasBottomCap: boolean;
}

export function emptyPlace(): MarkPlace {
  const line = { isInView: false, hasLine: false, x1: 0, y1: 0, x2: 0, y2: 0, x: 0, y: 0, over: null, under: null };
  return { ...line, hasWhisker: false, whiskerTop: 0, whiskerBottom: 0, hasTopCap: false, hasBottomCap: false };
}

/** Fills `place`. */
export function placeMark(marks: ChartMarks, index: number, { plot }: ChartLayout, scale: ChartScale, place: MarkPlace): void {
  const left = plot.left;
  const right = plot.left + plot.width;
  const top = plot.top;
  const bottom = plot.top + plot.height;
  const startX = scale.x(marks.start[index] as number);
  const endX = scale.x(marks.end[index] as number);
  place.isInView = endX >= left && startX <= right;
  place.hasLine = false;
  place.hasWhisker = false;
  place.over = null;
  place.under = null;
  if (!place.isInView) return;
  const startY = scale.y(marks.head[index] as number);
  const slope = endX > startX ? (scale.y(marks.tail[index] as number) - startY) / (endX - startX) : 0;
  const x1 = Math.max(startX, left);
  const x2 = Math.min(Math.max(endX, startX), right);
  const y1 = startY + slope * (x1 - startX);
  const y2 = startY + slope * (x2 - startX);
  // Where a sloping line crosses the edges of the plot.
  const crossing = (edge: number): number => (slope === 0 ? x1 : Math.min(Math.max(x1 + (edge - y1) / slope, x1), x2));
  const atTop = crossing(top);
  const atBottom = crossing(bottom);
  if (Math.min(y1, y2) < top) place.over = y1 < top ? (x1 + (y2 < top ? x2 : atTop)) / 2 : (atTop + x2) / 2;
  if (Math.max(y1, y2) > bottom) place.under = y1 > bottom ? (x1 + (y2 > bottom ? x2 : atBottom)) / 2 : (atBottom + x2) / 2;
  place.hasLine = Math.max(y1, y2) >= top && Math.min(y1, y2) <= bottom;
  if (!place.hasLine) return;
  const enter = y1 < top ? atTop : y1 > bottom ? atBottom : x1;
  const leave = y2 < top ? atTop : y2 > bottom ? atBottom : x2;
  place.x1 = enter;
  place.x2 = leave;
  place.y1 = clamp(y1 + slope * (enter - x1), top, bottom);
  place.y2 = clamp(y1 + slope * (leave - x1), top, bottom);
  place.x = (enter + leave) / 2;
  place.y = (place.y1 + place.y2) / 2;
  placeWhisker(marks, index, top, bottom, scale, place);
}

function placeWhisker(marks: ChartMarks, index: number, top: number, bottom: number, scale: ChartScale, place: MarkPlace): void {
  const head = marks.head[index] as number;
  const tail = marks.tail[index] as number;
  const lag = scale.lagAt(place.y);
  const most = scale.y(lag + (marks.most[index] as number) - Math.max(head, tail));
  const least = scale.y(lag + (marks.least[index] as number) - Math.min(head, tail));
  place.hasWhisker = least - most > 1e-6;
  place.hasTopCap = most >= top;
  place.hasBottomCap = least <= bottom;
  place.whiskerTop = Math.max(most, top);
  place.whiskerBottom = Math.min(least, bottom);
}

export interface Beyond {
  readonly count: number;
  /** Size of the largest lag or lead, in seconds; 0 when there is none. */
  readonly farthest: number;
}

/** How many of the marks in view lie beyond it, at either edge, and how far. */
export function beyondView(
  marks: ChartMarks,
  view: ChartView,
  isShown: (index: number) => boolean,
): { readonly over: Beyond; readonly under: Beyond } {
  const over = { count: 0, farthest: 0 };
  const under = { count: 0, farthest: 0 };
  for (let index = 0; index < marks.count; index += 1) {
    if ((marks.end[index] as number) < view.recordStart || (marks.start[index] as number) > view.recordEnd) continue;
    const high = Math.max(marks.head[index] as number, marks.tail[index] as number);
    const low = Math.min(marks.head[index] as number, marks.tail[index] as number);
    if ((high <= view.lagHigh && low >= view.lagLow) || !isShown(index)) continue;
    if (high > view.lagHigh) {
      over.count += 1;
      over.farthest = Math.max(over.farthest, Math.abs(high));
    }
    if (low < view.lagLow) {
      under.count += 1;
      under.farthest = Math.max(under.farthest, Math.abs(low));
    }
  }
  return { over, under };
}

/** Two short lines for beside an edge: '10 below', 'to 36.2 s'; none where nothing lies there. */
export function beyondWords({ count, farthest }: Beyond, side: 'above' | 'below'): readonly string[] {
  if (count === 0) return [];
  const amount = farthest >= 1 ? `${farthest.toFixed(1)} s` : `${(farthest * 1000).toFixed(1)} ms`;
  return [`${count} ${side}`, `to ${amount}`];
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(Math.max(value, low), high);
}
