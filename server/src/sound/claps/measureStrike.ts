/**
 * What distinguishes a clap from other sharp sounds, in numbers.
 *
 * A clap rises within a millisecond or two out of a quiet moment, covers a broad band between 500 Hz and 8 kHz with nothing below
 * 250 Hz, and is gone within some tens of milliseconds but for the room. Each number here is one of those facts.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { largestEnergy, meanEnergy, type Strike } from './findStrikes.ts';
import { type Edge, measureEdge } from './measureEdge.ts';

export interface StrikeMeasure {
  readonly edge: Edge;
  /** From the edge until 70 % of the peak is first reached. */
  readonly riseMs: number;
  readonly aboveRoomDb: number;
  /** Rise of sharp energy at the strike against the 20 ms before. */
  readonly riseDb: number;
  /** Level of the loudest hop from 250 to 5 ms before the strike, against the strike. */
  readonly beforeDb: number;
  /** Mean level 15 to 25 ms, 50 to 70 ms and 120 to 180 ms after the strike, against it. */
  readonly after20Db: number;
  readonly after60Db: number;
  readonly after150Db: number;
  /** Loudest hop from 40 to 250 ms after the strike, against it. */
  readonly laterDb: number;
  /** The first arrival's hop against the loudest hop: 0 where they are one, well below where something faint goes ahead. */
  readonly firstArrivalDb: number;
  /** Loudest hop from 16 to 4 ms before the loudest one, against it, and how far that stands above the room of 70 to 25 ms before. */
  readonly precursorDb: number;
  readonly precursorAboveRoomDb: number;
  /** Full-band level of the loudest 10 ms from 50 to 150 ms after the edge, and from 150 to 5 ms before it, against the first 10 ms. */
  readonly fullLaterDb: number;
  readonly fullBeforeDb: number;
  /** Share of energy, of the 43 ms from the edge on, that lies below 250 Hz. */
  readonly lowShare: number;
  /** Share of the energy above 250 Hz in each octave from 250 Hz on, of the first 11 ms. */
  readonly octaves: readonly number[];
  /** Octaves that the energy above 250 Hz effectively covers: 1 for a tone, up to 6. */
  readonly breadth: number;
  /** How far the strongest narrow line stands out of its octave, 43 ms from the edge: high for tones and ringing things. */
  readonly lineDb: number;
  /** The same from 20 ms to about 100 ms after the edge, when only what rings is left besides the room. */
  readonly lateLineDb: number;
  /** Milliseconds, from the edge, that hold 10 % to 90 % of the energy of the first 60 ms. */
  readonly spreadMs: number;
  /** Samples of exactly one value in a row next to the edge: drop-outs and edits leave them. */
  readonly frozenSamples: number;
  /** Share of samples of the first 3 ms at the largest magnitude: clipping. */
  readonly isClipped: boolean;
}

const OCTAVE_EDGES = [250, 500, 1000, 2000, 4000, 8000, 16000];

/** `samples` holds 0.3 s on both sides of the strike where the recording does; `hopStart` is the sample of hop 0. */
export function measureStrike(
  samples: Float32Array,
  energies: Float32Array,
  strike: Strike,
  hop: number,
  sampleRate: number,
  fourier: Fourier,
): StrikeMeasure {
  const { peakHop, firstHop } = strike;
  const from = Math.max(0, (firstHop - 1) * hop);
  const edge = measureEdge(samples, from, Math.min(samples.length, (firstHop + 3) * hop), sampleRate);
  const reference = meanEnergy(energies, peakHop, peakHop + 2);
  const decibels = (energy: number): number => 10 * Math.log10((energy + 1e-14) / (reference + 1e-14));
  const precursor = largestEnergy(energies, peakHop - 16, peakHop - 3);
  const spectrum = measureSpectrum(samples, edge.sample, sampleRate, fourier);
  return {
    edge,
    riseMs: (edge.riseSamples / sampleRate) * 1000,
    aboveRoomDb: 20 * Math.log10(edge.peak / Math.max(edge.noise, 1e-7)),
    riseDb: -decibels(meanEnergy(energies, firstHop - 24, firstHop - 3)),
    beforeDb: decibels(largestEnergy(energies, firstHop - 250, firstHop - 5)),
    after20Db: decibels(meanEnergy(energies, peakHop + 15, peakHop + 25)),
    after60Db: decibels(meanEnergy(energies, peakHop + 50, peakHop + 70)),
    after150Db: decibels(meanEnergy(energies, peakHop + 120, peakHop + 180)),
    laterDb: decibels(largestEnergy(energies, peakHop + 40, peakHop + 250)),
    firstArrivalDb: decibels(largestEnergy(energies, firstHop, firstHop + 2)),
    precursorDb: decibels(precursor),
    precursorAboveRoomDb: 10 * Math.log10((precursor + 1e-14) / (meanEnergy(energies, peakHop - 70, peakHop - 25) + 1e-14)),
    ...fullBand(samples, edge.sample, sampleRate),
    ...spectrum,
    spreadMs: energySpread(samples, edge.sample, sampleRate),
    frozenSamples: frozenAround(samples, edge, sampleRate),
    isClipped: isClipped(samples, edge, sampleRate),
  };
}

