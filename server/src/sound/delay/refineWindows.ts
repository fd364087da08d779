/**
 * Exact delays of stretches that are known to match to within a few hundred samples: the fine half of the measurement.
 *
 * Each stretch is cut into overlapping blocks, each compared with the sound where the line so far puts it, the fraction of a sample
 * made good in phase. Adding the blocks' cross spectra takes the drift out from under a long stretch and shows, over all stretches,
 * how coherent the two recordings are at each frequency. Weighting by that coherence is the maximum likelihood processor
 * of Knapp & Carter 1976: bands that noise or a codec has destroyed count nothing, clean ones count fully.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { multiplyConjugate } from './locateCoarsely.ts';
import { type Pairing, type PairingLine, readScratch, readSound } from './pairing.ts';
import { correlationAt, refineLag } from './peak.ts';
import { SEARCH_BAND_HZ } from './searchWindow.ts';

export interface RefinedWindow {
  readonly x: number;
  /** Sound position minus scratch position. */
  readonly offset: number;
  readonly clarity: number;
  readonly polarity: 1 | -1;
}

interface Accumulated {
  readonly x: number;
  /** What the line so far says. */
  readonly predicted: number;
  readonly cross: Float32Array;
}

/** The direct sound is looked for this far on both sides of the line so far. */
const ARRIVAL_SECONDS = 0.012;
const MOST_ARRIVALS = 8;
/** The direct sound may be this much lower than the loudest echo. */
const LEAST_ARRIVAL = 0.5;
const BESIDE_SECONDS = 0.00025;
const LEAST_BESIDE = 0.75;
/** Share of the top that a lobe of its own must reach to count. */
const LOBE = 0.2;
const CLEAR_OF_NOISE = 6;
/** Single stretches are only searched this near the direct sound of all together, lest they take an echo for it. */
const NEAR_SECONDS = 0.00015;

export async function refineWindows(
  pairing: Pairing,
  line: PairingLine,
  starts: readonly number[],
  length: number,
  fourier: Fourier,
): Promise<RefinedWindow[]> {
  const size = Math.min(1 << 14, length);
  const plan = fourier.plan(size);
  const scratchPower = new Float64Array(size / 2);
  const soundPower = new Float64Array(size / 2);
  const accumulated: Accumulated[] = [];
  let blockCount = 0;
  for (const start of starts) {
    const cross = new Float32Array(size);
    blockCount += await accumulate(pairing, line, start, length, size, fourier, cross, scratchPower, soundPower);
    const x = start + length / 2;
    accumulated.push({ x, predicted: line.offset + line.drift * x, cross });
  }
  if (accumulated.length === 0) return [];
  const weights = coherenceWeights(accumulated, scratchPower, soundPower, blockCount, pairing.rate);
  const together = new Float32Array(size);
  for (const { cross } of accumulated) addNormalised(together, cross);
  const correlation = new Float32Array(size);
  weigh(together, weights);
  const centre = Math.round(directLag(together, pairing.rate, fourier));
  return accumulated.map(({ x, predicted, cross }) => {
    weigh(cross, weights);
    plan.inverse(cross, correlation);
    return { x, ...locate(cross, correlation, centre, pairing.rate, predicted) };
  });
}

async function accumulate(
  pairing: Pairing,
  line: PairingLine,
  start: number,
  length: number,
  size: number,
  fourier: Fourier,
  cross: Float32Array,
  scratchPower: Float64Array,
  soundPower: Float64Array,
): Promise<number> {
  const plan = fourier.plan(size);
  const window = hann(size);
  const place = (at: number): number => at + line.offset + line.drift * (at + size / 2);
  const first = Math.floor(place(start)) - 2;
  const scratch = await readScratch(pairing, start, length);
  const sound = await readSound(pairing, first, length + Math.ceil(Math.abs(line.drift) * length) + 4);
  const block = new Float32Array(size);
  const scratchSpectrum = new Float32Array(size);
  const soundSpectrum = new Float32Array(size);
  let count = 0;
  for (let at = 0; at + size <= length; at += size / 2) {
    const exact = place(start + at);
    const whole = Math.max(0, Math.min(sound.length - size, Math.round(exact) - first));
    for (let index = 0; index < size; index += 1) block[index] = (scratch[at + index] as number) * (window[index] as number);
    plan.forward(block, scratchSpectrum);
    for (let index = 0; index < size; index += 1) block[index] = (sound[whole + index] as number) * (window[index] as number);
    plan.forward(block, soundSpectrum);
    addPowers(scratchSpectrum, scratchPower);
    addPowers(soundSpectrum, soundPower);
    multiplyConjugate(soundSpectrum, scratchSpectrum, soundSpectrum);
    addTurned(cross, soundSpectrum, exact - (first + whole));
    count += 1;
  }
  return count;
}

