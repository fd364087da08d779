/**
 * What the page knows at one moment, and what follows from it. Changed by making a new one; nothing else is remembered.
 */

import { type ChartMarks, chartMarks } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { type ChartView, fittedView } from '../../../../server/src/core/report/lagChart/chartView.ts';
import type { LagChart } from '../../../../server/src/core/views/lagChartData.ts';
import { type Filters, fittingFilters, NO_FILTERS, shownBy } from './filters.ts';
import { sameIn } from './neighbours.ts';

export interface Charted {
  readonly chart: LagChart;
  readonly version: number;
  readonly marks: ChartMarks;
  readonly shown: Uint8Array;
  readonly shownCount: number;
  readonly isShown: (index: number) => boolean;
  /** The whole record, lags fitted to what is shown. */
  readonly fitted: ChartView;
}

export interface PageState {
  /** Null until the first chart came. */
  readonly charted: Charted | null;
  readonly notice: { readonly words: string; readonly canOpen: boolean } | null;
  readonly filters: Filters;
  /** Null: fitted to what is shown. */
  readonly view: ChartView | null;
  readonly chosen: number | null;
  readonly hovered: number | null;
  /** Clips at the caret, as indices into the chart's clips. */
  readonly caret: ReadonlySet<number>;
  readonly isTableOpen: boolean;
  readonly tablePage: number;
}

export const EMPTY_STATE: PageState = {
  charted: null,
  notice: null,
  filters: NO_FILTERS,
  view: null,
  chosen: null,
  hovered: null,
  caret: new Set(),
  isTableOpen: false,
  tablePage: 0,
};

/** With another state of the chart: what was chosen stays chosen if it is still there. */
export function withChart(state: PageState, chart: LagChart, version: number): PageState {
  const filters = fittingFilters(chart, state.filters);
  const charted = chartedOf(chart, version, chartMarks(chart), filters);
  return { ...state, charted, filters, notice: null, hovered: null, chosen: chosenAfter(state, chart), caret: new Set() };
}

export function withFilters(state: PageState, filters: Filters): PageState {
  const { charted } = state;
  if (charted === null) return { ...state, filters };
  const next = chartedOf(charted.chart, charted.version, charted.marks, filters);
  const keep = (index: number | null): number | null => (index !== null && next.isShown(index) ? index : null);
  return { ...state, charted: next, filters, chosen: keep(state.chosen), hovered: keep(state.hovered), tablePage: 0 };
}

/** What is seen, fitted where nobody zoomed. */
export function viewOf({ view, charted }: PageState): ChartView | null {
  return view ?? charted?.fitted ?? null;
}

/** True when `index` is a comparison of a clip at the caret. */
export function isAtCaret({ charted, caret }: PageState, index: number): boolean {
  const comparison = charted?.chart.comparisons[index];
  return comparison !== undefined && (caret.has(comparison.picture) || caret.has(comparison.sound));
}

function chartedOf(chart: LagChart, version: number, marks: ChartMarks, filters: Filters): Charted {
  const shown = shownBy(chart, filters);
  let shownCount = 0;
  for (const one of shown) shownCount += one;
  const isShown = (index: number): boolean => shown[index] === 1;
  return { chart, version, marks, shown, shownCount, isShown, fitted: fittedView(marks, isShown) };
}

function chosenAfter({ charted, chosen }: PageState, chart: LagChart): number | null {
  const comparison = chosen === null ? undefined : charted?.chart.comparisons[chosen];
  if (charted === null || comparison === undefined) return null;
  const picture = charted.chart.clips[comparison.picture]?.index;
  const sound = charted.chart.clips[comparison.sound]?.index;
  return picture === undefined || sound === undefined ? null : sameIn(chart.clips, chart.comparisons, { picture, sound });
}