function fullBand(samples: Float32Array, edge: number, sampleRate: number): Pick<StrikeMeasure, 'fullLaterDb' | 'fullBeforeDb'> {
  const block = Math.round(0.01 * sampleRate);
  const mean = meanOf(samples, edge - 15 * block, 30 * block);
  const level = (from: number): number => {
    let sum = 0;
    for (let index = Math.max(0, from); index < Math.min(samples.length, from + block); index += 1)
      sum += ((samples[index] as number) - mean) ** 2;
    return sum;
  };
  const reference = level(edge) + 1e-12;
  let later = 1e-14;
  for (let from = edge + 5 * block; from < edge + 15 * block; from += block) later = Math.max(later, level(from));
  let before = 1e-14;
  for (let from = edge - 15 * block - block / 2; from < edge - block; from += block)
    before = Math.max(before, level(Math.round(from)));
  return { fullLaterDb: 10 * Math.log10(later / reference), fullBeforeDb: 10 * Math.log10(before / reference) };
}

function measureSpectrum(
  samples: Float32Array,
  edge: number,
  sampleRate: number,
  fourier: Fourier,
): Pick<StrikeMeasure, 'lowShare' | 'octaves' | 'breadth' | 'lineDb' | 'lateLineDb'> {
  const longSize = powerOfTwo(0.04 * sampleRate);
  const long = powerSpectrum(samples, edge - 8, longSize, fourier);
  const before = powerSpectrum(samples, edge - 8 - longSize, longSize, fourier);
  const late = powerSpectrum(samples, edge + Math.round(0.02 * sampleRate), 2 * longSize, fourier);
  const binHz = sampleRate / longSize;
  let low = 0;
  let rest = 0;
  for (let bin = 1; bin < longSize / 2; bin += 1) {
    const power = Math.max(0, (long[bin] as number) - (before[bin] as number));
    const frequency = bin * binHz;
    if (frequency < 250) low += power;
    else if (frequency < 16000) rest += power;
  }
  const shortSize = powerOfTwo(0.01 * sampleRate);
  const short = powerSpectrum(samples, edge - 4, shortSize, fourier);
  const quiet = powerSpectrum(samples, edge - 4 - shortSize, shortSize, fourier);
  const shares: number[] = OCTAVE_EDGES.slice(1).map(() => 0);
  let octave = -1;
  for (let bin = 1; bin < shortSize / 2; bin += 1) {
    while (octave < shares.length && (bin * sampleRate) / shortSize >= (OCTAVE_EDGES[octave + 1] as number)) octave += 1;
    if (octave < 0 || octave >= shares.length) continue;
    shares[octave] = (shares[octave] as number) + Math.max(0, (short[bin] as number) - (quiet[bin] as number));
  }
  const sum = shares.reduce((total, share) => total + share, 0) || 1;
  const octaves = shares.map((share) => share / sum);
  const breadth = 1 / octaves.reduce((total, share) => total + share * share, 0);
  return {
    lowShare: low / (low + rest || 1),
    octaves,
    breadth,
    lineDb: strongestLine(long, binHz),
    lateLineDb: strongestLine(late, binHz / 2),
  };
}

/** The strongest bin above 300 Hz against the mean of the half octave around it. */
function strongestLine(power: Float32Array, binHz: number): number {
  let strongest = 0;
  let at = 0;
  for (let bin = Math.ceil(300 / binHz); bin < Math.min(power.length, 12000 / binHz); bin += 1) {
    if ((power[bin] as number) > strongest) {
      strongest = power[bin] as number;
      at = bin;
    }
  }
  const low = Math.floor(at / 1.3);
  const high = Math.min(power.length - 1, Math.ceil(at * 1.3) + 4);
  let sum = 0;
  let count = 0;
  for (let bin = low; bin <= high; bin += 1) {
    if (Math.abs(bin - at) <= 2) continue;
    sum += power[bin] as number;
    count += 1;
  }
  return count > 0 && strongest > 0 ? 10 * Math.log10(strongest / (sum / count + 1e-20)) : 0;
}