function addPowers(spectrum: Float32Array, powers: Float64Array): void {
  for (let bin = 1; bin < powers.length; bin += 1) {
    powers[bin] = (powers[bin] as number) + (spectrum[2 * bin] as number) ** 2 + (spectrum[2 * bin + 1] as number) ** 2;
  }
}

/** Adds a cross spectrum whose sound was read `late` samples before its exact place: the delay it shows is that much too large. */
function addTurned(sum: Float32Array, cross: Float32Array, late: number): void {
  const angle = (2 * Math.PI * late) / sum.length;
  const turnReal = Math.cos(angle);
  const turnImaginary = Math.sin(angle);
  let real = turnReal;
  let imaginary = turnImaginary;
  for (let index = 2; index < sum.length; index += 2) {
    const a = cross[index] as number;
    const b = cross[index + 1] as number;
    sum[index] = (sum[index] as number) + a * real - b * imaginary;
    sum[index + 1] = (sum[index + 1] as number) + a * imaginary + b * real;
    const next = real * turnReal - imaginary * turnImaginary;
    imaginary = real * turnImaginary + imaginary * turnReal;
    real = next;
  }
}

/** Coherence squared over one minus itself, over the magnitude of the cross spectrum; nothing outside the band. */
function coherenceWeights(
  windows: readonly Accumulated[],
  scratchPower: Float64Array,
  soundPower: Float64Array,
  blockCount: number,
  rate: number,
): Float32Array {
  const bins = scratchPower.length;
  const binHz = rate / (2 * bins);
  const coherence = new Float64Array(bins);
  const magnitude = new Float64Array(bins);
  for (let bin = 1; bin < bins; bin += 1) {
    let real = 0;
    let imaginary = 0;
    for (const { cross } of windows) {
      real += cross[2 * bin] as number;
      imaginary += cross[2 * bin + 1] as number;
    }
    const power = real * real + imaginary * imaginary;
    const possible = (scratchPower[bin] as number) * (soundPower[bin] as number);
    const measured = possible > 0 ? power / possible : 0;
    // Unrelated noise still shows 1/n with n averages; half-overlapping blocks count little more than half.
    const chance = 1.5 / Math.max(2, blockCount);
    coherence[bin] = Math.max(0, (measured - chance) / (1 - chance));
    magnitude[bin] = Math.sqrt(power);
  }
  const smoothCoherence = smooth(coherence, 8);
  const smoothMagnitude = smooth(magnitude, 8);
  const weights = new Float32Array(bins);
  for (let bin = 1; bin < bins; bin += 1) {
    const frequency = bin * binHz;
    if (frequency < SEARCH_BAND_HZ[0] || frequency > 0.45 * rate || (smoothMagnitude[bin] as number) === 0) continue;
    const share = Math.min(0.95, smoothCoherence[bin] as number);
    weights[bin] = share / (1 - share) / (smoothMagnitude[bin] as number);
  }
  return weights;
}

function smooth(values: Float64Array, reach: number): Float64Array {
  const running = new Float64Array(values.length + 1);
  for (let index = 0; index < values.length; index += 1)
    running[index + 1] = (running[index] as number) + (values[index] as number);
  return values.map((_, index) => {
    const from = Math.max(0, index - reach);
    const to = Math.min(values.length, index + reach + 1);
    return ((running[to] as number) - (running[from] as number)) / (to - from);
  });
}

/** Loud stretches count more, because noise is not louder there, but only by the root: their echoes are as loud as they are. */
function addNormalised(sum: Float32Array, cross: Float32Array): void {
  let energy = 0;
  for (let index = 2; index < cross.length; index += 1) energy += (cross[index] as number) ** 2;
  const scale = energy > 0 ? energy ** -0.25 : 0;
  for (let index = 2; index < cross.length; index += 1) sum[index] = (sum[index] as number) + scale * (cross[index] as number);
}

function weigh(cross: Float32Array, weights: Float32Array): void {
  cross[0] = 0;
  cross[1] = 0;
  for (let bin = 1; bin < weights.length; bin += 1) {
    cross[2 * bin] = (cross[2 * bin] as number) * (weights[bin] as number);
    cross[2 * bin + 1] = (cross[2 * bin + 1] as number) * (weights[bin] as number);
  }
}

/**
 * Lag, near 0, of the direct sound in the weighted cross spectrum of all stretches together.
 *
 * A camera hears a sound first directly, then again from walls, sometimes louder. An echo that is `d` late in the scratch matches the
 * sound `d` too early, so the direct sound is the latest lag whose peak is not much lower than the top. The recorder's own echoes
 * lie on the other side, but its microphone is close and they are faint.
 *
 * A limited band gives every peak side lobes, which must not pass for arrivals. Peaks are therefore taken off one by one, each with
 * the lobes that the band dictates, highest first (the CLEAN procedure of Hogbom 1974, from memory).
 */
