/**
 * A scratch and a sound on one clock, so that the measurements need not know about sample rates.
 *
 * Both are read at one rate, the lower of the two. Where a pull is suspected the scratch is read stretched by it. What the scratch
 * holds at position `x` then lies in the sound near `offset + x * (1 + drift)` with a drift of some parts per million; positions are
 * samples at the common rate.
 */

import { readWindow } from './readWindow.ts';
import { FRAMES_PER_SECOND, type SoundProfile } from './soundProfile.ts';

export interface Pairing {
  readonly scratch: SoundProfile;
  readonly sound: SoundProfile;
  /** Samples per second of the common clock. */
  readonly rate: number;
  /** Sound seconds per scratch second before drift: 1, or a pull. */
  readonly stretch: number;
  readonly scratchLength: number;
  readonly soundLength: number;
}

/** Where a scratch lies: `offset` in samples of the common clock, `drift` as a fraction. */
export interface PairingLine {
  readonly offset: number;
  readonly drift: number;
}

export function pairUp(scratch: SoundProfile, sound: SoundProfile, stretch: number): Pairing {
  const rate = Math.min(scratch.source.sampleRate, sound.source.sampleRate);
  return {
    scratch,
    sound,
    rate,
    stretch,
    scratchLength: Math.floor((scratch.sampleCount / scratch.source.sampleRate) * stretch * rate),
    soundLength: Math.floor((sound.sampleCount / sound.source.sampleRate) * rate),
  };
}

export function readScratch(pairing: Pairing, start: number, count: number): Promise<Float32Array> {
  const { scratch, rate, stretch } = pairing;
  const perSample = scratch.source.sampleRate / rate / stretch;
  return readWindow(scratch.source, scratch.channel, start * perSample, count, rate * stretch);
}

export function readSound(pairing: Pairing, start: number, count: number): Promise<Float32Array> {
  const { sound, rate } = pairing;
  return readWindow(sound.source, sound.channel, start * (sound.source.sampleRate / rate), count, rate);
}

/** The part of the scratch that the sound covers; empty when `end` is not beyond `start`. */
export function overlapOf(pairing: Pairing, line: PairingLine): { readonly start: number; readonly end: number } {
  const start = Math.max(0, Math.ceil(-line.offset / (1 + line.drift)));
  const end = Math.min(pairing.scratchLength, Math.floor((pairing.soundLength - line.offset) / (1 + line.drift)));
  return { start, end };
}

/** Evenly spread starts of stretches of `length`, each moved within its share to where most happens. */
export function chooseStarts(pairing: Pairing, start: number, end: number, length: number, count: number): number[] {
  const { changes } = pairing.scratch;
  const framesPerSample = FRAMES_PER_SECOND / pairing.rate / pairing.stretch;
  const activity = (at: number): number => {
    let sum = 0;
    const last = Math.min(changes.length, Math.floor((at + length) * framesPerSample));
    for (let frame = Math.max(0, Math.floor(at * framesPerSample)); frame < last; frame += 1)
      sum += Math.max(0, changes[frame] as number) ** 2;
    return sum;
  };
  const share = (end - start - length) / Math.max(1, count);
  const step = Math.max(1, Math.round(pairing.rate / 5));
  const starts: number[] = [];
  for (let index = 0; index < count; index += 1) {
    const from = Math.round(start + index * share);
    const to = Math.round(start + (index + 1) * share);
    let best = from;
    let most = activity(from);
    for (let at = from + step; at <= to; at += step) {
      const happening = activity(at);
      if (happening > most) {
        most = happening;
        best = at;
      }
    }
    starts.push(best);
  }
  return starts;
}
