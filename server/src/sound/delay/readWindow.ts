/**
 * A stretch of a recording at a chosen sample rate, for comparison with a stretch of another.
 *
 * Recordings at different rates meet at the lower one. Resampling is a sinc of 32 zero crossings under a Kaiser window (beta 8), its
 * phase rounded to 1/1024 sample: noise 60 dB down, which no correlation notices, and a mean shift of nothing.
 */

import type { SoundSource } from '../soundSource.ts';

const HALF_CROSSINGS = 16;
const PHASES = 1024;

/** `count` samples at `rate` from `start`, which counts samples of the source, fractions included. Silence where there is no sound. */
export async function readWindow(
  source: SoundSource,
  channel: number,
  start: number,
  count: number,
  rate: number,
): Promise<Float32Array> {
  const step = source.sampleRate / rate;
  if (step === 1 && Number.isInteger(start)) return readPadded(source, channel, start, count);
  const reach = Math.ceil(HALF_CROSSINGS * Math.max(1, step)) + 1;
  const first = Math.floor(start) - reach;
  const input = await readPadded(source, channel, first, Math.ceil(count * step) + 2 * reach + 2);
  return resample(input, start - first, step, count);
}

/** Output sample `n` is the input at `start + n * step`, with the band limited where `step` is above 1. */
export function resample(input: Float32Array, start: number, step: number, count: number): Float32Array {
  const cutoff = step > 1 ? 0.97 / step : 1;
  const reach = Math.ceil(HALF_CROSSINGS / cutoff);
  const taps = 2 * reach;
  const kernel = kernelFor(cutoff, reach);
  const output = new Float32Array(count);
  for (let index = 0; index < count; index += 1) {
    const place = start + index * step;
    let whole = Math.floor(place);
    let phase = Math.round((place - whole) * PHASES);
    if (phase === PHASES) {
      phase = 0;
      whole += 1;
    }
    const first = whole - reach + 1;
    const base = phase * taps;
    let sum = 0;
    if (first >= 0 && first + taps <= input.length) {
      for (let tap = 0; tap < taps; tap += 1) sum += (input[first + tap] as number) * (kernel[base + tap] as number);
    } else {
      for (let tap = 0; tap < taps; tap += 1) sum += (input[first + tap] ?? 0) * (kernel[base + tap] as number);
    }
    output[index] = sum;
  }
  return output;
}

async function readPadded(source: SoundSource, channel: number, start: number, count: number): Promise<Float32Array> {
  const samples = new Float32Array(count);
  const skip = Math.max(0, -start);
  if (skip < count && start + skip < source.sampleCount) await source.read(start + skip, [channel], [samples.subarray(skip)]);
  return samples;
}

const kernels = new Map<string, Float32Array>();

function kernelFor(cutoff: number, reach: number): Float32Array {
  const key = `${cutoff}/${reach}`;
  let kernel = kernels.get(key);
  if (kernel === undefined) {
    kernel = makeKernel(cutoff, reach);
    kernels.set(key, kernel);
  }
  return kernel;
}

function makeKernel(cutoff: number, reach: number): Float32Array {
  const taps = 2 * reach;
  const kernel = new Float32Array(PHASES * taps);
  const beta = 8;
  for (let phase = 0; phase < PHASES; phase += 1) {
    for (let tap = 0; tap < taps; tap += 1) {
      const distance = tap - reach + 1 - phase / PHASES;
      const angle = Math.PI * distance * cutoff;
      const sinc = Math.abs(angle) < 1e-9 ? 1 : Math.sin(angle) / angle;
      const edge = distance / reach;
      const window = Math.abs(edge) >= 1 ? 0 : bessel(beta * Math.sqrt(1 - edge * edge)) / bessel(beta);
      kernel[phase * taps + tap] = cutoff * sinc * window;
    }
  }
  return kernel;
}

/** Modified Bessel function of the first kind, order 0, by its power series. */
function bessel(value: number): number {
  let sum = 1;
  let term = 1;
  for (let order = 1; term > 1e-9 * sum; order += 1) {
    term *= (value / (2 * order)) ** 2;
    sum += term;
  }
  return sum;
}