function directLag(cross: Float32Array, rate: number, fourier: Fourier): number {
  const size = cross.length;
  const plan = fourier.plan(size);
  const rest = Float32Array.from(cross);
  const shape = new Float32Array(size);
  const lobes = new Float32Array(size);
  const correlation = new Float32Array(size);
  let whole = 0;
  for (let bin = 1; bin < size / 2; bin += 1) {
    const magnitude = Math.hypot(cross[2 * bin] as number, cross[2 * bin + 1] as number);
    shape[bin] = magnitude;
    lobes[2 * bin] = magnitude;
    whole += 2 * magnitude;
  }
  if (whole === 0) return 0;
  const room = Math.round(ARRIVAL_SECONDS * rate);
  const arrivals: { lag: number; height: number }[] = [];
  for (let round = 0; round < MOST_ARRIVALS; round += 1) {
    plan.inverse(rest, correlation);
    const at = (lag: number): number => correlation[((lag % size) + size) % size] as number;
    let top = -room;
    for (let lag = -room; lag <= room; lag += 1) if (Math.abs(at(lag)) > Math.abs(at(top))) top = lag;
    const highest = Math.abs(arrivals[0]?.height ?? 0);
    if (Math.abs(at(top)) < LEAST_ARRIVAL * highest) break;
    const exact = refineLag(rest, top, 1, size / 2);
    const height = correlationAt(rest, exact, 1, size / 2);
    arrivals.push({ lag: exact, height });
    takeOff(rest, shape, exact, height / whole);
  }
  const noise = deviation(correlation, 2 * room, 6 * room);
  const highest = arrivals[0]?.height ?? 0;
  // Where the top's own lobes reach, what noise did to its shape looks like an arrival: there more is asked.
  const least = (lag: number): number => {
    const apart = Math.abs(lag - (arrivals[0]?.lag ?? 0));
    const lobe = Math.abs(correlationAt(lobes, apart, 1, size / 2)) / whole;
    return apart < BESIDE_SECONDS * rate || lobe > LOBE ? LEAST_BESIDE : LEAST_ARRIVAL;
  };
  const direct = arrivals.filter(
    ({ lag, height }) =>
      height * highest > 0 && Math.abs(height) >= Math.max(least(lag) * Math.abs(highest), CLEAR_OF_NOISE * noise),
  );
  return direct.reduce((latest, arrival) => Math.max(latest, arrival.lag), arrivals[0]?.lag ?? 0);
}

/** Subtracts a peak of `share` of the full height at `lag`, side lobes and all. */
function takeOff(rest: Float32Array, shape: Float32Array, lag: number, share: number): void {
  const angle = (-2 * Math.PI * lag) / rest.length;
  for (let bin = 1; bin < rest.length / 2; bin += 1) {
    const amount = share * (shape[bin] as number);
    if (amount === 0) continue;
    rest[2 * bin] = (rest[2 * bin] as number) - amount * Math.cos(angle * bin);
    rest[2 * bin + 1] = (rest[2 * bin + 1] as number) - amount * Math.sin(angle * bin);
  }
}

function deviation(correlation: Float32Array, from: number, to: number): number {
  let sum = 0;
  for (let lag = from; lag < to; lag += 1) sum += (correlation[lag % correlation.length] as number) ** 2;
  return Math.sqrt(sum / Math.max(1, to - from));
}

function locate(
  cross: Float32Array,
  correlation: Float32Array,
  centre: number,
  rate: number,
  predicted: number,
): Omit<RefinedWindow, 'x'> {
  const size = correlation.length;
  const near = Math.max(2, Math.round(NEAR_SECONDS * rate));
  const at = (lag: number): number => correlation[((lag % size) + size) % size] as number;
  let best = centre;
  for (let lag = centre - near; lag <= centre + near; lag += 1) if (Math.abs(at(lag)) > Math.abs(at(best))) best = lag;
  let sum = 0;
  const span = Math.round(0.05 * rate);
  for (let lag = -span; lag <= span; lag += 1) sum += at(lag) ** 2;
  const lag = refineLag(cross, best, 1, size / 2);
  return {
    offset: predicted + lag,
    clarity: Math.abs(at(best)) / Math.sqrt(sum / (2 * span + 1) || 1),
    polarity: at(best) < 0 ? -1 : 1,
  };
}

const windows = new Map<number, Float32Array>();
function hann(size: number): Float32Array {
  let window = windows.get(size);
  if (window === undefined) {
    window = Float32Array.from({ length: size }, (_, index) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (index + 0.5)) / size));
    windows.set(size, window);
  }
  return window;
}
