/**
 * Where in a long recording a scratch may lie, to a few hundredths of a second: the coarse half of the search.
 *
 * Pieces of the scratch's profile are correlated with the whole of the sound's, through transforms in blocks so that memory does
 * not grow with length. Pieces are at most a minute long, because clocks drift: 200 ppm move a minute by 12 ms, less than two frames
 * of the profile. Each piece names its best places; places on which several pieces agree come first.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { transformSize } from '../fourier/fourier.ts';
import { FRAMES_PER_SECOND } from './soundProfile.ts';

export interface CoarsePlace {
  /** Seconds of sound at the scratch's first sample; negative when the scratch starts first. Good to about 30 ms. */
  readonly offsetSeconds: number;
  /** Sum over pieces of the peak's height in deviations above what chance gives. */
  readonly score: number;
  /** Seconds of scratch at the middles of the pieces that agree. */
  readonly pieces: readonly number[];
}

const PIECE_FRAMES = 60 * FRAMES_PER_SECOND;
const MOST_PIECES = 8;
const PEAKS_PER_PIECE = 8;
const APART_FRAMES = 20;
const BLOCK_FRAMES = 1 << 17;
/** Frames of a piece that must lie inside the sound. */
const LEAST_OVERLAP = 0.25;

interface Piece {
  /** First frame in the scratch. */
  readonly start: number;
  readonly length: number;
}

interface Peak {
  readonly piece: Piece;
  /** Frame of the sound at the scratch's first frame. */
  readonly offset: number;
  readonly height: number;
}

/**
 * Places by falling score. `rateRatio` is how many sound seconds a scratch second takes: 1 but for pulls.
 */
export function locateCoarsely(scratch: Float32Array, sound: Float32Array, rateRatio: number, fourier: Fourier): CoarsePlace[] {
  const stretched = rateRatio === 1 ? scratch : stretch(scratch, rateRatio);
  const pieces = choosePieces(stretched);
  const peaks = pieces.length === 0 ? [] : correlatePieces(pieces, stretched, sound, fourier);
  return agree(peaks, rateRatio);
}

/** Evenly spread, and within its share of the scratch each where most happens. */
function choosePieces(scratch: Float32Array): Piece[] {
  const length = Math.min(scratch.length, PIECE_FRAMES);
  if (length < FRAMES_PER_SECOND / 2) return [];
  const count = Math.max(1, Math.min(MOST_PIECES, Math.floor(scratch.length / length)));
  const share = scratch.length / count;
  const activity = new Float64Array(scratch.length + 1);
  for (let frame = 0; frame < scratch.length; frame += 1)
    activity[frame + 1] = (activity[frame] as number) + (scratch[frame] as number) ** 2;
  return Array.from({ length: count }, (_, index) => {
    const first = Math.floor(index * share);
    const last = Math.max(first, Math.floor((index + 1) * share) - length);
    let start = first;
    for (let candidate = first; candidate <= last; candidate += FRAMES_PER_SECOND) {
      const energy = (from: number): number => (activity[from + length] as number) - (activity[from] as number);
      if (energy(candidate) > energy(start)) start = candidate;
    }
    return { start, length };
  });
}

function correlatePieces(pieces: readonly Piece[], scratch: Float32Array, sound: Float32Array, fourier: Fourier): Peak[] {
  const pieceLength = pieces[0]?.length ?? 0;
  const size = transformSize(Math.min(BLOCK_FRAMES, sound.length + 2 * pieceLength));
  const plan = fourier.plan(size);
  const pieceSpectra = pieces.map((piece) => {
    const normalised = unitEnergy(scratch.subarray(piece.start, piece.start + piece.length));
    const spectrum = new Float32Array(size);
    plan.forward(normalised, spectrum);
    return spectrum;
  });
  // Lag L puts the piece's first frame on the sound's frame L; it runs from -pieceLength to the end of the sound.
  const step = size - pieceLength;
  const running = runningEnergy(sound);
  const collectors = pieces.map((piece) => new PeakCollector(piece));
  const block = new Float32Array(size);
  const blockSpectrum = new Float32Array(size);
  const product = new Float32Array(size);
  const correlation = new Float32Array(size);
  const scales = new Float32Array(step);
  for (let lag = -pieceLength; lag < sound.length; lag += step) {
    const count = Math.min(step, sound.length - lag);
    fillScales(scales, lag, count, pieceLength, running, size);
    block.fill(0);
    const from = Math.max(0, lag);
    const to = Math.min(sound.length, lag + size);
    if (to > from) block.set(sound.subarray(from, to), from - lag);
    plan.forward(block, blockSpectrum);
    pieceSpectra.forEach((spectrum, index) => {
      multiplyConjugate(blockSpectrum, spectrum, product);
      plan.inverse(product, correlation);
      collectors[index]?.take(correlation, scales, lag, count);
    });
  }
  return collectors.flatMap((collector) => collector.finish());
}

/** Keeps the highest peaks of one piece's correlation and measures how high chance goes. */
class PeakCollector {
  private readonly piece: Piece;
  private sumOfSquares = 0;
  private count = 0;
  private peaks: { lag: number; height: number }[] = [];

  constructor(piece: Piece) {
    this.piece = piece;
  }

