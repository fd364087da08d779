/**
 * Sound as the measurements see it: samples by position, one channel at a time, read through a port.
 *
 * A wave file is one kind of source; decoded camera sound is another. Reading is by blocks into arrays that the caller
 * owns, so the memory a measurement needs does not grow with the length of the recording.
 */

export interface SoundSource {
  /** Samples per second as the file says. */
  readonly sampleRate: number;
  /** Samples per channel. */
  readonly sampleCount: number;
  readonly channelCount: number;
  /**
   * Fills `into[k]` with samples of channel `channels[k]` from `start` on, full scale being 1.
   *
   * All arrays have one length. Resolves to the samples read, fewer than asked for only at the end. A sample that is not
   * a finite number is delivered as 0 and counted in `nonFiniteCount`.
   */
  read(start: number, channels: readonly number[], into: readonly Float32Array[]): Promise<SoundRead>;
}

export interface SoundRead {
  readonly count: number;
  readonly nonFiniteCount: number;
}

/** A source over samples that are in memory already, one array per channel. */
export function soundSourceOf(sampleRate: number, ...channelSamples: readonly Float32Array[]): SoundSource {
  const sampleCount = channelSamples[0]?.length ?? 0;
  return {
    sampleRate,
    sampleCount,
    channelCount: channelSamples.length,
    read: (start, channels, into) => {
      const count = Math.max(0, Math.min(into[0]?.length ?? 0, sampleCount - start));
      let nonFiniteCount = 0;
      channels.forEach((channel, index) => {
        const target = into[index] as Float32Array;
        target.set((channelSamples[channel] as Float32Array).subarray(start, start + count));
        for (let position = 0; position < count; position += 1) {
          if (Number.isFinite(target[position])) continue;
          target[position] = 0;
          nonFiniteCount += 1;
        }
      });
      return Promise.resolve({ count, nonFiniteCount });
    },
  };
}
