/**
 * Playing around the clap: gets the sounds and the pictures ready, then lets the audio clock run.
 */

import { toNumber } from '../../../../server/src/core/time/rational.ts';
import { slopeOf } from '../../../../server/src/sound/desk/deskPlacement.ts';
import type { Heard, ListeningState } from './controls.ts';
import type { DeskFiles } from './deskFiles.ts';
import type { DeskHost } from './deskHost.ts';
import { frameGrid } from './deskLayout.ts';
import { clapSampleIn, gridOf } from './deskState.ts';
import type { DeskStore } from './deskStore.ts';
import { createListening } from './listening.ts';

const BEFORE_SECONDS = 1;
const AFTER_SECONDS = 1.5;
/** Two sounds of one clap add up. */
const GAIN_OF_TWO = 0.7;

export interface Playing {
  readonly toggle: () => void;
  readonly stop: () => void;
  readonly setHeard: (heard: Heard) => void;
  readonly setLooping: (isLooping: boolean) => void;
  readonly state: () => ListeningState;
  /** True while frames are got ready or shown: no others are to be decoded then. */
  readonly isBusy: () => boolean;
  /** What is heard and seen at this moment; null while nothing is. */
  readonly now: () => { readonly sample: number; readonly frame: number } | null;
}

export function createPlaying(store: DeskStore, host: DeskHost, files: DeskFiles): Playing {
  const listening = createListening();
  let phase: 'still' | 'getting ready' | 'playing' = 'still';
  let isLooping = false;
  let heard: Heard = 'both';
  let words = '';
  let run = 0;
  let time: number | null = null;
  let begin = { sample: 0, frame: 0, sampleRate: 1, frameRate: 1 };

  const stop = (): void => {
    phase = 'still';
    time = null;
    run += 1;
    listening.stop();
    store.requestFrame();
  };
  const play = async (): Promise<void> => {
    const { recording, subject, channel } = store.get();
    const placement = gridOf(store.get());
    if (recording === null || subject === null || placement === null) return;
    run += 1;
    const mine = run;
    phase = 'getting ready';
    words = '';
    store.requestFrame();
    const { sampleRate, sampleCount } = recording.facts;
    const edge = toNumber(clapSampleIn(store.get()) ?? placement.sample);
    const first = Math.max(0, Math.round(edge - BEFORE_SECONDS * sampleRate));
    const end = Math.min(sampleCount, Math.round(edge + AFTER_SECONDS * sampleRate));
    const seconds = (end - first) / sampleRate;
    const grid = frameGrid(placement, subject.rate, subject.sampleRate, subject.driftPpm);
    const startFrame = (first - grid.origin) / grid.samplesPerFrame;
    const frameRate = toNumber(subject.rate);
    const from = startFrame / frameRate;
    const pictureSeconds = seconds / toNumber(slopeOf(subject.driftPpm));
    const camera = files.camera();
    const [sound, pieces] = await Promise.all([
      heard === 'camera' && camera.hasSound
        ? null
        : host.ask('sound', { file: recording.file, start: first, count: end - first, channel }).answer,
      camera.hasSound && heard !== 'recording'
        ? camera.hear(Math.max(0, from), Math.max(0, from + pictureSeconds)).catch(() => null)
        : [],
      files.shelf()?.untilThere(framesBetween(startFrame, startFrame + pictureSeconds * frameRate)),
    ]);
    if (mine !== run) return;
    words = limitWords(camera, pieces === null);
    const own = pieces ?? [];
    const gain = sound !== null && own.length > 0 ? GAIN_OF_TWO : 1;
    begin = { sample: first, frame: startFrame, sampleRate, frameRate };
    phase = 'playing';
    try {
      const recorded = sound === null ? [] : [{ buffer: listening.bufferOf(sound.samples, sampleRate), at: 0, gain }];
      const sounds = [...recorded, ...own.map(({ at, buffer }) => ({ buffer, at: at - from, gain }))];
      await listening.play(sounds, seconds, (now) => {
        if (mine !== run) return;
        time = now;
        if (now === null) {
          phase = 'still';
          if (isLooping) void play();
        }
        store.requestFrame();
      });
    } catch {
      stop();
      words = 'Nothing can be played here: the editor gives this page no sound.';
    }
    store.requestFrame();
  };
  return {
    toggle: () => {
      if (phase === 'still') void play();
      else stop();
    },
    stop: () => {
      if (phase !== 'still') stop();
      words = '';
    },
    setHeard: (next) => {
      heard = next;
      stop();
    },
    setLooping: (next) => {
      isLooping = next;
      store.requestFrame();
    },
    state: () => ({
      isPlaying: phase === 'playing',
      isGettingReady: phase === 'getting ready',
      isLooping,
      heard,
      canHearCamera: files.camera().hasSound,
      words,
    }),
    isBusy: () => phase !== 'still',
    now: () => {
      if (time === null) return null;
      const { sample, frame, sampleRate, frameRate } = begin;
      return { sample: sample + time * sampleRate, frame: Math.max(0, Math.floor(frame + time * frameRate + 1e-6)) };
    },
  };
}

function framesBetween(from: number, to: number): readonly number[] {
  const frames: number[] = [];
  for (let frame = Math.max(0, Math.floor(from)); frame <= to; frame += 1) frames.push(frame);
  return frames;
}

/** What is missing is said: a person must not judge by what was never there. */
function limitWords(camera: { readonly hasSound: boolean; readonly hasPicture: boolean }, isSoundBroken: boolean): string {
  return [
    isSoundBroken ? "The camera's own sound can't be decoded after all; the recording is heard alone." : '',
    camera.hasSound ? '' : 'The camera has no sound that can be heard here; the recording is heard alone.',
    camera.hasPicture ? '' : 'Its pictures are not seen here.',
  ]
    .filter((sentence) => sentence !== '')
    .join(' ');
}
