/**
 * Which part of the chart is looked at, and how it moves: fitting, zooming, panning.
 *
 * A few wild lags must not flatten all others. So the fitted view holds what lies near the tolerance, and what lies beyond is
 * shown at the edge with its number (see markPlaces.ts). Nothing is ever left out for being large.
 */

import type { ChartMarks } from './chartMarks.ts';

/** Seconds of record time across, seconds of lag up; `lagLow` is negative where leads are in view. */
export interface ChartView {
  readonly recordStart: number;
  readonly recordEnd: number;
  readonly lagLow: number;
  readonly lagHigh: number;
}

/** A lag of more than this many tolerances is shown at the edge of a fitted view. */
const LARGEST_FITTED = 12;
/** A lag this many times larger than the next smaller one starts a group of its own, and the view ends before it. */
const LARGEST_GAP = 6;
const SMALLEST_RECORD_SPAN = 0.05;
const SMALLEST_LAG_SPAN = 2e-4;
/** Empty room around what is fitted, as a part of its size. */
const MARGIN = 0.14;

/** The whole record, and of the lags as many as can be seen beside each other. `isShown` says which marks count. */
export function fittedView(marks: ChartMarks, isShown: (index: number) => boolean): ChartView {
  return { ...wholeRecord(marks), ...fittedLags(marks, isShown) };
}

/** The whole record with every lag in scale, the largest included. */
export function wholeView(marks: ChartMarks, isShown: (index: number) => boolean): ChartView {
  let { low, high } = marks.band.outer;
  for (let index = 0; index < marks.count; index += 1) {
    if (!isShown(index)) continue;
    low = Math.min(low, marks.least[index] as number);
    high = Math.max(high, marks.most[index] as number);
  }
  return { ...wholeRecord(marks), ...withMargin(low, high) };
}

function wholeRecord({ duration }: ChartMarks): Pick<ChartView, 'recordStart' | 'recordEnd'> {
  return { recordStart: -duration * 0.01, recordEnd: duration * 1.01 };
}

function fittedLags(marks: ChartMarks, isShown: (index: number) => boolean): Pick<ChartView, 'lagLow' | 'lagHigh'> {
  const { outer } = marks.band;
  const unit = Math.max(outer.high, -outer.low, 1e-3);
  const limit = groupNear(marks, isShown, unit);
  let { low, high } = outer;
  for (let index = 0; index < marks.count; index += 1) {
    if (!isShown(index)) continue;
    const head = marks.head[index] as number;
    const tail = marks.tail[index] as number;
    // A whisker longer than the chart says as much when it leaves it.
    const early = Math.min(Math.min(head, tail) - (marks.least[index] as number), limit);
    const late = Math.min((marks.most[index] as number) - Math.max(head, tail), limit);
    for (const lag of [head, tail]) {
      if (Math.abs(lag) > limit) continue;
      low = Math.min(low, lag - early);
      high = Math.max(high, lag + late);
    }
  }
  return withMargin(low, high);
}

/** The largest size of a lag that is still fitted. */
function groupNear(marks: ChartMarks, isShown: (index: number) => boolean, unit: number): number {
  const sizes: number[] = [];
  for (let index = 0; index < marks.count; index += 1) {
    if (isShown(index)) sizes.push(Math.abs(marks.head[index] as number), Math.abs(marks.tail[index] as number));
  }
  sizes.sort((left, right) => left - right);
  let largest = unit;
  for (const size of sizes) {
    if (size > largest * LARGEST_GAP || size > unit * LARGEST_FITTED) break;
    largest = Math.max(largest, size);
  }
  return largest;
}

function withMargin(low: number, high: number): Pick<ChartView, 'lagLow' | 'lagHigh'> {
  const room = Math.max(high - low, SMALLEST_LAG_SPAN) * MARGIN;
  return { lagLow: low - room, lagHigh: high + room };
}

