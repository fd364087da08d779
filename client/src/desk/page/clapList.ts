/**
 * The claps of the recording as a list: where, how sure, and why; those that were refused folded away below.
 */

import { toNumber } from '../../../../server/src/core/time/rational.ts';
import { clockWords } from '../../../../server/src/sound/desk/deskWords.ts';
import { button, make, setAttributes, setText } from '../../chart/page/elements.ts';
import type { ClapItem, DeskState } from './deskState.ts';
import { clapsOf } from './deskState.ts';

export interface ClapList {
  readonly element: HTMLElement;
  readonly show: (state: DeskState, chosen: ClapItem | null) => void;
}

export interface ClapListActs {
  readonly onPick: (clap: ClapItem) => void;
  readonly onStop: () => void;
  readonly onListenToAll: () => void;
}

export function createClapList({ onPick, onStop, onListenToAll }: ClapListActs): ClapList {
  const status = make('span', { role: 'status' });
  const stop = button('Stop Listening', onStop);
  const listen = button('Listen to All of It', onListenToAll);
  const bar = make('progress', { max: 1, 'aria-label': 'Listening to the recording' });
  const list = make('ul', { class: 'claps' });
  const refusedList = make('ul', { class: 'claps' });
  const refusedTitle = make('summary', {});
  const refused = make('details', { class: 'refused' }, refusedTitle, refusedList);
  let shownKey = '';
  return {
    element: make(
      'section',
      { class: 'clap-list', 'aria-label': 'Claps of the recording' },
      make('p', { class: 'search' }, status, bar, stop, listen),
      list,
      refused,
    ),
    show: (state, chosen) => {
      const isSearching = state.search !== null;
      bar.hidden = !isSearching;
      stop.hidden = !isSearching;
      listen.hidden = isSearching || state.isAllHeard;
      bar.value = state.search ?? 0;
      setText(status, isSearching ? 'Listening for claps…' : state.searchWords);
      const claps = clapsOf(state);
      // Seconds of the file itself, also where the report counts it at another rate.
      const rate = state.recording?.facts.sampleRate ?? 48_000;
      const key = JSON.stringify([
        claps.map(({ sample, isClap, number }) => [toNumber(sample), isClap, number]),
        chosen === null ? null : toNumber(chosen.sample),
        state.subject?.sound.key,
        rate,
      ]);
      if (key === shownKey) return;
      shownKey = key;
      const itemOf = (clap: ClapItem): HTMLElement => listItem(clap, clap === chosen, rate, onPick);
      list.replaceChildren(...claps.filter(({ isClap }) => isClap).map(itemOf));
      const others = claps.filter(({ isClap }) => !isClap);
      refused.hidden = others.length === 0;
      setText(refusedTitle, others.length === 1 ? '1 sharp sound was refused' : `${others.length} sharp sounds were refused`);
      refusedList.replaceChildren(...others.map(itemOf));
    },
  };
}

function listItem(clap: ClapItem, isChosen: boolean, sampleRate: number, onPick: (clap: ClapItem) => void): HTMLElement {
  const { number, isClap, sample, uncertainty, reason } = clap;
  const name = number === null ? (isClap ? 'Clap' : 'Sound') : `Clap ${number}`;
  const within = Math.max(1, Math.round(uncertainty ?? 0));
  const doubt = uncertainty === null ? '' : `, edge within ${within} ${within === 1 ? 'sample' : 'samples'}`;
  const pick = make(
    'button',
    { type: 'button', class: 'clap' },
    make('strong', {}, name),
    ` at ${clockWords(toNumber(sample) / sampleRate)}${doubt}`,
    make('span', { class: 'quiet' }, reason),
  );
  setAttributes(pick, { 'aria-pressed': String(isChosen) });
  pick.addEventListener('click', () => onPick(clap));
  return make('li', {}, pick);
}
