/** Invented sounds that are not a slate clap, and that a careless ear would take for one. */

import { clapSound, strike } from './claps.ts';
import type { Random } from './random.ts';
import { highPass, lowPass, mixInto, normalised, pinkNoise, resonate } from './signal.ts';

export type DistractorKind =
  | 'snap'
  | 'door'
  | 'knocks'
  | 'steps'
  | 'plosive'
  | 'bump'
  | 'drum'
  | 'drums'
  | 'applause'
  | 'clink'
  | 'keys'
  | 'tone'
  | 'click'
  | 'cough';

export const DISTRACTOR_KINDS: readonly DistractorKind[] = [
  'snap',
  'door',
  'knocks',
  'steps',
  'plosive',
  'bump',
  'drum',
  'drums',
  'applause',
  'clink',
  'keys',
  'tone',
  'click',
  'cough',
];

/** One event or series without a room, peak 1. */
export function distractorSound(kind: DistractorKind, random: Random, sampleRate: number): Float64Array {
  return normalised(MAKERS[kind](random, sampleRate), 1);
}

type Maker = (random: Random, sampleRate: number) => Float64Array;

/** A sound `strikes` times, `gap` seconds apart on average. */
function series(random: Random, sampleRate: number, strikes: number, gap: number, jitter: number, make: Maker): Float64Array {
  const output = new Float64Array(Math.round((strikes * gap * (1 + jitter) + 0.6) * sampleRate));
  let place = 0;
  for (let index = 0; index < strikes; index += 1) {
    mixInto(output, make(random, sampleRate), Math.round(place * sampleRate), random.uniform(0.6, 1));
    place += gap * random.uniform(1 - jitter, 1 + jitter);
  }
  return output;
}

function modes(
  burst: Float64Array,
  random: Random,
  sampleRate: number,
  count: number,
  low: number,
  high: number,
  width: number,
): Float64Array {
  const output = new Float64Array(burst.length);
  for (let mode = 0; mode < count; mode += 1) {
    const frequency = low * (high / low) ** random.uniform(0, 1);
    mixInto(output, normalised(resonate(burst, frequency, frequency * width, sampleRate), 1), 0, random.uniform(0.4, 1));
  }
  return output;
}

const thump: Maker = (random, sampleRate) => {
  const burst = strike(random, sampleRate, random.uniform(0.001, 0.006), random.uniform(0.01, 0.03), 0.4);
  const body = normalised(lowPass(lowPass(burst, random.uniform(90, 220), sampleRate), 300, sampleRate), 1);
  mixInto(body, normalised(modes(burst, random, sampleRate, 3, 70, 400, 0.12), 1), 0, 0.6);
  return body;
};

const knock: Maker = (random, sampleRate) => {
  const burst = strike(random, sampleRate, 0.0006, random.uniform(0.003, 0.008), 0.2);
  const body = normalised(modes(burst, random, sampleRate, 4, 120, 900, 0.2), 1);
  mixInto(body, normalised(lowPass(burst, 1800, sampleRate), 1), 0, 0.25);
  return body;
};

const step: Maker = (random, sampleRate) => {
  const body = normalised(thump(random, sampleRate), 1);
  const scuff = strike(random, sampleRate, 0.01, 0.04, 0.15);
  mixInto(body, normalised(highPass(scuff, 1500, sampleRate), 1), Math.round(0.01 * sampleRate), random.uniform(0.05, 0.25));
  return body;
};

const drum: Maker = (random, sampleRate) => {
  const base = random.uniform(60, 210);
  const output = new Float64Array(Math.round(0.7 * sampleRate));
  const decay = random.uniform(0.08, 0.25);
  for (let index = 0; index < output.length; index += 1) {
    const time = index / sampleRate;
    const attack = 1 - Math.exp(-time / 0.0015);
    output[index] =
      attack * Math.exp(-time / decay) * Math.sin(2 * Math.PI * base * (time + 0.02 * (1 - Math.exp(-time / 0.02))));
  }
  if (random.uniform(0, 1) < 0.5) {
    // Snares: noise that rings on for 100 ms and more.
    mixInto(
      output,
      normalised(strike(random, sampleRate, 0.001, random.uniform(0.05, 0.12), 0.5), 1),
      0,
      random.uniform(0.3, 0.7),
    );
  }
  return output;
};

