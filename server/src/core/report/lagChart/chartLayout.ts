/**
 * Where the parts of the chart stand: the plot, the two edges for what lies beyond it, the axes, and a row for each track.
 *
 * Pixels or SVG units, from the upper left. The same layout serves the screen and the file.
 */

import type { LagChart } from '../../views/lagChartData.ts';
import type { Box } from '../plots/panel.ts';
import type { ChartView } from './chartView.ts';

export interface ChartLayout {
  readonly width: number;
  readonly height: number;
  readonly plot: Box;
  /** Above the plot: what lags more than the view shows. */
  readonly over: Box;
  /** Below the plot: what leads more than the view shows. */
  readonly under: Box;
  /** Baseline of the record times. */
  readonly recordAxis: number;
  /** Rows of tracks, in the chart's order; those past the last row are not drawn, and `hiddenTrackCount` says how many. */
  readonly rows: readonly TrackRow[];
  readonly hiddenTrackCount: number;
}

interface TrackRow {
  /** Index into the chart's tracks. */
  readonly track: number;
  readonly box: Box;
}

const LEFT = 92;
const RIGHT = 58;
const EDGE = 26;
const AXIS = 24;
const ROW = 20;
const ROW_GAP = 3;
/** Rows may take this part of the height, so that the lags keep the room. */
const LARGEST_ROW_PART = 0.34;
const SMALLEST_PLOT = 60;

export function chartLayout(chart: LagChart, width: number, height: number): ChartLayout {
  const inner = Math.max(width - LEFT - RIGHT, 40);
  const rowCount = Math.min(chart.tracks.length, Math.max(1, Math.floor((height * LARGEST_ROW_PART) / (ROW + ROW_GAP))));
  const hiddenTrackCount = chart.tracks.length - rowCount;
  const rowsHeight = rowCount * (ROW + ROW_GAP) + (hiddenTrackCount > 0 ? 16 : 0);
  const plotHeight = Math.max(height - 2 * EDGE - AXIS - rowsHeight - 12, SMALLEST_PLOT);
  const box = (top: number, boxHeight: number): Box => ({ left: LEFT, top, width: inner, height: boxHeight });
  const plotTop = 4 + EDGE;
  const underTop = plotTop + plotHeight;
  const rowsTop = underTop + EDGE + AXIS;
  return {
    width,
    height,
    over: box(4, EDGE),
    plot: box(plotTop, plotHeight),
    under: box(underTop, EDGE),
    recordAxis: underTop + EDGE + 16,
    rows: Array.from({ length: rowCount }, (_, track) => ({ track, box: box(rowsTop + track * (ROW + ROW_GAP), ROW) })),
    hiddenTrackCount,
  };
}

/** From record seconds and seconds of lag to places, and back. */
export interface ChartScale {
  readonly x: (record: number) => number;
  readonly y: (lag: number) => number;
  readonly recordAt: (x: number) => number;
  readonly lagAt: (y: number) => number;
}

export function chartScale({ plot }: ChartLayout, view: ChartView): ChartScale {
  const perSecond = plot.width / (view.recordEnd - view.recordStart);
  const perLag = plot.height / (view.lagHigh - view.lagLow);
  const bottom = plot.top + plot.height;
  return {
    x: (record) => plot.left + (record - view.recordStart) * perSecond,
    y: (lag) => bottom - (lag - view.lagLow) * perLag,
    recordAt: (x) => view.recordStart + (x - plot.left) / perSecond,
    lagAt: (y) => view.lagLow + (bottom - y) / perLag,
  };
}
