/**
 * Finds one stretch of scratch in a somewhat longer stretch of sound, by generalised cross-correlation.
 *
 * Knapp & Carter 1976: the cross spectrum is weighted before it is transformed back. The weight here is the magnitude to the power
 * -0.8: nearly the phase transform, so that hum, vowels and gain do not shape the peak, yet with some weight left to where
 * there is sound at all. The exponent was chosen by measurement over the synthesised families. The sign of the peak is the polarity.
 */

import { type Fourier, transformSize } from '../fourier/fourier.ts';
import { multiplyConjugate } from './locateCoarsely.ts';
import { parabolicPeak } from './peak.ts';

export interface WindowFind {
  /** Samples from the start of the sound stretch to where the scratch stretch begins in it. */
  readonly lag: number;
  readonly polarity: 1 | -1;
  /** Height of the peak over the deviation of the rest; chance reaches about 4.5. */
  readonly clarity: number;
  /** Height of the next best peak, more than 2 ms away, against this one. */
  readonly runnerUp: number;
}

export const SEARCH_BAND_HZ = [150, 9000] as const;
const WHITENING = 0.8;

/** `sound` must be longer than `scratch`; every lag at which the scratch lies wholly inside is tried. */
export function searchWindow(scratch: Float32Array, sound: Float32Array, rate: number, fourier: Fourier): WindowFind {
  const lags = sound.length - scratch.length + 1;
  const size = transformSize(sound.length);
  const plan = fourier.plan(size);
  const scratchSpectrum = new Float32Array(size);
  const soundSpectrum = new Float32Array(size);
  plan.forward(tapered(scratch, 0.1), scratchSpectrum);
  plan.forward(tapered(sound, 0.02), soundSpectrum);
  multiplyConjugate(soundSpectrum, scratchSpectrum, soundSpectrum);
  whiten(soundSpectrum, rate, WHITENING);
  plan.inverse(soundSpectrum, scratchSpectrum);
  return highestPeak(scratchSpectrum, lags, rate);
}

/** Divides each bin by its magnitude to the power `amount` and clears what lies outside the band. */
export function whiten(spectrum: Float32Array, rate: number, amount: number): void {
  const binHz = rate / spectrum.length;
  const low = SEARCH_BAND_HZ[0] / binHz;
  const high = Math.min(SEARCH_BAND_HZ[1], 0.45 * rate) / binHz;
  spectrum[0] = 0;
  spectrum[1] = 0;
  for (let index = 2; index < spectrum.length; index += 2) {
    const bin = index >> 1;
    const real = spectrum[index] as number;
    const imaginary = spectrum[index + 1] as number;
    const power = real * real + imaginary * imaginary;
    const weight = bin < low || bin > high || power === 0 ? 0 : power ** (-amount / 2);
    spectrum[index] = real * weight;
    spectrum[index + 1] = imaginary * weight;
  }
}

function highestPeak(correlation: Float32Array, lags: number, rate: number): WindowFind {
  let best = 0;
  let height = 0;
  let sum = 0;
  for (let lag = 0; lag < lags; lag += 1) {
    const value = correlation[lag] as number;
    sum += value * value;
    if (Math.abs(value) > height) {
      height = Math.abs(value);
      best = lag;
    }
  }
  if (height === 0) return { lag: 0, polarity: 1, clarity: 0, runnerUp: 1 };
  const apart = Math.round(0.002 * rate);
  let rest = sum;
  let count = lags;
  let second = 0;
  for (let lag = Math.max(0, best - apart); lag < Math.min(lags, best + apart + 1); lag += 1) {
    rest -= (correlation[lag] as number) ** 2;
    count -= 1;
  }
  for (let lag = 0; lag < lags; lag += 1) {
    if (Math.abs(lag - best) > apart) second = Math.max(second, Math.abs(correlation[lag] as number));
  }
  const deviation = Math.sqrt(Math.max(rest, 1e-30) / Math.max(1, count));
  const sign = (correlation[best] as number) < 0 ? -1 : 1;
  const at = (lag: number): number => sign * (correlation[Math.max(0, Math.min(lags - 1, lag))] as number);
  const { place } = parabolicPeak(at(best - 1), at(best), at(best + 1));
  return {
    lag: best + Math.max(-0.5, Math.min(0.5, place)),
    polarity: sign,
    clarity: height / deviation,
    runnerUp: second / height,
  };
}

/** The samples without their mean, faded in and out over `share` of their length at each end. */
function tapered(samples: Float32Array, share: number): Float32Array {
  let sum = 0;
  for (let index = 0; index < samples.length; index += 1) sum += samples[index] as number;
  const mean = sum / Math.max(1, samples.length);
  const fade = Math.max(1, Math.round(share * samples.length));
  const output = new Float32Array(samples.length);
  for (let index = 0; index < samples.length; index += 1) {
    const edge = Math.min(index + 1, samples.length - index);
    const gain = edge >= fade ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * edge) / fade);
    output[index] = ((samples[index] as number) - mean) * gain;
  }
  return output;
}
