/**
 * Buttons and fields for everything that keys do, for those who use none; and the choices that have no key.
 */

import { formatExactDecimal } from '../../../../server/src/core/time/rational.ts';
import type { FrameReading } from '../../../../server/src/sound/clapLog/contactInterval.ts';
import { asksForShutter, READING_WORDS } from '../../../../server/src/sound/desk/deskWords.ts';
import { button, make, setAttributes, setText } from '../../chart/page/elements.ts';
import type { DeskAction } from './deskKeys.ts';
import type { DeskState } from './deskState.ts';

export type Heard = 'both' | 'recording' | 'camera';

export interface Controls {
  readonly element: HTMLElement;
  readonly show: (state: DeskState, listening: ListeningState) => void;
  /** Puts the focus into the field for frames. */
  readonly typeFrame: () => void;
  /** What is wrong with what was typed; empty takes it back. */
  readonly complain: (field: 'frame' | 'shutter', words: string) => void;
}

export interface ListeningState {
  readonly isPlaying: boolean;
  readonly isGettingReady: boolean;
  readonly isLooping: boolean;
  readonly heard: Heard;
  readonly canHearCamera: boolean;
  readonly words: string;
}

export interface ControlActs {
  readonly onAction: (action: DeskAction) => void;
  readonly onFrameTyped: (text: string) => void;
  readonly onReading: (reading: FrameReading, shutter: string) => void;
  readonly onHeard: (heard: Heard) => void;
  readonly onLoop: (isLooping: boolean) => void;
}

type ListedButton = readonly [DeskAction, label: string, name: string];

const NUDGES: readonly { readonly title: string; readonly buttons: readonly ListedButton[] }[] = [
  {
    title: 'Frame',
    buttons: [
      [{ kind: 'frame', frames: -1 }, '←', 'Pick the frame before'],
      [{ kind: 'frame', frames: 1 }, '→', 'Pick the frame after'],
    ],
  },
  {
    title: 'Tenth of a frame',
    buttons: [
      [{ kind: 'nudge', tenths: -1 }, '←', 'Sound a tenth of a frame earlier'],
      [{ kind: 'nudge', tenths: 1 }, '→', 'Sound a tenth of a frame later'],
    ],
  },
  {
    title: 'Edge by a sample',
    buttons: [
      [{ kind: 'edge', samples: -1 }, '↓', 'Edge one sample earlier in the recording'],
      [{ kind: 'edge', samples: 1 }, '↑', 'Edge one sample later in the recording'],
    ],
  },
  {
    title: 'View',
    buttons: [
      [{ kind: 'zoom', factor: 1.5 }, '−', 'Show more of the recording'],
      [{ kind: 'zoom', factor: 1 / 1.5 }, '+', 'Show less of the recording'],
      [{ kind: 'fit' }, 'Clap', 'Around the clap'],
      [{ kind: 'whole' }, 'All', 'The whole recording'],
    ],
  },
];

export function createControls({ onAction, onFrameTyped, onReading, onHeard, onLoop }: ControlActs): Controls {
  const nudges = NUDGES.map(({ title, buttons }) =>
    make(
      'div',
      { class: 'group', role: 'group', 'aria-label': title },
      make('span', { class: 'group-title', 'aria-hidden': 'true' }, title),
      ...buttons.map(([action, label, name]) => button(label, () => onAction(action), { title: name, 'aria-label': name })),
    ),
  );
  const frame = make('input', { id: 'frame', type: 'text', size: 12, autocomplete: 'off', spellcheck: 'false' });
  const frameComplaint = make('span', { class: 'complaint', role: 'alert', id: 'frame-complaint' });
  frame.setAttribute('aria-describedby', 'frame-complaint');
  frame.addEventListener('keydown', (event) => {
    if (event.key === 'Enter') onFrameTyped(frame.value);
  });
  const reading = make('select', { id: 'reading' }, ...READING_WORDS.map(([value, words]) => make('option', { value }, words)));
  const shutter = make('input', { id: 'shutter', type: 'text', size: 5, placeholder: 'unknown', autocomplete: 'off' });
  const shutterComplaint = make('span', { class: 'complaint', role: 'alert' });
  const shutterGroup = make('label', { class: 'group', for: 'shutter' }, title('Shutter angle'), shutter, shutterComplaint);
  const onRead = (): void => onReading(reading.value as FrameReading, shutter.value);
  reading.addEventListener('change', onRead);
  shutter.addEventListener('change', onRead);
  const play = button('Play', () => onAction({ kind: 'play' }), { title: 'Picture and sound around the clap' });
  const heard = make(
    'select',
    { id: 'heard' },
    make('option', { value: 'both' }, 'recording and camera'),
    make('option', { value: 'recording' }, 'the recording'),
    make('option', { value: 'camera' }, "the camera's own sound"),
  );
  heard.addEventListener('change', () => onHeard(heard.value as Heard));
  const loop = make('input', { type: 'checkbox', id: 'loop' });
  loop.addEventListener('change', () => onLoop(loop.checked));
  const heardGroup = make('label', { class: 'group', for: 'heard' }, title('Hear'), heard);
  const listenWords = make('span', { class: 'quiet', role: 'status' });
  const element = make(
    'div',
    { class: 'controls' },
    make('div', { class: 'toolbar' }, ...nudges),
    make(
      'div',
      { class: 'toolbar' },
      make(
        'div',
        { class: 'group' },
        make('label', { class: 'group-title', for: 'frame' }, 'Frame or timecode'),
        frame,
        button('Pick', () => onFrameTyped(frame.value)),
        frameComplaint,
      ),
      make('label', { class: 'group', for: 'reading' }, title('It is'), reading),
      shutterGroup,
    ),
    make(
      'div',
      { class: 'toolbar' },
      play,
      heardGroup,
      make('label', { class: 'group', for: 'loop' }, loop, 'again and again'),
      listenWords,
    ),
  );
  return {
    element,
    typeFrame: () => {
      frame.focus();
      frame.select();
    },
    complain: (field, words) => setText(field === 'frame' ? frameComplaint : shutterComplaint, words),
    show: (state, listening) => {
      reading.value = state.reading;
      shutterGroup.hidden = !asksForShutter(state.reading);
      if (document.activeElement !== shutter) {
        shutter.value = state.shutterDegrees === null ? '' : (formatExactDecimal(state.shutterDegrees) ?? '');
      }
      setText(play, listening.isPlaying ? 'Stop' : listening.isGettingReady ? 'Getting ready…' : 'Play');
      setAttributes(play, { 'aria-pressed': String(listening.isPlaying) });
      heard.value = listening.canHearCamera ? listening.heard : 'recording';
      heard.disabled = !listening.canHearCamera;
      loop.checked = listening.isLooping;
      setText(listenWords, listening.words);
      play.disabled = state.recording === null;
    },
  };
}

function title(words: string): HTMLElement {
  return make('span', { class: 'group-title' }, words);
}