/** Power per bin of `size` samples, faded out so that what goes on does not smear. */
function powerSpectrum(samples: Float32Array, from: number, size: number, fourier: Fourier): Float32Array {
  const { block, spectrum, fade } = spectrumRoom(size);
  const mean = meanOf(samples, from, size);
  const first = Math.max(0, -from);
  const end = Math.min(size, samples.length - from);
  block.fill(0);
  for (let index = first; index < end; index += 1)
    block[index] = ((samples[from + index] as number) - mean) * (fade[index] as number);
  fourier.plan(size).forward(block, spectrum);
  const power = new Float32Array(size / 2);
  for (let bin = 1; bin < size / 2; bin += 1) {
    const real = spectrum[2 * bin] as number;
    const imaginary = spectrum[2 * bin + 1] as number;
    power[bin] = real * real + imaginary * imaginary;
  }
  return power;
}

interface SpectrumRoom {
  readonly block: Float32Array;
  readonly spectrum: Float32Array;
  readonly fade: Float32Array;
}

/** Arrays by size, kept because thousands of strikes per hour ask for the same few. */
const spectrumRooms = new Map<number, SpectrumRoom>();

function spectrumRoom(size: number): SpectrumRoom {
  let room = spectrumRooms.get(size);
  if (room === undefined) {
    const fade = Float32Array.from(
      { length: size },
      (_, index) => Math.min(1, (index + 1) / 8) * (0.5 + 0.5 * Math.cos((Math.PI * index) / size)),
    );
    room = { block: new Float32Array(size), spectrum: new Float32Array(size), fade };
    spectrumRooms.set(size, room);
  }
  return room;
}

function meanOf(samples: Float32Array, from: number, size: number): number {
  let sum = 0;
  let count = 0;
  for (let index = Math.max(0, from); index < Math.min(samples.length, from + size); index += 1) {
    sum += samples[index] as number;
    count += 1;
  }
  return count > 0 ? sum / count : 0;
}

function energySpread(samples: Float32Array, edge: number, sampleRate: number): number {
  const length = Math.min(samples.length - edge, Math.round(0.06 * sampleRate));
  const reach = Math.max(1, Math.round(sampleRate / 48000));
  let total = 0;
  const sums = new Float64Array(Math.max(0, length));
  for (let index = 0; index < length; index += 1) {
    const difference = (samples[edge + index] as number) - (samples[edge + index - reach] ?? 0);
    total += difference * difference;
    sums[index] = total;
  }
  const at = (share: number): number => sums.findIndex((sum) => sum >= share * total);
  return length > 0 ? ((at(0.9) - at(0.1)) / sampleRate) * 1000 : 0;
}

/**
 * The longest run of one value within 3 ms before the edge, or within 12 ms after it where it begins with a step.
 *
 * A run before the edge that goes back 100 ms is digital silence, out of which a clap may well come; a run after it without a step is
 * a clap that died away below the last bit.
 */
function frozenAround(samples: Float32Array, edge: Edge, sampleRate: number): number {
  const long = Math.round(0.1 * sampleRate);
  const near = Math.max(1, edge.sample - Math.round(0.003 * sampleRate));
  let longest = 0;
  for (let end = edge.sample; end > near; end -= 1) {
    const length = runBack(samples, end, long);
    if (length < long) longest = Math.max(longest, length);
    end -= length;
  }
  const last = Math.min(samples.length, edge.sample + Math.round(0.012 * sampleRate));
  let run = 1;
  let step = 0;
  for (let index = edge.sample + 1; index < last; index += 1) {
    const change = Math.abs((samples[index] as number) - (samples[index - 1] as number));
    if (change === 0) run += 1;
    else {
      run = 1;
      step = change;
    }
    if (step >= 0.05 * edge.peak) longest = Math.max(longest, run);
  }
  return longest;
}

/** Samples before `end` that share one value, counted up to `most`. */
function runBack(samples: Float32Array, end: number, most: number): number {
  let length = 0;
  while (length < most && end - length > 0 && samples[end - 1 - length] === samples[end - 1]) length += 1;
  return length;
}

function isClipped(samples: Float32Array, edge: Edge, sampleRate: number): boolean {
  let largest = 0;
  const end = Math.min(samples.length, edge.sample + Math.round(0.003 * sampleRate));
  for (let index = edge.sample; index < end; index += 1) largest = Math.max(largest, Math.abs(samples[index] as number));
  let count = 0;
  for (let index = edge.sample; index < end; index += 1) if (Math.abs(samples[index] as number) >= 0.9995 * largest) count += 1;
  return count >= 4;
}

function powerOfTwo(atLeast: number): number {
  let size = 32;
  while (size < atLeast) size *= 2;
  return size;
}
