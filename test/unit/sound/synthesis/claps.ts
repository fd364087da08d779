/**
 * Invented claps: hands, sticks and slaps of many characters.
 *
 * What is known of hand claps (Papadakis & Stavroulakis 2020: a usable impulse whose spectrum depends strongly on the shape of the
 * hands): a rise well under a millisecond, a broad maximum somewhere between 500 Hz and 4 kHz, little below 300 Hz, gone within
 * some 10 ms without a room. Sticks add a few wooden modes.
 */

import type { Random } from './random.ts';
import { highPass, lowPass, mixInto, normalised, resonate, whiteNoise } from './signal.ts';

export type ClapKind = 'hands' | 'sticks' | 'slap';
export const CLAP_KINDS: readonly ClapKind[] = ['hands', 'sticks', 'slap'];

/** One clap without a room, peak 1. */
export function clapSound(kind: ClapKind, random: Random, sampleRate: number): Float64Array {
  switch (kind) {
    case 'hands':
      return handClap(random, sampleRate);
    case 'sticks':
      return stickClap(random, sampleRate);
    case 'slap':
      return slap(random, sampleRate);
  }
}

function handClap(random: Random, sampleRate: number): Float64Array {
  const centre = random.uniform(700, 3200);
  const burst = strike(random, sampleRate, random.uniform(0.0001, 0.0007), random.uniform(0.0015, 0.006), 0.06);
  const body = resonate(burst, centre, centre * random.uniform(0.4, 1.2), sampleRate);
  const second = resonate(burst, centre * random.uniform(1.6, 2.6), centre * random.uniform(0.8, 1.5), sampleRate);
  const mixed = new Float64Array(burst.length);
  mixInto(mixed, normalised(body, 1), 0, 1);
  mixInto(mixed, normalised(second, 1), 0, random.uniform(0.2, 0.7));
  mixInto(mixed, normalised(burst, 1), 0, random.uniform(0.1, 0.4));
  return normalised(highPass(mixed, random.uniform(150, 400), sampleRate), 1);
}

function stickClap(random: Random, sampleRate: number): Float64Array {
  const burst = strike(random, sampleRate, random.uniform(0.00005, 0.0003), random.uniform(0.0008, 0.002), 0.09);
  const mixed = new Float64Array(burst.length);
  mixInto(mixed, normalised(burst, 1), 0, random.uniform(0.5, 0.9));
  const modes = random.whole(3, 6);
  for (let mode = 0; mode < modes; mode += 1) {
    const frequency = random.uniform(700, 6500);
    mixInto(mixed, normalised(resonate(burst, frequency, random.uniform(120, 420), sampleRate), 1), 0, random.uniform(0.2, 0.7));
  }
  return normalised(highPass(mixed, 200, sampleRate), 1);
}

function slap(random: Random, sampleRate: number): Float64Array {
  const burst = strike(random, sampleRate, random.uniform(0.0002, 0.0008), random.uniform(0.002, 0.005), 0.08);
  const mixed = lowPass(burst, random.uniform(2500, 6000), sampleRate);
  mixInto(
    mixed,
    normalised(resonate(burst, random.uniform(350, 900), random.uniform(250, 500), sampleRate), 1),
    0,
    random.uniform(0.3, 0.6),
  );
  return normalised(mixed, 1);
}

/** Noise that rises within `rise` seconds and decays with time constant `decay`. */
export function strike(random: Random, sampleRate: number, rise: number, decay: number, seconds: number): Float64Array {
  const noise = whiteNoise(random, Math.round(seconds * sampleRate));
  return noise.map((value, index) => {
    const time = index / sampleRate;
    const attack = time < rise ? 0.5 - 0.5 * Math.cos((Math.PI * time) / rise) : 1;
    return value * attack * Math.exp(-time / decay);
  });
}
