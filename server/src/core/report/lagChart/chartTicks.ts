/**
 * The numbers along the axes: record time as the trade writes it, lags in milliseconds and in frames.
 *
 * Ticks of record time stand on labels of timecode, not on seconds of the clock: at 24000/1001 the two part by 3.6 s an hour,
 * and with drop-frame the labels that are skipped get no tick.
 */

import { floor, parseRational, type Rational, rational, toNumber } from '../../time/rational.ts';
import { countLabel, formatTimecode, framesPerDay, frameToLabel, isSkippedLabel, labelCounting } from '../../time/timecode.ts';
import type { LagChart } from '../../views/lagChartData.ts';
import { clockText, hasTimecode } from '../../views/timeText.ts';
import { roundTicks, tickText } from '../plots/plotScale.ts';
import type { ChartView } from './chartView.ts';

export interface Tick {
  /** Record seconds, or seconds of lag. */
  readonly at: number;
  readonly text: string;
}

const SMALLEST_RECORD_GAP = 96;
const SMALLEST_LAG_GAP = 34;
const FRAME_STEPS = [1, 2, 4, 8];
const SECOND_STEPS = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 28800];

/** Ticks of record time; `width` is that of the view. */
export function recordTicks(chart: LagChart, view: ChartView, width: number): readonly Tick[] {
  const rate = parseRational(chart.rate) ?? rational(24);
  const smallestStep = (SMALLEST_RECORD_GAP * (view.recordEnd - view.recordStart)) / Math.max(width, 1);
  const ticks = hasTimecode(rate) ? labelTicks(chart, rate, view, smallestStep) : clockTicks(view, width);
  return ticks.filter(({ at }) => at >= Math.max(0, view.recordStart) && at <= view.recordEnd);
}

function labelTicks(chart: LagChart, rate: Rational, view: ChartView, smallestStep: number): readonly Tick[] {
  const perSecond = toNumber(rate);
  const first = Number(floor(parseRational(chart.startFrame ?? '0') ?? rational(0)) % 1_000_000_000_000n);
  const from = first + Math.max(0, Math.floor(view.recordStart * perSecond));
  const to = first + Math.ceil(view.recordEnd * perSecond);
  const tickAt = (frame: number): Tick => ({
    at: (frame - first) / perSecond,
    text: formatTimecode(frame, rate, chart.isDropFrame),
  });
  const frameStep = FRAME_STEPS.find((step) => step / perSecond >= smallestStep);
  if (frameStep !== undefined) return steps(from, to, frameStep).map(tickAt);
  const secondStep = SECOND_STEPS.find((step) => step >= smallestStep) ?? Math.ceil(smallestStep / 86400) * 86400;
  const counting = labelCounting(rate, chart.isDropFrame);
  const labelSeconds = (frame: number): number => {
    const day = framesPerDay(rate, chart.isDropFrame);
    const { hours, minutes, seconds } = frameToLabel(frame, rate, chart.isDropFrame);
    return Math.floor(frame / day) * 86400 + hours * 3600 + minutes * 60 + seconds;
  };
  return steps(labelSeconds(from), labelSeconds(to), secondStep).map((seconds) =>
    tickAt(countLabel(counting, seconds, isSkippedLabel(counting, seconds, 0) ? counting.dropped : 0)),
  );
}

function steps(from: number, to: number, step: number): readonly number[] {
  const first = Math.ceil(from / step);
  const count = Math.max(0, Math.floor(to / step) - first + 1);
  return Array.from({ length: Math.min(count, LARGEST_TICK_COUNT) }, (_, index) => (first + index) * step);
}

/** More than fit on any screen; an end for views that make no sense. */
const LARGEST_TICK_COUNT = 400;

function clockTicks(view: ChartView, width: number): readonly Tick[] {
  return roundTicks(view.recordStart, view.recordEnd, width / SMALLEST_RECORD_GAP).map((at) => ({
    at,
    text: clockText(rational(Math.round(Math.max(0, at) * 1000), 1000)),
  }));
}

/** Ticks of lag in milliseconds, or in seconds where that is the better unit. No sign: above is lag, below is lead. */
export function lagTicks(view: ChartView, height: number): readonly Tick[] {
  const isInSeconds = view.lagHigh - view.lagLow > 4;
  const factor = isInSeconds ? 1 : 1000;
  const values = roundTicks(view.lagLow * factor, view.lagHigh * factor, height / SMALLEST_LAG_GAP);
  return values.map((value) => ({ at: value / factor, text: `${tickText(value, values)} ${isInSeconds ? 's' : 'ms'}` }));
}

/** The same in frames of the timeline: whole ones while they are far enough apart, then tenths. */
export function frameTicks(chart: LagChart, view: ChartView, height: number): readonly Tick[] {
  const perSecond = toNumber(parseRational(chart.rate) ?? rational(24));
  const values = roundTicks(view.lagLow * perSecond, view.lagHigh * perSecond, height / SMALLEST_LAG_GAP);
  return values.map((value) => ({ at: value / perSecond, text: `${tickText(value, values)} f` }));
}
