/**
 * Families of invented takes, each varying one difficulty over many seeds.
 *
 * The engine is tuned on these and on nothing else; the table in the bench is made from them.
 */

import { CLAP_KINDS } from './claps.ts';
import { DISTRACTOR_KINDS, type DistractorKind } from './distractors.ts';
import { type Random, seededRandom } from './random.ts';
import { ROOMS } from './rooms.ts';
import { inventTake, PLAIN_TAKE, type Take, type TakeOptions } from './takes.ts';

export interface Family {
  readonly name: string;
  readonly options: (random: Random) => TakeOptions;
}

const anyRoom = (random: Random): Partial<TakeOptions> => ({ room: random.pick(ROOMS), distance: random.uniform(0.4, 2.5) });
const anyClap = (random: Random): Partial<TakeOptions> => ({ clapKinds: [random.pick(CLAP_KINDS)] });
const two = (random: Random): DistractorKind[] => [random.pick(DISTRACTOR_KINDS), random.pick(DISTRACTOR_KINDS)];

export const CLAP_FAMILIES: readonly Family[] = [
  { name: 'hands', options: () => ({ ...PLAIN_TAKE, clapKinds: ['hands'] }) },
  { name: 'sticks', options: () => ({ ...PLAIN_TAKE, clapKinds: ['sticks'] }) },
  { name: 'slap', options: () => ({ ...PLAIN_TAKE, clapKinds: ['slap'] }) },
  { name: 'three cameras', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), clapKinds: ['hands', 'hands', 'hands'] }) },
  { name: 'tail slate', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), position: 'tail' }) },
  ...ROOMS.map((room) => ({
    name: `room: ${room.name}`,
    options: (random: Random): TakeOptions => ({ ...PLAIN_TAKE, ...anyClap(random), room, distance: random.uniform(0.5, 3) }),
  })),
  { name: 'noise 36 dB', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), noiseDb: 36 }) },
  { name: 'noise 26 dB', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), noiseDb: 26 }) },
  { name: 'low level', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), level: 0.008 }) },
  { name: 'clipped', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), level: 2.5, clipAt: 1 }) },
  {
    name: 'DC, inverted',
    options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), offset: 0.1, isInverted: true }),
  },
  { name: 'drop-outs', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), hasDropOuts: true }) },
  { name: '44.1 kHz', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), sampleRate: 44100 }) },
  { name: '96 kHz', options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), ...anyClap(random), sampleRate: 96000 }) },
  ...DISTRACTOR_KINDS.map((kind) => ({
    name: `with ${kind}`,
    options: (random: Random): TakeOptions => ({
      ...PLAIN_TAKE,
      ...anyRoom(random),
      ...anyClap(random),
      distractors: [kind, kind],
    }),
  })),
  {
    name: 'mixed troubles',
    options: (random) => ({
      ...PLAIN_TAKE,
      ...anyRoom(random),
      clapKinds: ['hands', 'sticks'],
      distractors: two(random),
      noiseDb: random.uniform(30, 50),
    }),
  },
  {
    name: 'no clap at all',
    options: (random) => ({ ...PLAIN_TAKE, ...anyRoom(random), clapKinds: [], distractors: two(random) }),
  },
];

export function takeOf(family: Family, seed: number): Take {
  const random = seededRandom(`${family.name}/${seed}`);
  return inventTake(random, family.options(random.branch('options')));
}