const MAKERS: Readonly<Record<DistractorKind, Maker>> = {
  snap: (random, sampleRate) => {
    // The finger slides for some milliseconds, then lands: a narrow resonance of the hollow hand.
    const output = new Float64Array(Math.round(0.12 * sampleRate));
    const slide = strike(random, sampleRate, 0.004, 0.006, 0.03);
    mixInto(output, normalised(highPass(slide, 3000, sampleRate), 1), 0, random.uniform(0.02, 0.12));
    const landing = strike(random, sampleRate, 0.0004, random.uniform(0.001, 0.003), 0.08);
    const frequency = random.uniform(1400, 3200);
    const tone = normalised(resonate(landing, frequency, frequency * random.uniform(0.08, 0.18), sampleRate), 1);
    mixInto(output, tone, Math.round(random.uniform(0.006, 0.012) * sampleRate), 1);
    return output;
  },
  door: (random, sampleRate) => {
    const output = new Float64Array(Math.round(1 * sampleRate));
    const latch = normalised(modes(strike(random, sampleRate, 0.0005, 0.003, 0.1), random, sampleRate, 4, 900, 4500, 0.08), 1);
    mixInto(output, latch, 0, random.uniform(0.1, 0.4));
    mixInto(output, thump(random, sampleRate), Math.round(random.uniform(0.01, 0.06) * sampleRate), 1);
    const rattles = random.whole(1, 4);
    for (let index = 0; index < rattles; index += 1) {
      mixInto(output, latch, Math.round(random.uniform(0.06, 0.35) * sampleRate), random.uniform(0.05, 0.3));
    }
    return output;
  },
  knocks: (random, sampleRate) => series(random, sampleRate, random.whole(2, 5), random.uniform(0.14, 0.3), 0.15, knock),
  steps: (random, sampleRate) => series(random, sampleRate, random.whole(4, 8), random.uniform(0.42, 0.65), 0.08, step),
  plosive: (random, sampleRate) => {
    const breath = strike(random, sampleRate, random.uniform(0.005, 0.015), random.uniform(0.02, 0.05), 0.3);
    const output = normalised(lowPass(lowPass(breath, random.uniform(60, 150), sampleRate), 200, sampleRate), 1);
    mixInto(output, normalised(lowPass(breath, 2500, sampleRate), 1), 0, random.uniform(0.05, 0.2));
    return output;
  },
  bump: thump,
  drum,
  drums: (random, sampleRate) => series(random, sampleRate, random.whole(6, 12), random.uniform(0.22, 0.5), 0.02, drum),
  applause: (random, sampleRate) => {
    const output = new Float64Array(Math.round(random.uniform(2, 4) * sampleRate));
    const people = random.whole(6, 20);
    for (let person = 0; person < people; person += 1) {
      const own = clapSound('hands', random, sampleRate);
      const pace = random.uniform(0.2, 0.33);
      const loudness = random.uniform(0.2, 1);
      for (let time = random.uniform(0, 0.3); time < output.length / sampleRate - 0.3; time += pace * random.uniform(0.9, 1.1)) {
        mixInto(output, own, Math.round(time * sampleRate), loudness * random.uniform(0.7, 1));
      }
    }
    return output;
  },
  clink: (random, sampleRate) => {
    const blow = strike(random, sampleRate, 0.0001, 0.0004, 0.8);
    return modes(blow, random, sampleRate, 4, 1800, 9000, 0.002);
  },
  keys: (random, sampleRate) =>
    series(random, sampleRate, random.whole(5, 12), random.uniform(0.1, 0.25), 0.4, (inner, rate) =>
      modes(strike(inner, rate, 0.0005, 0.002, 0.06), inner, rate, 3, 1500, 7000, 0.15),
    ),
  tone: (random, sampleRate) => {
    // One frame of 1 kHz, as the pop before a programme.
    const frames = random.pick([1 / 24, 1 / 25, 1001 / 30000]);
    return Float64Array.from({ length: Math.round(frames * sampleRate) }, (_, index) =>
      Math.sin((2 * Math.PI * 1000 * index) / sampleRate),
    );
  },
  click: (random) => {
    const output = new Float64Array(8);
    output[2] = 1;
    if (random.uniform(0, 1) < 0.5) output[3] = -0.5;
    return output;
  },
  cough: (random, sampleRate) => {
    const breath = strike(random, sampleRate, random.uniform(0.004, 0.01), random.uniform(0.06, 0.12), 0.5);
    const output = normalised(resonate(breath, random.uniform(500, 900), 400, sampleRate), 1);
    mixInto(output, normalised(resonate(breath, random.uniform(1300, 2200), 700, sampleRate), 1), 0, 0.6);
    mixInto(output, normalised(pinkNoise(random, breath.length), 1), 0, 0.002);
    return output;
  },
};

/** Drop-outs: the recorder wrote zeros, which cuts the sound off with a step at both ends. */
export function dropOut(signal: Float64Array, random: Random, sampleRate: number, at: number): void {
  const length = Math.round(random.uniform(0.002, 0.05) * sampleRate);
  signal.fill(0, at, at + length);
}
