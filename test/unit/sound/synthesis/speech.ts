/**
 * Speech-like bursts: a buzz with a wandering pitch through three formants, hisses, and stops with their bursts.
 *
 * Nobody speaks here and no words are said; what matters for the engine is there: syllables, pauses, sharp onsets of stops,
 * level that moves by 30 dB.
 */

import { strike } from './claps.ts';
import type { Random } from './random.ts';
import { highPass, mixInto, normalised, resonate, whiteNoise } from './signal.ts';

/** About `seconds` of speech, peak 1. */
export function speechLike(random: Random, sampleRate: number, seconds: number): Float64Array {
  const output = new Float64Array(Math.round(seconds * sampleRate));
  const pitch = random.pick([random.uniform(85, 140), random.uniform(160, 240)]);
  let place = 0;
  while (place < output.length) {
    const length = random.uniform(0.09, 0.26);
    const kind = random.uniform(0, 1);
    if (kind < 0.45) {
      const burst = strike(random, sampleRate, random.uniform(0.0005, 0.003), random.uniform(0.004, 0.015), 0.06);
      const centre = random.pick([random.uniform(500, 1200), random.uniform(1800, 3000), random.uniform(3500, 5500)]);
      mixInto(output, normalised(resonate(burst, centre, centre * 0.7, sampleRate), 1), place, random.uniform(0.05, 0.35));
      place += Math.round(random.uniform(0.01, 0.05) * sampleRate);
    } else if (kind < 0.65) {
      const hiss = strike(random, sampleRate, 0.03, random.uniform(0.03, 0.08), 0.15);
      mixInto(output, normalised(highPass(hiss, random.uniform(2500, 5000), sampleRate), 1), place, random.uniform(0.04, 0.2));
      place += Math.round(random.uniform(0.05, 0.12) * sampleRate);
    }
    mixInto(output, syllable(random, sampleRate, length, pitch), place, random.uniform(0.3, 1));
    place += Math.round(length * sampleRate * random.uniform(0.8, 1));
    if (random.uniform(0, 1) < 0.15) place += Math.round(random.uniform(0.08, 0.5) * sampleRate);
  }
  return normalised(output, 1);
}

function syllable(random: Random, sampleRate: number, seconds: number, pitch: number): Float64Array {
  const length = Math.round(seconds * sampleRate);
  const breath = whiteNoise(random, length, 0.02);
  const source = new Float64Array(length);
  let phase = 0;
  const glide = random.uniform(-0.15, 0.15);
  for (let index = 0; index < length; index += 1) {
    phase += (pitch * (1 + (glide * index) / length)) / sampleRate;
    if (phase >= 1) {
      phase -= 1;
      source[index] = 1;
    }
    const shape = Math.sin((Math.PI * index) / length) ** 0.5;
    source[index] = ((source[index] as number) + (breath[index] as number)) * shape;
  }
  const first = resonate(source, random.uniform(300, 800), 90, sampleRate);
  const second = resonate(source, random.uniform(900, 2200), 120, sampleRate);
  const third = resonate(source, random.uniform(2300, 3200), 200, sampleRate);
  const output = new Float64Array(length);
  for (let index = 0; index < length; index += 1) {
    output[index] = (first[index] as number) + 0.5 * (second[index] as number) + 0.25 * (third[index] as number);
  }
  return normalised(output, 1);
}
