/**
 * The form of a reel: that of its recording; of several, the one that loses least.
 *
 * All channels are kept. Of integers the longest wins; where one recording is float the reel is float, since its peaks may lie beyond
 * full scale.
 */

import type { ReelLayout } from '../../sound/reel/reel.ts';
import type { SampleFormat, WaveHeader } from '../../sound/wave/waveHeader.ts';

export function reelLayout(
  headers: readonly Pick<WaveHeader, 'format' | 'channelCount' | 'sampleRate'>[],
  sampleRate: number,
  sampleCount: number,
): ReelLayout {
  const format = headers.map((header) => header.format).reduce(wider);
  return { format, channelCount: Math.max(...headers.map(({ channelCount }) => channelCount)), sampleRate, sampleCount };
}

function wider(left: SampleFormat, right: SampleFormat): SampleFormat {
  if (left.encoding !== right.encoding) return left.encoding === 'float' ? left : right;
  if (left.validBits !== right.validBits) return left.validBits > right.validBits ? left : right;
  return left.containerBytes >= right.containerBytes ? left : right;
}
