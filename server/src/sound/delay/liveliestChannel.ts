/**
 * Which channel of a recording to listen to.
 *
 * Mixing channels down cancels where one is inverted and drowns speech where one hums, so one is chosen: where level moves most
 * between loud and quiet, as speech moves it. Silence, hum and hiss do not move.
 */

import type { SoundSource } from '../soundSource.ts';

const PROBES = 24;
const PROBE_SECONDS = 0.4;
const BLOCK_SECONDS = 0.01;
const FLOOR = 1e-11;

export async function liveliestChannel(source: SoundSource): Promise<number> {
  if (source.channelCount <= 1) return 0;
  const length = Math.min(source.sampleCount, Math.round(PROBE_SECONDS * source.sampleRate));
  const block = Math.max(2, Math.round(BLOCK_SECONDS * source.sampleRate));
  const numbers = Array.from({ length: source.channelCount }, (_, index) => index);
  const arrays = numbers.map(() => new Float32Array(length));
  const levels: number[][] = numbers.map(() => []);
  for (let probe = 0; probe < PROBES; probe += 1) {
    const start = Math.floor(((source.sampleCount - length) * probe) / Math.max(1, PROBES - 1));
    const { count } = await source.read(start, numbers, arrays);
    arrays.forEach((samples, channel) => {
      for (let from = 1; from + block <= count; from += block) levels[channel]?.push(meanSquareDifference(samples, from, block));
    });
  }
  let best = 0;
  let most = Number.NEGATIVE_INFINITY;
  levels.forEach((channelLevels, channel) => {
    channelLevels.sort((left, right) => left - right);
    const loud = channelLevels[Math.floor(0.95 * channelLevels.length)] ?? 0;
    const quiet = channelLevels[Math.floor(0.25 * channelLevels.length)] ?? 0;
    // Movement counts first; among channels that move alike, the louder one stands further above its own noise.
    const movement = Math.log10((loud + FLOOR) / (quiet + FLOOR)) + 0.2 * Math.log10(loud + FLOOR);
    if (movement > most) {
      most = movement;
      best = channel;
    }
  });
  return best;
}

function meanSquareDifference(samples: Float32Array, from: number, length: number): number {
  let sum = 0;
  for (let index = from; index < from + length; index += 1)
    sum += ((samples[index] as number) - (samples[index - 1] as number)) ** 2;
  return sum / length;
}