  take(correlation: Float32Array, scales: Float32Array, lag: number, count: number): void {
    let least = this.least();
    let sumOfSquares = 0;
    let used = 0;
    for (let index = 0; index < count; index += 1) {
      const height = (correlation[index] as number) * (scales[index] as number);
      sumOfSquares += height * height;
      if ((scales[index] as number) > 0) used += 1;
      if (height > least) {
        this.add(lag + index, height);
        least = this.least();
      }
    }
    this.sumOfSquares += sumOfSquares;
    this.count += used;
  }

  private least(): number {
    return this.peaks.length < PEAKS_PER_PIECE ? 0 : (this.peaks.at(-1)?.height ?? 0);
  }

  finish(): Peak[] {
    const deviation = Math.sqrt(this.sumOfSquares / Math.max(1, this.count)) || 1;
    return this.peaks.map(({ lag, height }) => ({
      piece: this.piece,
      offset: lag - this.piece.start,
      height: height / deviation,
    }));
  }

  private add(lag: number, height: number): void {
    const near = this.peaks.findIndex((peak) => Math.abs(peak.lag - lag) < APART_FRAMES);
    if (near >= 0) {
      if ((this.peaks[near]?.height ?? 0) >= height) return;
      this.peaks.splice(near, 1);
    }
    const place = this.peaks.findIndex((peak) => peak.height < height);
    this.peaks.splice(place < 0 ? this.peaks.length : place, 0, { lag, height });
    if (this.peaks.length > PEAKS_PER_PIECE) this.peaks.pop();
  }
}

/** What makes the raw correlation at each lag a coefficient; 0 where too little of a piece lies inside the sound. */
function fillScales(scales: Float32Array, lag: number, count: number, length: number, running: Float64Array, size: number): void {
  const soundLength = running.length - 1;
  const average = ((running[soundLength] as number) / Math.max(1, soundLength)) * length;
  for (let index = 0; index < count; index += 1) {
    const from = Math.max(0, lag + index);
    const to = Math.min(soundLength, lag + index + length);
    // Quiet stretches must not be blown up into certainty: the divisor never falls below a fifth of the average.
    const energy = Math.max((running[to] as number) - (running[from] as number), 0.2 * average);
    scales[index] = to - from < LEAST_OVERLAP * length || energy === 0 ? 0 : 1 / (size * Math.sqrt(energy));
  }
}

/** Joins peaks of different pieces that lie on one offset, allowing 300 ppm of drift between the pieces and two frames. */
function agree(peaks: readonly Peak[], rateRatio: number): CoarsePlace[] {
  const ranked = [...peaks].sort((left, right) => right.height - left.height);
  const places: CoarsePlace[] = [];
  const isTaken = new Set<Peak>();
  for (const peak of ranked) {
    if (isTaken.has(peak)) continue;
    isTaken.add(peak);
    const members = [peak];
    for (const other of ranked) {
      if (isTaken.has(other) || members.some((member) => member.piece === other.piece)) continue;
      const room = 3 + 300e-6 * Math.abs(other.piece.start - peak.piece.start);
      if (Math.abs(other.offset - peak.offset) > room) continue;
      members.push(other);
      isTaken.add(other);
    }
    const height = members.reduce((sum, member) => sum + member.height, 0);
    const offset = members.reduce((sum, member) => sum + member.offset * member.height, 0) / height;
    places.push({
      offsetSeconds: offset / FRAMES_PER_SECOND,
      score: members.reduce((sum, member) => sum + Math.max(0, member.height - 3), 0),
      pieces: members
        .map((member) => (member.piece.start + member.piece.length / 2) / FRAMES_PER_SECOND / rateRatio)
        .sort((a, b) => a - b),
    });
  }
  return places.sort((left, right) => right.score - left.score);
}

function unitEnergy(values: Float32Array): Float32Array {
  let sum = 0;
  for (const value of values) sum += value * value;
  const scale = sum > 0 ? 1 / Math.sqrt(sum) : 0;
  return values.map((value) => value * scale);
}

function runningEnergy(values: Float32Array): Float64Array {
  const running = new Float64Array(values.length + 1);
  for (let index = 0; index < values.length; index += 1)
    running[index + 1] = (running[index] as number) + (values[index] as number) ** 2;
  return running;
}

/** `left` times the conjugate of `right`, both in the ordered layout of fourier.ts. */
export function multiplyConjugate(left: Float32Array, right: Float32Array, product: Float32Array): void {
  product[0] = (left[0] as number) * (right[0] as number);
  product[1] = (left[1] as number) * (right[1] as number);
  for (let index = 2; index < left.length; index += 2) {
    const a = left[index] as number;
    const b = left[index + 1] as number;
    const c = right[index] as number;
    const d = right[index + 1] as number;
    product[index] = a * c + b * d;
    product[index + 1] = b * c - a * d;
  }
}

/** The profile as a clock `ratio` times slower would have drawn it; straight between frames is good enough here. */
function stretch(values: Float32Array, ratio: number): Float32Array {
  return Float32Array.from({ length: Math.floor(values.length * ratio) }, (_, index) => {
    const place = index / ratio;
    const before = Math.floor(place);
    const rest = place - before;
    return (values[before] as number) * (1 - rest) + (values[before + 1] ?? 0) * rest;
  });
}
