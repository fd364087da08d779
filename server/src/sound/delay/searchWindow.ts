/**
 * Finds one stretch of scratch in a somewhat longer stretch of sound, by generalised cross-correlation.
 *
 * Knapp & Carter 1976: the cross spectrum is weighted before it is transformed back. The weight here is the magnitude to the power
 * -0.75: most of the way to the phase transform, so that hum, vowels and gain do not shape the peak, yet with some weight left to where
 * there is sound at all. The exponent was chosen by measurement over the synthesised families. The sign of the peak is the polarity.
 */

import { type Fourier, transformSize } from '../fourier/fourier.ts';
import { multiplyConjugate } from './locateCoarsely.ts';
import { parabolicPeak } from './peak.ts';

export interface CorrelationPeak {
  /** Samples from the start of the sound stretch to where the scratch stretch begins in it. */
  readonly lag: number;
  readonly polarity: 1 | -1;
  /** Height over the deviation of what is not a peak; chance reaches about 4.5. */
  readonly clarity: number;
}

export const SEARCH_BAND_HZ = [150, 9000] as const;

/** Peaks at least half as high as the highest: in a room the direct sound and some echoes. */
const MOST_PEAKS = 5;
const LEAST_HEIGHT = 0.5;
const APART_SECONDS = 0.00012;

/**
 * The highest peaks, highest first. `sound` must be longer than `scratch`; every lag at which the scratch lies wholly inside is
 * tried. Empty when one of the two is silent.
 */
export function searchWindow(scratch: Float32Array, sound: Float32Array, rate: number, fourier: Fourier): CorrelationPeak[] {
  const lags = sound.length - scratch.length + 1;
  const size = transformSize(sound.length);
  const plan = fourier.plan(size);
  const { scratchSpectrum, soundSpectrum, faded } = roomFor(size);
  plan.forward(tapered(scratch, 0.1, faded), scratchSpectrum);
  plan.forward(tapered(sound, 0.02, faded), soundSpectrum);
  multiplyConjugate(soundSpectrum, scratchSpectrum, soundSpectrum);
  whiten(soundSpectrum, rate);
  plan.inverse(soundSpectrum, scratchSpectrum);
  return highestPeaks(scratchSpectrum, lags, rate);
}

/** Divides each bin by its magnitude to the power 0.75 and clears what lies outside the band. */
function whiten(spectrum: Float32Array, rate: number): void {
  const binHz = rate / spectrum.length;
  const low = 2 * Math.ceil(SEARCH_BAND_HZ[0] / binHz);
  const high = 2 * Math.floor(Math.min(SEARCH_BAND_HZ[1], 0.45 * rate) / binHz);
  spectrum.fill(0, 0, low);
  spectrum.fill(0, high);
  for (let index = low; index < high; index += 2) {
    const real = spectrum[index] as number;
    const imaginary = spectrum[index + 1] as number;
    const power = real * real + imaginary * imaginary;
    if (power === 0) continue;
    // Two and three square roots are several times cheaper than a power: magnitude^0.75 = power^(1/4) power^(1/8).
    const fourth = Math.sqrt(Math.sqrt(power));
    const weight = 1 / (fourth * Math.sqrt(fourth));
    spectrum[index] = real * weight;
    spectrum[index + 1] = imaginary * weight;
  }
}

function highestPeaks(correlation: Float32Array, lags: number, rate: number): CorrelationPeak[] {
  const apart = Math.max(2, Math.round(APART_SECONDS * rate));
  const isLeft = new Uint8Array(lags).fill(1);
  const tops: number[] = [];
  let highest = 0;
  for (let round = 0; round < MOST_PEAKS; round += 1) {
    let best = -1;
    let height = LEAST_HEIGHT * highest;
    for (let lag = 0; lag < lags; lag += 1) {
      const value = Math.abs(correlation[lag] as number);
      if (value > height && isLeft[lag] === 1) {
        height = value;
        best = lag;
      }
    }
    if (best < 0) break;
    highest ||= height;
    tops.push(best);
    isLeft.fill(0, Math.max(0, best - apart), Math.min(lags, best + apart + 1));
  }
  const deviation = deviationAround(correlation, lags, tops, Math.round(0.002 * rate));
  return tops.map((top): CorrelationPeak => {
    const sign = (correlation[top] as number) < 0 ? -1 : 1;
    const at = (lag: number): number => sign * (correlation[lag] as number);
    const isInside = top > 0 && top < lags - 1;
    const place = isInside ? parabolicPeak(at(top - 1), at(top), at(top + 1)).place : 0;
    return { lag: top + Math.max(-0.5, Math.min(0.5, place)), polarity: sign, clarity: at(top) / deviation };
  });
}

/** Root mean square of the correlation outside the neighbourhoods of its peaks. */
function deviationAround(correlation: Float32Array, lags: number, tops: readonly number[], apart: number): number {
  let sum = 0;
  let count = 0;
  for (let lag = 0; lag < lags; lag += 1) {
    if (tops.some((top) => Math.abs(top - lag) <= apart)) continue;
    sum += (correlation[lag] as number) ** 2;
    count += 1;
  }
  return Math.sqrt(Math.max(sum, 1e-30) / Math.max(1, count));
}

/** The samples without their mean, faded in and out over `share` of their length at each end; lies in `into`. */
function tapered(samples: Float32Array, share: number, into: Float32Array): Float32Array {
  let sum = 0;
  for (let index = 0; index < samples.length; index += 1) sum += samples[index] as number;
  const mean = sum / Math.max(1, samples.length);
  const fade = Math.max(1, Math.round(share * samples.length));
  for (let index = 0; index < samples.length; index += 1) into[index] = (samples[index] as number) - mean;
  for (let edge = 1; edge < fade; edge += 1) {
    const gain = 0.5 - 0.5 * Math.cos((Math.PI * edge) / fade);
    into[edge - 1] = (into[edge - 1] as number) * gain;
    into[samples.length - edge] = (into[samples.length - edge] as number) * gain;
  }
  return into.subarray(0, samples.length);
}

interface SearchRoom {
  readonly scratchSpectrum: Float32Array;
  readonly soundSpectrum: Float32Array;
  readonly faded: Float32Array;
}

/** Arrays by size, kept because dozens of stretches of one length are searched in a row. */
const rooms = new Map<number, SearchRoom>();

function roomFor(size: number): SearchRoom {
  let room = rooms.get(size);
  if (room === undefined) {
    room = { scratchSpectrum: new Float32Array(size), soundSpectrum: new Float32Array(size), faded: new Float32Array(size) };
    rooms.set(size, room);
  }
  return room;
}
