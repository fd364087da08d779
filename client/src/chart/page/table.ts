/**
 * The chart as a table: every number in words, for screen readers always, for everybody when it is opened.
 *
 * Ten thousand rows would be a hundred thousand elements, made again at each key press. So a page of rows stands in the
 * document, with its place in the whole told to screen readers, and two buttons that turn the page.
 */

import { TONES } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { VERDICT_WORDS } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import { button, make, setText } from './elements.ts';
import { markIcon } from './markIcon.ts';
import type { Charted, PageState } from './pageState.ts';

export const ROWS_PER_PAGE = 100;
const COLUMNS = ['Verdict', 'Sound clip', 'Lag', 'Record time', 'Picture clip', 'Recording', 'Picture', 'Remarks'];

export interface Table {
  readonly element: HTMLElement;
  readonly show: (state: PageState) => void;
}

export interface TableEvents {
  /** `clip` is an index into the chart's clips. */
  readonly onReveal: (index: number, clip: number) => void;
  readonly onPage: (page: number) => void;
}

export function createTable({ onReveal, onPage }: TableEvents): Table {
  const body = make('tbody');
  const caption = make('caption');
  const head = make('tr', {}, ...COLUMNS.map((name) => make('th', { scope: 'col' }, name)));
  const table = make('table', {}, caption, make('thead', {}, head), body);
  let page = 0;
  const before = button('Rows before', () => onPage(page - 1));
  const after = button('Rows after', () => onPage(page + 1));
  const element = make(
    'section',
    { class: 'table', 'aria-label': 'Comparisons' },
    make('div', { class: 'pages' }, before, after),
    table,
  );
  let last: readonly unknown[] = [];
  let lastChosen: number | null = null;
  const fill = (charted: Charted, wantedPage: number, isOpen: boolean): void => {
    const indices = shownIndices(charted);
    const pageCount = Math.max(1, Math.ceil(indices.length / ROWS_PER_PAGE));
    page = Math.min(Math.max(wantedPage, 0), pageCount - 1);
    const first = page * ROWS_PER_PAGE;
    const listed = indices.slice(first, first + ROWS_PER_PAGE);
    setText(caption, captionOf(first, listed.length, indices.length));
    table.setAttribute('aria-rowcount', String(indices.length + 1));
    before.disabled = page === 0;
    after.disabled = page === pageCount - 1;
    // What nobody sees must not take the focus; a screen reader reaches it all the same.
    const tab = isOpen ? 0 : -1;
    before.tabIndex = tab;
    after.tabIndex = tab;
    const rows = listed.map((index, at) => rowOf(charted, index, first + at + 2, tab, onReveal));
    keepingFocus(body, () => body.replaceChildren(...rows));
  };
  const mark = (chosen: number | null, isOpen: boolean): void => {
    for (const row of body.rows) row.classList.toggle('chosen', row.dataset['index'] === String(chosen));
    if (isOpen && chosen !== lastChosen && !element.contains(document.activeElement)) {
      body.querySelector('.chosen')?.scrollIntoView({ block: 'nearest' });
    }
    lastChosen = chosen;
  };
  return {
    element,
    show: ({ charted, tablePage, isTableOpen, chosen }) => {
      element.classList.toggle('unseen', !isTableOpen);
      const key = [charted, tablePage, isTableOpen];
      const isSame = key.every((part, at) => part === last[at]);
      last = key;
      if (charted === null) body.replaceChildren();
      else if (!isSame) fill(charted, tablePage, isTableOpen);
      if (!isSame || chosen !== lastChosen) mark(chosen, isTableOpen);
    },
  };
}

/** A row that is made again, since the text changed, keeps the focus that one of its buttons had. */
function keepingFocus(body: HTMLElement, change: () => void): void {
  const focused = document.activeElement;
  const row = focused !== null && body.contains(focused) ? focused.closest('tr') : null;
  const at = row === null ? -1 : [...row.querySelectorAll('button')].indexOf(focused as HTMLButtonElement);
  const index = row?.dataset['index'];
  change();
  if (at >= 0) body.querySelector(`tr[data-index="${index}"]`)?.querySelectorAll('button')[at]?.focus();
}

function shownIndices({ shown, marks }: Charted): readonly number[] {
  const indices: number[] = [];
  for (let index = 0; index < marks.count; index += 1) if (shown[index] === 1) indices.push(index);
  return indices;
}

function captionOf(first: number, count: number, total: number): string {
  if (total === 0) return 'No comparisons';
  return total === count ? `Comparisons: ${total}` : `Comparisons ${first + 1} to ${first + count} of ${total}`;
}

function rowOf(
  { chart, marks }: Charted,
  index: number,
  rowIndex: number,
  tab: number,
  onReveal: TableEvents['onReveal'],
): HTMLTableRowElement {
  const row = make('tr', { 'aria-rowindex': rowIndex, 'data-index': index });
  const comparison = chart.comparisons[index];
  if (comparison === undefined) return row;
  const pair = chart.pairs[comparison.pair];
  const clip = (at: number): HTMLElement =>
    button(chart.clips[at]?.name ?? '', () => onReveal(index, at), { class: 'link', tabindex: tab, title: 'Show its text' });
  row.append(
    make('td', {}, markIcon(comparison.verdict, TONES[marks.tone[index] as number]), VERDICT_WORDS[comparison.verdict]),
    make('td', {}, clip(comparison.sound)),
    make('td', {}, comparison.words),
    make('td', {}, comparison.at),
    make('td', {}, clip(comparison.picture)),
    make('td', {}, pair?.sound ?? ''),
    make('td', {}, pair?.picture ?? ''),
    make('td', {}, comparison.remarks),
  );
  return row;
}
