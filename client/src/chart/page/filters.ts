/**
 * Which comparisons are shown: by verdict, by recording, by picture.
 */

import { VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { VERDICT_WORDS } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { ChartComparison, LagChart } from '../../../../server/src/core/views/lagChartData.ts';

export interface Filters {
  readonly verdicts: readonly ChartComparison['verdict'][];
  /** Keys of the report; null lets all through. */
  readonly recording: string | null;
  readonly picture: string | null;
}

export const NO_FILTERS: Filters = { verdicts: VERDICTS, recording: null, picture: null };

/** 1 for each comparison that is shown, in the chart's order. */
export function shownBy({ comparisons, pairs }: LagChart, filters: Filters): Uint8Array {
  const isPairShown = pairs.map(
    ({ sound, picture }) =>
      (filters.recording === null || filters.recording === sound) && (filters.picture === null || filters.picture === picture),
  );
  return Uint8Array.from(comparisons, ({ pair, verdict }) =>
    isPairShown[pair] === true && filters.verdicts.includes(verdict) ? 1 : 0,
  );
}

/** What is chosen that the chart no longer has is let go: a filter on nothing would hide everything for no visible reason. */
export function fittingFilters({ pairs }: LagChart, filters: Filters): Filters {
  const { recording, picture } = filters;
  return {
    ...filters,
    recording: pairs.some(({ sound }) => sound === recording) ? recording : null,
    picture: pairs.some((pair) => pair.picture === picture) ? picture : null,
  };
}

function isFiltering({ verdicts, recording, picture }: Filters): boolean {
  return verdicts.length < VERDICTS.length || recording !== null || picture !== null;
}

/** 'Shown: 3 of 18 comparisons; only leads and lags, recording deck-01.' Empty when nothing is filtered. */
export function filterWords(filters: Filters, shownCount: number, count: number): string {
  if (!isFiltering(filters)) return '';
  const { verdicts, recording, picture } = filters;
  const parts: string[] = [];
  if (verdicts.length < VERDICTS.length) {
    parts.push(verdicts.length === 0 ? 'no verdict' : `only ${verdicts.map((verdict) => VERDICT_WORDS[verdict]).join(' and ')}`);
  }
  if (recording !== null) parts.push(`recording ${recording}`);
  if (picture !== null) parts.push(`picture ${picture}`);
  return `Shown: ${shownCount} of ${count} comparisons; ${parts.join(', ')}.`;
}

export interface Choice {
  readonly key: string;
  readonly count: number;
}

/** The keys of one side of the report's pairs with the number of their comparisons, in natural order. */
export function choicesOf({ comparisons, pairs }: LagChart, side: 'sound' | 'picture'): readonly Choice[] {
  const counts = new Map<string, number>();
  for (const { pair } of comparisons) {
    const key = pairs[pair]?.[side] ?? '';
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  const collator = new Intl.Collator('en', { numeric: true });
  return [...counts].map(([key, count]) => ({ key, count })).sort((left, right) => collator.compare(left.key, right.key));
}

export function verdictCounts({ comparisons }: LagChart): Readonly<Record<ChartComparison['verdict'], number>> {
  const counts = { in: 0, leads: 0, lags: 0, drifts: 0 };
  for (const { verdict } of comparisons) counts[verdict] += 1;
  return counts;
}
