/**
 * What stands in the place of the chart when there is none: always a reason, and a way on where there is one.
 */

import { button, make, setText } from './elements.ts';
import type { PageState } from './pageState.ts';

export interface EmptyState {
  readonly element: HTMLElement;
  /** True when something is said, and no chart is to be shown. */
  readonly show: (state: PageState) => boolean;
}

export function createEmptyState(onShowAll: () => void, onOpen: () => void): EmptyState {
  const words = make('p', { role: 'status' });
  const showAll = button('Show all', onShowAll);
  const open = button('Open the timeline', onOpen);
  const element = make('div', { class: 'empty' }, words, showAll, open);
  return {
    element,
    show: (state) => {
      const reason = reasonOf(state);
      element.hidden = reason === null;
      showAll.hidden = reason?.isFiltered !== true;
      open.hidden = reason?.canOpen !== true;
      if (reason !== null) setText(words, reason.words);
      return reason !== null;
    },
  };
}

function reasonOf({
  charted,
  notice,
}: PageState): { readonly words: string; readonly isFiltered?: boolean; readonly canOpen?: boolean } | null {
  if (notice !== null) return { words: notice.words, canOpen: notice.canOpen };
  if (charted === null) return { words: 'Reading the timeline…' };
  const { chart, shownCount } = charted;
  if (chart.empty !== null) return { words: chart.empty };
  if (shownCount > 0) return null;
  const { length } = chart.comparisons;
  const what = length === 1 ? 'The only comparison is' : `All ${length} comparisons are`;
  return { words: `${what} filtered out.`, isFiltered: true };
}
