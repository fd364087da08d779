/**
 * A wave file as a `SoundSource`: reads blocks of bytes and turns them into samples.
 *
 * Bytes are fetched a megabyte at a time at most, at offsets that keep 32-bit words aligned with the samples.
 */

import type { ByteSource } from '../byteSource.ts';
import type { SoundSource } from '../soundSource.ts';
import { decodeSamples } from './decodeSamples.ts';
import type { WaveHeader } from './waveHeader.ts';

const LARGEST_READ = 1 << 20;

export function waveSource(bytes: ByteSource, header: WaveHeader): SoundSource {
  const blocksPerRead = Math.max(4, Math.floor(LARGEST_READ / header.blockBytes) & ~3);
  return {
    sampleRate: header.sampleRate,
    sampleCount: header.sampleCount,
    channelCount: header.channelCount,
    read: async (start, channels, into) => {
      const wanted = Math.max(0, Math.min(into[0]?.length ?? 0, header.sampleCount - start));
      let count = 0;
      let nonFiniteCount = 0;
      while (count < wanted) {
        const length = Math.min(wanted - count, blocksPerRead);
        const block = await bytes.read(header.dataOffset + (start + count) * header.blockBytes, length * header.blockBytes);
        const got = Math.floor(block.length / header.blockBytes);
        if (got === 0) break;
        channels.forEach((channel, index) => {
          const target = into[index] as Float32Array;
          nonFiniteCount += decodeSamples(block, header.format, header.channelCount, channel, target, count, got);
        });
        count += got;
      }
      return { count, nonFiniteCount };
    },
  };
}
