/**
 * Parts of a recording: as a source of its own, and mixed to one channel for listening.
 */

import type { SoundSource } from '../soundSource.ts';
import { channelsOf } from './readPeaks.ts';

/** The samples from `start` up to `end` as a recording that begins at 0. */
export function excerptOf(source: SoundSource, start: number, end: number): SoundSource {
  const from = Math.max(0, Math.min(Math.floor(start), source.sampleCount));
  const sampleCount = Math.max(0, Math.min(Math.ceil(end), source.sampleCount) - from);
  return {
    ...source,
    sampleCount,
    read: (position, channels, into) => {
      const room = Math.max(0, Math.min(into[0]?.length ?? 0, sampleCount - position));
      return source.read(
        from + position,
        channels,
        into.map((array) => array.subarray(0, room)),
      );
    },
  };
}

/** One channel, or the mean of all; shorter than asked for where the recording ends. */
export async function readMixed(
  source: SoundSource,
  start: number,
  count: number,
  channel: number | null,
): Promise<Float32Array> {
  const channels = channelsOf(source, channel);
  const arrays = channels.map(() => new Float32Array(count));
  const read = await source.read(start, channels, arrays);
  const mixed = new Float32Array(read.count);
  for (const array of arrays)
    for (let at = 0; at < read.count; at += 1) mixed[at] = (mixed[at] as number) + (array[at] as number);
  if (arrays.length > 1) for (let at = 0; at < read.count; at += 1) mixed[at] = (mixed[at] as number) / arrays.length;
  return mixed;
}
