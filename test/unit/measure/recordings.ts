/**
 * Invented recordings for measuring: one scene, heard by a recorder and by a camera.
 *
 * The scene is speech-like noise with claps at known samples. A camera hears it later, duller, noisier, on a clock of its own, and
 * from its own first sample on; all of that is known exactly, since it is computed.
 */

import { clapSound } from '../sound/synthesis/claps.ts';
import { seededRandom } from '../sound/synthesis/random.ts';
import { lowPass, mixInto, pinkNoise, resampleExactly } from '../sound/synthesis/signal.ts';
import { speechLike } from '../sound/synthesis/speech.ts';
import { ascii, type Chunk, dataChunk, encodeSamples, formatChunk, type SampleKind, waveFile } from '../sound/waveBytes.ts';

export const SAMPLE_RATE = 48000;

export interface Scene {
  readonly samples: Float64Array;
  /** Samples at which claps begin; their edge, a tenth of their peak, is some samples later. */
  readonly claps: readonly number[];
}

/** `seconds` of talk with room around each clap, so that each stands alone as a slate does. */
export function inventScene(seed: string, seconds: number, clapSeconds: readonly number[]): Scene {
  const random = seededRandom(seed);
  const samples = pinkNoise(random.branch('room'), Math.round(seconds * SAMPLE_RATE), 0.0006);
  const talk = speechLike(random.branch('talk'), SAMPLE_RATE, seconds);
  const claps = clapSeconds.map((at) => Math.round(at * SAMPLE_RATE));
  for (let index = 0; index < samples.length; index += 1) {
    const isQuiet = claps.some((clap) => index > clap - 0.5 * SAMPLE_RATE && index < clap + 0.8 * SAMPLE_RATE);
    if (!isQuiet) samples[index] = (samples[index] as number) + 0.2 * (talk[index] ?? 0);
  }
  for (const [index, clap] of claps.entries()) {
    mixInto(samples, clapSound('hands', random.branch(`clap ${index}`), SAMPLE_RATE), clap, 0.6);
  }
  return { samples, claps };
}

/** First sample from `start` on that reaches a tenth of the clap's own peak of 0.6: where an edge is, by its definition. */
export function edgeAfter({ samples }: Scene, start: number): number {
  for (let index = start; index < samples.length; index += 1) if (Math.abs(samples[index] as number) >= 0.06) return index;
  return start;
}

export interface Hearing {
  /** Scene sample at the camera's first sample, fractions included. */
  readonly offset: number;
  /** How much faster the scene's clock counts than the camera's. */
  readonly driftPpm: number;
  readonly seconds: number;
  readonly isInverted?: boolean;
}

/** What a camera records of a scene. */
export function hearScene({ samples }: Scene, { offset, driftPpm, seconds, isInverted }: Hearing): Float64Array {
  const count = Math.round(seconds * SAMPLE_RATE);
  const heard = lowPass(resampleExactly(samples, offset, 1 + driftPpm * 1e-6, count), 9000, SAMPLE_RATE);
  const hiss = pinkNoise(seededRandom('camera'), count, 0.002);
  const gain = isInverted === true ? -0.5 : 0.5;
  return heard.map((value, index) => gain * value + (hiss[index] as number));
}

export interface WaveOptions {
  readonly kind?: SampleKind;
  readonly sampleRate?: number;
  /** BWF TimeReference: samples since midnight. */
  readonly timeReference?: number;
}

export function waveOf(
  samples: ArrayLike<number>,
  { kind = 's24', sampleRate = SAMPLE_RATE, timeReference }: WaveOptions = {},
): Uint8Array {
  const bits = { u8: 8, s16: 16, s24: 24, s32: 32, f32: 32, f64: 64 }[kind];
  const format = formatChunk({ tag: kind.startsWith('f') ? 3 : 1, bits, sampleRate });
  const stamp = timeReference === undefined ? [] : [bextChunk(timeReference)];
  return waveFile([format, ...stamp, dataChunk(encodeSamples(kind, samples))]);
}

/** EBU Tech 3285: TimeReference at bytes 338 to 345, low word first; 602 bytes before CodingHistory. */
function bextChunk(timeReference: number): Chunk {
  const body = new Uint8Array(602);
  body.set(ascii('an invented recording'), 0);
  const view = new DataView(body.buffer);
  view.setUint32(338, timeReference >>> 0, true);
  view.setUint32(342, Math.floor(timeReference / 2 ** 32), true);
  return { id: 'bext', body };
}
