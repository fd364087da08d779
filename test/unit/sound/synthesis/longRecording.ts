/**
 * Recordings of an hour, invented as they are written, for the bench: bursts of coloured noise that come and go like syllables and
 * sentences, over a quiet room, with a slate clap in the third second.
 *
 * The scratch is a piece of it on another clock, further away and noisier. Nothing repeats, so there is one right answer.
 */

import { closeSync, openSync, writeSync } from 'node:fs';
import { dataChunk, encodeSamples, formatChunk, waveFile } from '../waveBytes.ts';
import { clapSound } from './claps.ts';
import { type Random, seededRandom } from './random.ts';
import { resampleExactly } from './signal.ts';

export interface LongRecording {
  readonly soundPath: string;
  readonly scratchPath: string;
  /** Sample of the only clap's edge. */
  readonly clap: number;
  /** Sound samples at scratch sample 0. */
  readonly offset: number;
  readonly ppm: number;
}

const RATE = 48000;

export function writeLongRecording(
  folder: string,
  seconds: number,
  scratchStart: number,
  scratchSeconds: number,
  ppm: number,
): LongRecording {
  const soundPath = `${folder}/sound.wav`;
  const scratchPath = `${folder}/scratch.wav`;
  const random = seededRandom('an hour');
  const sound = openWave(soundPath, seconds * RATE);
  const scratch = openWave(scratchPath, scratchSeconds * RATE);
  const scratchNoise = seededRandom('scratch noise');
  const voice = makeVoice(random);
  const block = RATE * 20;
  const step = 1 + ppm / 1e6;
  let clap = 0;
  let kept = new Float64Array(0);
  let keptFrom = 0;
  let written = 0;
  for (let start = 0; start < seconds * RATE; start += block) {
    const samples = Float64Array.from(
      { length: Math.min(block, seconds * RATE - start) },
      () => voice() + 0.0008 * random.normal(),
    );
    if (start === 0) {
      // Two seconds of quiet around the clap: nobody talks over a slate.
      for (let index = RATE * 2; index < RATE * 4; index += 1) samples[index] = 0.0008 * random.normal();
      const sound = clapSound('hands', random, RATE);
      const at = 3 * RATE;
      sound.forEach((value, index) => {
        samples[at + index] = (samples[at + index] as number) + 0.7 * value;
      });
      clap = at + sound.findIndex((value) => Math.abs(value) >= 0.1);
    }
    sound.write(samples);
    // A window of the sound long enough to resample from.
    const joined = new Float64Array(kept.length + samples.length);
    joined.set(kept);
    joined.set(samples, kept.length);
    const from = keptFrom;
    const reach = 64;
    let ready = 0;
    while (
      written + ready < scratchSeconds * RATE &&
      scratchStart * RATE + (written + ready) * step < start + samples.length - reach
    ) {
      if (scratchStart * RATE + (written + ready) * step < from + reach) break;
      ready += 1;
    }
    if (ready > 0) {
      const far = resampleExactly(joined, scratchStart * RATE + written * step - from, step, ready);
      scratch.write(far.map((value, index) => 0.4 * value + 0.15 * (far[index - 523] ?? 0) + 0.004 * scratchNoise.normal()));
      written += ready;
    }
    kept = joined.slice(Math.max(0, joined.length - 4 * reach));
    keptFrom = start + samples.length - kept.length;
  }
  sound.close();
  scratch.close();
  return { soundPath, scratchPath, clap, offset: scratchStart * RATE, ppm };
}

function makeVoice(random: Random): () => number {
  let left = 0;
  let loudness = 0;
  let colour = 0.3;
  let low = 0;
  let level = 0;
  return () => {
    if (left <= 0) {
      left = Math.round(RATE * random.uniform(0.06, 0.25));
      const isPause = random.uniform(0, 1) < 0.2;
      loudness = isPause ? 0 : random.uniform(0.05, 0.35);
      colour = random.uniform(0.1, 0.7);
    }
    left -= 1;
    level += (loudness - level) * 0.002;
    low += colour * (random.uniform(-1, 1) - low);
    return low * level;
  };
}

function openWave(path: string, sampleCount: number): { write(samples: Float64Array): void; close(): void } {
  const file = openSync(path, 'w');
  const head = waveFile([formatChunk(), dataChunk(new Uint8Array(0))]);
  const view = new DataView(head.buffer);
  view.setUint32(4, 36 + sampleCount * 3, true);
  view.setUint32(40, sampleCount * 3, true);
  writeSync(file, head);
  return {
    write: (samples) => {
      writeSync(file, encodeSamples('s24', samples));
    },
    close: () => closeSync(file),
  };
}
