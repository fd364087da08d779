/**
 * The lowest and highest sample of each column of a waveform.
 *
 * Up to a limit every sample is read. Beyond it a few thousand samples out of each column stand for it, so that hours open in a moment;
 * a clap between them is not seen, and the answer says that it was read sparsely. Reading everything for another purpose gives exact
 * columns on the way: see `watchPeaks`.
 *
 * Column `c` of `n` covers the samples from floor(c x length / n) up to floor((c + 1) x length / n). Where there are fewer samples than
 * columns, each sample is a column of its own.
 */

import type { SoundSource } from '../soundSource.ts';

export interface PeakRequest {
  /** Samples, end excluded; clipped to the recording. */
  readonly start: number;
  readonly end: number;
  readonly columns: number;
  /** Counted from 0; null takes the extremes over all channels. */
  readonly channel: number | null;
}

export interface Peaks {
  readonly start: number;
  readonly end: number;
  /** One each per column; full scale is 1. */
  readonly lows: Float32Array;
  readonly highs: Float32Array;
  readonly isSparse: boolean;
}

/** Samples of all channels together that are read for one answer: about a third of a second of work. */
const MOST_EXACT_SAMPLES = 24_000_000;
const SPARSE_SAMPLES = 2048;
/** Parts asked for together: where bytes come from far away, the waiting counts. */
const PARTS_AT_ONCE = 128;
const BLOCK_SAMPLES = 1 << 16;

export async function readPeaks(
  source: SoundSource,
  request: PeakRequest,
  mostExactSamples = MOST_EXACT_SAMPLES,
): Promise<Peaks> {
  const start = Math.max(0, Math.min(Math.floor(request.start), source.sampleCount));
  const end = Math.max(start, Math.min(Math.ceil(request.end), source.sampleCount));
  const length = end - start;
  const columns = Math.min(Math.max(1, Math.floor(request.columns)), length);
  const channels = channelsOf(source, request.channel);
  const isSparse = length * channels.length > mostExactSamples && length > columns * SPARSE_SAMPLES;
  const collector = createCollector(start, length, columns);
  if (isSparse) {
    const parts = Array.from({ length: PARTS_AT_ONCE }, () => channels.map(() => new Float32Array(SPARSE_SAMPLES)));
    const readPart = async (column: number, arrays: readonly Float32Array[]): Promise<void> => {
      const from = start + Math.floor((column * length) / columns);
      const to = start + Math.floor(((column + 1) * length) / columns);
      const at = Math.floor((from + to - SPARSE_SAMPLES) / 2);
      const { count } = await source.read(at, channels, arrays);
      collector.take(at, count, arrays);
    };
    for (let first = 0; first < columns; first += PARTS_AT_ONCE) {
      await Promise.all(parts.slice(0, columns - first).map((arrays, index) => readPart(first + index, arrays)));
    }
  } else {
    const arrays = channels.map(() => new Float32Array(Math.min(BLOCK_SAMPLES, length)));
    for (let at = start; at < end; ) {
      const wanted = Math.min(BLOCK_SAMPLES, end - at);
      const into = arrays.map((array) => array.subarray(0, wanted));
      const { count } = await source.read(at, channels, into);
      if (count === 0) break;
      collector.take(at, count, into);
      at += count;
    }
  }
  return { start, end, ...collector.columns(), isSparse };
}

export interface WatchedPeaks {
  /** Reads as the source does, and is seen doing it. */
  readonly source: SoundSource;
  /** Of all that was read so far. */
  readonly peaks: () => Peaks;
}

/** Exact columns of a whole recording as a by-product of reading it, over the channels that are read. */
export function watchPeaks(source: SoundSource, columns: number): WatchedPeaks {
  const length = source.sampleCount;
  const count = Math.min(Math.max(1, columns), length);
  const collector = createCollector(0, length, count);
  return {
    source: {
      ...source,
      read: async (start, channels, into) => {
        const read = await source.read(start, channels, into);
        collector.take(start, read.count, into);
        return read;
      },
    },
    peaks: () => ({ start: 0, end: length, ...collector.columns(), isSparse: false }),
  };
}

export function channelsOf({ channelCount }: SoundSource, channel: number | null): readonly number[] {
  if (channel !== null) return [Math.min(Math.max(0, channel), channelCount - 1)];
  return Array.from({ length: channelCount }, (_, index) => index);
}

interface Collector {
  readonly take: (at: number, count: number, arrays: readonly Float32Array[]) => void;
  readonly columns: () => { readonly lows: Float32Array; readonly highs: Float32Array };
}

function createCollector(start: number, length: number, columns: number): Collector {
  const lows = new Float32Array(columns).fill(Number.POSITIVE_INFINITY);
  const highs = new Float32Array(columns).fill(Number.NEGATIVE_INFINITY);
  /** The first sample of a column, from `start`. */
  const edgeOf = (column: number): number => Math.floor((column * length) / columns);
  return {
    take: (at, count, arrays) => {
      let position = at - start;
      const stop = Math.min(position + count, length);
      let column = columnOf(position, length, columns);
      while (position < stop) {
        const until = Math.min(stop, edgeOf(column + 1));
        let low = lows[column] as number;
        let high = highs[column] as number;
        for (const array of arrays) {
          for (let index = position - (at - start); index < until - (at - start); index += 1) {
            const value = array[index] as number;
            if (value < low) low = value;
            if (value > high) high = value;
          }
        }
        lows[column] = low;
        highs[column] = high;
        position = until;
        column += 1;
      }
    },
    columns: () => ({ lows: lows.map(orSilence), highs: highs.map(orSilence) }),
  };
}

/** The column that holds a sample: the division is a guess, the edges decide. */
function columnOf(position: number, length: number, columns: number): number {
  let column = Math.min(columns - 1, Math.floor((position * columns) / length));
  while (column > 0 && Math.floor((column * length) / columns) > position) column -= 1;
  while (column < columns - 1 && Math.floor(((column + 1) * length) / columns) <= position) column += 1;
  return column;
}

function orSilence(value: number): number {
  return Number.isFinite(value) ? value : 0;
}
