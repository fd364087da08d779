/**
 * Which pair is looked at, from which files: choices at the head of the desk, and what is to be said about the files.
 */

import { rateLabel } from '../../../../server/src/core/time/rate.ts';
import { type Rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import type { DeskReport } from '../../../../server/src/core/views/clapDesk.ts';
import { button, make, setText } from '../../chart/page/elements.ts';
import type { Wanted } from '../deskMessages.ts';
import type { DeskState } from './deskState.ts';
import { exact } from './deskState.ts';

export interface SubjectBar {
  readonly element: HTMLElement;
  readonly show: (state: DeskState) => void;
}

export interface SubjectActs {
  readonly onSubject: (wanted: Wanted) => void;
  readonly onChannel: (channel: number | null) => void;
  readonly onChooseFile: (role: 'picture' | 'sound') => void;
  readonly onOpenReport: () => void;
}

const NEW_PAIR = 'new';

export function createSubjectBar({ onSubject, onChannel, onChooseFile, onOpenReport }: SubjectActs): SubjectBar {
  const pair = make('select', { id: 'pair' });
  const picture = make('select', { id: 'picture' });
  const sound = make('select', { id: 'sound' });
  const channel = make('select', { id: 'channel' });
  const two = make('span', { class: 'group' }, labelled('Picture', picture), labelled('Sound', sound));
  const channelGroup = labelled('Channel', channel);
  const soundWords = make('p', { class: 'file-words' });
  const pictureWords = make('p', { class: 'file-words' });
  const chooseSound = button('Choose the recording…', () => onChooseFile('sound'));
  const choosePicture = button('Choose the camera file…', () => onChooseFile('picture'));
  const soundLine = make('div', { class: 'file-line', id: 'sound-line' }, soundWords, chooseSound);
  const pictureLine = make('div', { class: 'file-line', id: 'picture-line' }, pictureWords, choosePicture);
  let isNew = false;
  let report: DeskReport | null = null;

  pair.addEventListener('change', () => {
    isNew = pair.value === NEW_PAIR;
    two.hidden = !isNew;
    if (isNew) onTwo();
    else onSubject({ pair: Number(pair.value), picture: null, sound: null });
  });
  const onTwo = (): void => onSubject({ pair: null, picture: picture.value, sound: sound.value });
  picture.addEventListener('change', onTwo);
  sound.addEventListener('change', onTwo);
  channel.addEventListener('change', () => onChannel(channel.value === 'all' ? null : Number(channel.value)));

  return {
    element: make(
      'header',
      { class: 'subject' },
      make(
        'div',
        { class: 'filters' },
        labelled('Pair', pair),
        two,
        channelGroup,
        button('Show the Report', onOpenReport, { title: 'Show the text of the report' }),
      ),
      soundLine,
      pictureLine,
    ),
    show: (state) => {
      const { subject, answer, recording } = state;
      if (answer !== null && answer.report !== report) {
        report = answer.report;
        fill(pair, pairOptions(report));
        fill(
          picture,
          report.pictures.map(({ key }) => [key, key] as const),
        );
        fill(
          sound,
          report.sounds.map(({ key }) => [key, key] as const),
        );
      }
      if (subject !== null) {
        isNew = subject.pairIndex === null;
        pair.value = isNew ? NEW_PAIR : String(subject.pairIndex);
        picture.value = subject.picture.key;
        sound.value = subject.sound.key;
      }
      two.hidden = !isNew;
      const channelCount = recording?.facts.channelCount ?? 1;
      channelGroup.hidden = channelCount < 2;
      if (channel.options.length !== channelCount + 1) {
        const numbered = Array.from({ length: channelCount }, (_, at) => [String(at), String(at + 1)] as const);
        fill(channel, [['all', 'all'], ...numbered]);
      }
      channel.value = state.channel === null ? 'all' : String(state.channel);
      setText(soundWords, state.soundWords);
      setText(pictureWords, state.pictureWords);
      soundLine.hidden = state.soundWords === '';
      pictureLine.hidden = state.pictureWords === '';
      chooseSound.hidden = subject === null;
      choosePicture.hidden = subject === null;
    },
  };
}

function labelled(words: string, select: HTMLSelectElement): HTMLLabelElement {
  return make('label', { class: 'group', for: select.id }, make('span', { class: 'group-title' }, words), select);
}

function fill(select: HTMLSelectElement, options: readonly (readonly [value: string, words: string])[]): void {
  const { value } = select;
  select.replaceChildren(...options.map(([of, words]) => make('option', { value: of }, words)));
  select.value = value;
}

function pairOptions({ pairs, pictures }: DeskReport): readonly (readonly [string, string])[] {
  const named = pairs.map(({ picture, sound, frame, clap }, at) => {
    const rate = pictures.find(({ key }) => key === picture)?.rate;
    const at24 = rate === undefined ? '' : ` at ${rateLabel(exact(rate))}`;
    const number = clap === null ? '' : `, clap ${clap}`;
    return [String(at), `${picture} with ${sound}: frame ${shortNumber(exact(frame))}${at24}${number}`] as const;
  });
  return [...named, [NEW_PAIR, 'A new pair…']];
}

function shortNumber(value: Rational): string {
  return String(Number(toNumber(value).toFixed(2)));
}
