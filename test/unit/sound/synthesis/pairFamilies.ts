/** Families of invented scenes for the scratch search, each varying one difficulty over many seeds. */

import { type Random, seededRandom } from './random.ts';
import { ROOMS, type Room } from './rooms.ts';
import { inventScene, PLAIN_SCENE, type Scene, type SceneOptions } from './scenes.ts';

export interface PairFamily {
  readonly name: string;
  readonly options: (random: Random) => SceneOptions;
}

const clocks = (random: Random): Partial<SceneOptions> => ({
  ppm: random.uniform(-60, 60),
  startDifference: random.uniform(-3, 6),
  distance: random.uniform(1.2, 6),
});

export const PAIR_FAMILIES: readonly PairFamily[] = [
  { name: 'plain', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random) }) },
  ...ROOMS.map((room) => ({
    name: `room: ${room.name}`,
    options: (random: Random): SceneOptions => ({ ...PLAIN_SCENE, ...clocks(random), room }),
  })),
  { name: 'inverted', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), isInverted: true }) },
  { name: 'noise 15 dB', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), cameraNoiseDb: 15 }) },
  { name: 'noise 6 dB', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), cameraNoiseDb: 6 }) },
  { name: '300 to 3400 Hz', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), band: [300, 3400] }) },
  { name: 'camera 44.1 kHz', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), cameraRate: 44100 }) },
  { name: 'camera 32 kHz, 8 bit', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), cameraRate: 32000, bits: 8 }) },
  { name: 'recorder 96 kHz', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), recorderRate: 96000 }) },
  {
    name: 'short scratch',
    options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), startDifference: random.uniform(2, 8), cameraSeconds: 3.5 }),
  },
  {
    name: 'little overlap',
    options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), startDifference: -random.uniform(5, 6), cameraSeconds: 11 }),
  },
  { name: 'pull up', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), ppm: 1000 + random.uniform(-20, 20) }) },
  { name: 'pull down', options: (random) => ({ ...PLAIN_SCENE, ...clocks(random), ppm: -999.001 + random.uniform(-20, 20) }) },
  {
    name: 'dropped 5 ms',
    options: (random) => ({
      ...PLAIN_SCENE,
      ...clocks(random),
      startDifference: 1,
      seconds: 26,
      cameraSeconds: 22,
      drop: { samples: 240, share: random.uniform(0.3, 0.7) },
    }),
  },
  {
    name: 'dropped 1 s',
    options: (random) => ({
      ...PLAIN_SCENE,
      ...clocks(random),
      startDifference: 1,
      seconds: 30,
      cameraSeconds: 26,
      drop: { samples: 48000, share: random.uniform(0.3, 0.7) },
    }),
  },
];

export function sceneOf(family: PairFamily, seed: number): Scene {
  const random = seededRandom(`${family.name}/${seed}`);
  return inventScene(random, family.options(random.branch('options')));
}

/** Two scenes that have nothing to do with each other. */
export function strangers(seed: number): { readonly recorder: Scene; readonly camera: Scene } {
  const random = seededRandom(`strangers/${seed}`);
  const options: SceneOptions = { ...PLAIN_SCENE, room: random.pick(ROOMS) as Room };
  return { recorder: inventScene(random.branch('one'), options), camera: inventScene(random.branch('other'), options) };
}