export interface Zoom {
  /** Above 1 shows more, below 1 less. */
  readonly record: number;
  readonly lag: number;
  /** What stays in its place: parts of the view's width and height, from the left and from the bottom. */
  readonly across: number;
  readonly up: number;
}

export function zoomed(view: ChartView, zoom: Zoom, marks: ChartMarks): ChartView {
  const recordSpan = view.recordEnd - view.recordStart;
  const lagSpan = view.lagHigh - view.lagLow;
  const record = Math.min(Math.max(recordSpan * zoom.record, SMALLEST_RECORD_SPAN), marks.duration * 1.2);
  const lag = Math.min(Math.max(lagSpan * zoom.lag, SMALLEST_LAG_SPAN), largestLagSpan(marks));
  const recordStart = view.recordStart + (recordSpan - record) * zoom.across;
  const lagLow = view.lagLow + (lagSpan - lag) * zoom.up;
  return within({ recordStart, recordEnd: recordStart + record, lagLow, lagHigh: lagLow + lag }, marks);
}

/** Moved by parts of the view's own width and height; positive shows what lies later and what lags more. */
export function panned(view: ChartView, across: number, up: number, marks: ChartMarks): ChartView {
  const record = (view.recordEnd - view.recordStart) * across;
  const lag = (view.lagHigh - view.lagLow) * up;
  return within(
    {
      recordStart: view.recordStart + record,
      recordEnd: view.recordEnd + record,
      lagLow: view.lagLow + lag,
      lagHigh: view.lagHigh + lag,
    },
    marks,
  );
}

/** The nearest view, of the same zoom, in which the mark can be seen. */
export function showing(view: ChartView, marks: ChartMarks, index: number): ChartView {
  const start = marks.start[index] as number;
  const end = marks.end[index] as number;
  const span = view.recordEnd - view.recordStart;
  if (start >= view.recordStart && end <= view.recordEnd) return view;
  // Part of a long one is enough, as long as that part is a good piece of the view.
  const seen = Math.min(end, view.recordEnd) - Math.max(start, view.recordStart);
  if (seen > span * 0.25) return view;
  const middle = (start + end) / 2;
  return within({ ...view, recordStart: middle - span / 2, recordEnd: middle + span / 2 }, marks);
}

/** A view never loses the chart: some of the record and of the range of lags stays in it. */
function within(view: ChartView, marks: ChartMarks): ChartView {
  const recordSpan = view.recordEnd - view.recordStart;
  const lagSpan = view.lagHigh - view.lagLow;
  const room = recordSpan * 0.1;
  const recordStart =
    recordSpan >= marks.duration
      ? clamp(view.recordStart, marks.duration - recordSpan, 0)
      : clamp(view.recordStart, -room, marks.duration - recordSpan + room);
  const { low, high } = lagExtent(marks);
  const lagLow = clamp(view.lagLow, low - lagSpan * 0.6, high - lagSpan * 0.4);
  return { recordStart, recordEnd: recordStart + recordSpan, lagLow, lagHigh: lagLow + lagSpan };
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(Math.max(value, Math.min(low, high)), Math.max(low, high));
}

function largestLagSpan(marks: ChartMarks): number {
  const { low, high } = lagExtent(marks);
  return Math.max((high - low) * 1.6, SMALLEST_LAG_SPAN * 10);
}

const extents = new WeakMap<ChartMarks, { readonly low: number; readonly high: number }>();

/** The lowest and highest lag of all marks, tolerance and zero included; worked out once, since every pan asks. */
function lagExtent(marks: ChartMarks): { readonly low: number; readonly high: number } {
  let extent = extents.get(marks);
  if (extent === undefined) {
    let { low, high } = marks.band.outer;
    for (let index = 0; index < marks.count; index += 1) {
      low = Math.min(low, marks.least[index] as number);
      high = Math.max(high, marks.most[index] as number);
    }
    extent = { low, high };
    extents.set(marks, extent);
  }
  return extent;
}
