/**
 * Reads out one comparison in words: exact numbers, when, why, and how sure the report is.
 *
 * It stands in a place of its own and not over the chart, so that it covers nothing, can be selected and copied, and stays put
 * under a magnifier. What is reached by keys is also said to a screen reader; what the pointer brushes is not.
 */

import { TONES } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import type { LagChart } from '../../../../server/src/core/views/lagChartData.ts';
import { make, setText } from './elements.ts';
import { markIcon } from './markIcon.ts';
import { isAtCaret, type PageState } from './pageState.ts';

export interface Readout {
  readonly element: HTMLElement;
  readonly show: (state: PageState, limits: string) => void;
  /** Says the chosen comparison to a screen reader. */
  readonly announce: (words: string) => void;
}

interface ReadSubject {
  readonly chart: LagChart;
  readonly index: number;
  readonly origin: string;
}

/** 'door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples.' */
function headlineOf({ comparisons, clips }: LagChart, index: number): string {
  const comparison = comparisons[index];
  return comparison === undefined ? '' : `${clips[comparison.sound]?.name ?? ''} ${comparison.words}.`;
}

/** Against which picture, where, when, why; and what else lies on the same spot. */
function detailOf(chart: LagChart, index: number): string {
  const comparison = chart.comparisons[index];
  if (comparison === undefined) return '';
  const { clips, tracks, pairs } = chart;
  const sound = clips[comparison.sound];
  const picture = clips[comparison.picture];
  const pair = pairs[comparison.pair];
  const place = `Against ${picture?.name ?? ''} (${tracks[picture?.track ?? -1]?.name ?? ''}), heard on ${tracks[sound?.track ?? -1]?.name ?? ''}, ${comparison.at}.`;
  const others = chart.comparisons.filter(
    (other, at) =>
      at !== index &&
      other.start === comparison.start &&
      other.end === comparison.end &&
      other.head === comparison.head &&
      other.tail === comparison.tail,
  ).length;
  const more = others === 0 ? '' : `${others} more ${others === 1 ? 'lies' : 'lie'} on the same spot.`;
  return [place, comparison.remarks, pair?.words ?? '', pair?.limits ?? '', more].filter((words) => words !== '').join(' ');
}

export function createReadout(): Readout {
  const icon = make('span', { class: 'readout-icon' });
  const origin = make('span', { class: 'origin' });
  const headline = make('strong');
  const detail = make('p', { class: 'detail' });
  const spoken = make('p', { class: 'unseen', 'aria-live': 'polite', id: 'spoken' });
  const element = make(
    'section',
    { class: 'readout', 'aria-label': 'Chosen comparison' },
    make('p', {}, icon, origin, headline),
    detail,
    spoken,
  );
  let last: ReadSubject | null = null;
  return {
    element,
    show: (state, resting) => {
      const subject = subjectOf(state);
      const { charted } = state;
      if (subject === null || charted === null) {
        icon.replaceChildren();
        setText(origin, '');
        setText(headline, charted === null || charted.chart.empty !== null ? '' : charted.chart.summary);
        setText(detail, charted === null || charted.chart.empty !== null ? '' : resting);
        last = null;
        return;
      }
      const comparison = charted.chart.comparisons[subject.index];
      // Not by the version of the text: a changed report makes another chart of the same text.
      const isRead = last?.chart === charted.chart && last.index === subject.index && last.origin === subject.origin;
      if (comparison === undefined || isRead) return;
      last = { ...subject, chart: charted.chart };
      icon.replaceChildren(markIcon(comparison.verdict, TONES[charted.marks.tone[subject.index] as number]));
      setText(origin, subject.origin);
      setText(headline, headlineOf(charted.chart, subject.index));
      setText(detail, detailOf(charted.chart, subject.index));
    },
    announce: (words) => setText(spoken, words),
  };
}

/** Under the pointer before chosen before at the caret. */
function subjectOf(state: PageState): { readonly index: number; readonly origin: string } | null {
  const { charted, hovered, chosen, caret } = state;
  if (charted === null) return null;
  if (hovered !== null) return { index: hovered, origin: '' };
  if (chosen !== null) return { index: chosen, origin: '' };
  if (caret.size === 0) return null;
  let found: number | null = null;
  for (let index = 0; index < charted.marks.count; index += 1) {
    if (!charted.isShown(index) || !isAtCaret(state, index)) continue;
    if (found === null || (charted.marks.tone[index] as number) > (charted.marks.tone[found] as number)) found = index;
  }
  return found === null ? null : { index: found, origin: 'At the caret: ' };
}
