/**
 * Where the sound lies, how sure that is, what it changes, and the button that writes it: words in a place of their own, which can be
 * selected and are said to a screen reader after each act.
 */

import { compare, floor, isZero, rational, toNumber, ZERO } from '../../../../server/src/core/time/rational.ts';
import { heardLater } from '../../../../server/src/sound/desk/deskPlacement.ts';
import { changeWords, limitWords, placeWords } from '../../../../server/src/sound/desk/deskWords.ts';
import { frameLabelText } from '../../../../server/src/sound/desk/frameEntry.ts';
import { button, make, setAttributes, setText } from '../../chart/page/elements.ts';
import { changeOf, type DeskState, isChanged, placementIn } from './deskState.ts';

export interface DeskReadout {
  readonly element: HTMLElement;
  readonly show: (state: DeskState) => void;
  /** Says words to a screen reader. */
  readonly say: (words: string) => void;
}

export function createDeskReadout(onWrite: () => void, onReset: () => void): DeskReadout {
  const headline = make('strong', { id: 'headline' });
  const limits = make('p', { class: 'detail', id: 'limits' });
  const difference = make('p', { class: 'detail', id: 'difference' });
  const written = make('p', { class: 'written', role: 'status' });
  const spoken = make('p', { class: 'unseen', 'aria-live': 'polite', id: 'spoken' });
  const write = button('Write into the Report', onWrite, { class: 'main', id: 'write' });
  const reset = button('As the Report Has It', onReset);
  return {
    element: make(
      'section',
      { class: 'readout', 'aria-label': 'Where the sound lies' },
      make(
        'div',
        { class: 'readout-row' },
        make('div', { class: 'readout-words' }, make('p', {}, headline), limits, difference),
        make('div', { class: 'group' }, write, reset),
      ),
      written,
      spoken,
    ),
    say: (words) => setText(spoken, words),
    show: (state) => {
      const why = whyNotWritten(state);
      const placement = placementIn(state);
      write.disabled = why !== null;
      reset.disabled = !isChanged(state);
      setAttributes(write, { title: why ?? 'Changes the text of the report; undo works there' });
      setText(written, state.written);
      setText(headline, headlineOf(state));
      setText(limits, placement === null ? '' : limitWords(placement));
      limits.classList.toggle('warns', placement !== null && compare(placement.movedByHand, ZERO) < 0);
      setText(difference, differenceOf(state));
    },
  };
}

/** Null when it can be written. */
export function whyNotWritten(state: DeskState): string | null {
  const { recording, subject } = state;
  const result = changeOf(state);
  if ('why' in result) return result.why;
  const isRateRight =
    recording === null || subject === null || compare(rational(recording.facts.sampleRate), subject.sampleRate) === 0;
  return isRateRight ? null : 'The recording has another sample rate than the report says.';
}

/** All of it in a row, as it is said. */
export function summaryOf(state: DeskState): string {
  const placement = placementIn(state);
  return [headlineOf(state), differenceOf(state), placement === null ? '' : limitWords(placement)]
    .filter((words) => words !== '')
    .join(' ');
}

function headlineOf(state: DeskState): string {
  const { subject } = state;
  const placement = placementIn(state);
  if (subject === null) return '';
  const result = changeOf(state);
  // Half of a choice changes nothing yet: what is still missing is said in the place of the number.
  if ('why' in result && (placement === null || isChanged(state))) return result.why;
  if (placement === null) return '';
  return placeWords(placement, frameLabelText(Number(floor(placement.frame)), subject.counting));
}

function differenceOf(state: DeskState): string {
  const { subject } = state;
  const placement = placementIn(state);
  if (subject === null || placement === null) return '';
  if (subject.standing === null) return 'The report has no such pair yet.';
  const { standing, rate, sampleRate, driftPpm } = subject;
  const later = heardLater(standing, placement, rate, sampleRate, driftPpm);
  const drift = isZero(driftPpm) ? '' : ` The drift of the pair, ${toNumber(driftPpm)} ppm, stays as it is.`;
  return `${changeWords(later, rate, sampleRate)}${drift}`;
}
