/**
 * The filters: a box for each verdict, a list of recordings, a list of pictures, each with its number of comparisons.
 */

import { VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { VERDICT_WORDS } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { LagChart } from '../../../../server/src/core/views/lagChartData.ts';
import { make, setText } from './elements.ts';
import { type Choice, choicesOf, type Filters, verdictCounts } from './filters.ts';
import { markIcon } from './markIcon.ts';

export interface FilterBar {
  readonly element: HTMLElement;
  readonly show: (chart: LagChart | null, filters: Filters) => void;
}

export function createFilterBar(onChange: (change: (filters: Filters) => Filters) => void): FilterBar {
  const boxes = VERDICTS.map((verdict) => {
    const input = make('input', { type: 'checkbox', id: `verdict-${verdict}`, checked: true });
    const count = make('span', { class: 'count' });
    input.addEventListener('change', () =>
      onChange((filters) => ({
        ...filters,
        verdicts: VERDICTS.filter((other) => (other === verdict ? input.checked : filters.verdicts.includes(other))),
      })),
    );
    const label = make(
      'label',
      { for: input.id, class: 'verdict' },
      input,
      markIcon(verdict),
      VERDICT_WORDS[verdict],
      ' ',
      count,
    );
    return { verdict, input, count, label };
  });
  const recording = createList('recording', 'Recording', 'all recordings', (key) =>
    onChange((filters) => ({ ...filters, recording: key })),
  );
  const picture = createList('picture', 'Picture', 'all pictures', (key) =>
    onChange((filters) => ({ ...filters, picture: key })),
  );
  const verdictGroup = make(
    'fieldset',
    {},
    make('legend', { class: 'unseen' }, 'Verdicts shown'),
    ...boxes.map(({ label }) => label),
  );
  let last: LagChart | null = null;
  return {
    element: make(
      'div',
      { class: 'filters', role: 'group', 'aria-label': 'Filters' },
      verdictGroup,
      recording.element,
      picture.element,
    ),
    show: (chart, filters) => {
      for (const { verdict, input } of boxes) input.checked = filters.verdicts.includes(verdict);
      if (chart !== null && chart !== last) {
        const counts = verdictCounts(chart);
        for (const { verdict, count } of boxes) setText(count, String(counts[verdict]));
        recording.fill(choicesOf(chart, 'sound'));
        picture.fill(choicesOf(chart, 'picture'));
        last = chart;
      }
      recording.choose(filters.recording);
      picture.choose(filters.picture);
    },
  };
}

function createList(id: string, title: string, allWords: string, onChoice: (key: string | null) => void) {
  const list = make('select', { id: `filter-${id}`, 'aria-label': title, title });
  list.addEventListener('change', () => onChoice(list.value === '' ? null : list.value.slice(1)));
  return {
    element: list,
    fill: (choices: readonly Choice[]): void => {
      const options = choices.map(({ key, count }) => make('option', { value: `=${key}` }, `${key} (${count})`));
      list.replaceChildren(make('option', { value: '' }, `${allWords} (${choices.length})`), ...options);
    },
    // A key may be empty text; the sign in front tells it from 'all'.
    choose: (key: string | null): void => {
      list.value = key === null ? '' : `=${key}`;
    },
  };
}
