/**
 * Whole invented takes: a spoken label, one or more slate claps, the take itself, and whatever disturbs it, with the truth beside.
 *
 * Truth for a clap's edge: the first sample at which the clap alone, without noise, reaches 10 % of the peak of its first arrival.
 */

import { type ClapKind, clapSound } from './claps.ts';
import { type DistractorKind, distractorSound, dropOut } from './distractors.ts';
import type { Random } from './random.ts';
import { type Room, roomResponse, SPEED_OF_SOUND } from './rooms.ts';
import { convolve, mixInto, normalised, peakOf, pinkNoise } from './signal.ts';
import { speechLike } from './speech.ts';

export interface TakeOptions {
  readonly sampleRate: number;
  readonly room: Room;
  /** Metres from clap to microphone. */
  readonly distance: number;
  readonly clapKinds: readonly ClapKind[];
  readonly distractors: readonly DistractorKind[];
  /** Noise below the peak of the clap, decibels. */
  readonly noiseDb: number;
  /** Peak of the loudest sound in the file. */
  readonly level: number;
  readonly hasSpeech: boolean;
  readonly position: 'head' | 'tail';
  readonly clipAt: number | null;
  readonly offset: number;
  readonly isInverted: boolean;
  readonly hasDropOuts: boolean;
}

export const PLAIN_TAKE: TakeOptions = {
  sampleRate: 48000,
  room: { name: 'dead studio', reverberationTime: 0.15, metres: [4, 3.5, 2.6] },
  distance: 1,
  clapKinds: ['hands'],
  distractors: [],
  noiseDb: 50,
  level: 0.5,
  hasSpeech: true,
  position: 'head',
  clipAt: null,
  offset: 0,
  isInverted: false,
  hasDropOuts: false,
};

export interface Take {
  readonly samples: Float32Array;
  readonly sampleRate: number;
  /** Edges of the slate claps, ascending. */
  readonly edges: readonly number[];
  readonly distractors: readonly { readonly kind: DistractorKind; readonly start: number; readonly end: number }[];
}

export function inventTake(random: Random, options: TakeOptions): Take {
  const { sampleRate } = options;
  const clapCount = options.clapKinds.length;
  const seconds = 6 + 3.2 * clapCount + 2.6 * options.distractors.length;
  const dry = new Float64Array(Math.round(seconds * sampleRate));
  const wet = new Float64Array(dry.length);
  const edges: number[] = [];
  const distractors: { kind: DistractorKind; start: number; end: number }[] = [];

  // Everything that happens gets a slot of its own; claps come first in a head slate, last in a tail slate.
  const clapSlots = options.clapKinds.map((kind) => ({ kind, isClap: true as const }));
  const otherSlots = options.distractors.map((kind) => ({ kind, isClap: false as const }));
  const cut = random.whole(0, otherSlots.length);
  const slots =
    options.position === 'head'
      ? [...otherSlots.slice(0, cut), ...clapSlots, ...otherSlots.slice(cut)]
      : [...otherSlots, ...clapSlots];
  let time = 0.8;
  if (options.position === 'tail') time += speak(random, dry, time, 3, options);
  for (const slot of slots) {
    if (slot.isClap) {
      const label = speak(random, dry, time, random.uniform(0.7, 1.4), options);
      time += label + random.uniform(0.3, 0.9);
      edges.push(addClap(random, wet, Math.round(time * sampleRate), slot.kind, options));
      time += random.uniform(0.9, 1.4);
    } else {
      const sound = distractorSound(slot.kind, random, sampleRate);
      const start = Math.round(time * sampleRate);
      // A digital click is made by the machine: it knows no room.
      mixInto(slot.kind === 'click' ? wet : dry, sound, start, random.uniform(0.25, 0.9));
      distractors.push({ kind: slot.kind, start, end: start + sound.length });
      time += sound.length / sampleRate + random.uniform(0.5, 0.9);
    }
  }
  if (options.position === 'head') speak(random, dry, time + 0.4, Math.max(0.5, seconds - time - 1), options);
  // What is not a clap is heard in the same room.
  const reply = roomResponse(options.room, options.distance * random.uniform(0.8, 1.5), random, sampleRate);
  mixInto(wet, convolve(dry, reply), 0);
  return { samples: finish(random, wet, options), sampleRate, edges, distractors };
}

function speak(random: Random, into: Float64Array, at: number, seconds: number, options: TakeOptions): number {
  if (!options.hasSpeech) return 0;
  const length = Math.max(0.3, Math.min(seconds, into.length / options.sampleRate - at - 0.2));
  mixInto(into, speechLike(random, options.sampleRate, length), Math.round(at * options.sampleRate), random.uniform(0.25, 0.8));
  return length;
}

/** Adds one clap through the room; answers the sample of its edge. */
function addClap(random: Random, into: Float64Array, at: number, kind: ClapKind, options: TakeOptions): number {
  const clap = normalised(clapSound(kind, random, options.sampleRate), random.uniform(0.7, 1));
  const reply = roomResponse(options.room, options.distance, random, options.sampleRate);
  const heard = convolve(clap, reply);
  mixInto(into, heard, at);
  // The first arrival alone: the clap, late by the air, without a room.
  const direct = (options.distance / SPEED_OF_SOUND) * options.sampleRate;
  const limit = 0.1 * peakOf(clap);
  for (let index = 0; index < heard.length; index += 1) {
    if (index >= Math.floor(direct) && Math.abs(heard[index] as number) >= limit) return at + index;
  }
  return at;
}

function finish(random: Random, signal: Float64Array, options: TakeOptions): Float32Array {
  const noise = pinkNoise(random, signal.length, 10 ** (-options.noiseDb / 20) * 0.3);
  const hum = 10 ** (-options.noiseDb / 20) * 0.2;
  const gain = (options.level / peakOf(signal)) * (options.isInverted ? -1 : 1);
  if (options.hasDropOuts) {
    for (let index = 0; index < 3; index += 1) {
      const at = Math.round(random.uniform(0.02, 0.3) * signal.length);
      dropOut(signal, random, options.sampleRate, at);
      noise.fill(0, at, at + Math.round(0.01 * options.sampleRate));
    }
  }
  const limit = options.clipAt ?? 1;
  return Float32Array.from(signal, (value, index) => {
    const buzz = hum * Math.sin((2 * Math.PI * 50 * index) / options.sampleRate);
    const heard = (value + (noise[index] as number) + buzz) * gain + options.offset;
    return Math.max(-limit, Math.min(limit, heard));
  });
}
