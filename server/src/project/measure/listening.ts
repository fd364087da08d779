/**
 * Listening to a recording for its profile, once, however many comparisons ask for it.
 */

import { profileSound, type SoundProfile } from '../../sound/delay/soundProfile.ts';
import type { SoundSource } from '../../sound/soundSource.ts';
import type { ProgressPlan } from './progress.ts';

export type Listen = (source: SoundSource, name: string) => Promise<SoundProfile>;

/** Share of a recording's length that comparing it with another costs, as weight for progress. */
export const COMPARING_WEIGHT = 0.3;

/** The same for decoding a camera's sound. */
export const DECODING_WEIGHT = 0.5;

export function listener(progress: ProgressPlan, isCancelled: () => boolean): Listen {
  const heard = new Map<SoundSource, Promise<SoundProfile>>();
  const listen: Listen = async (source, name) => {
    const tell = progress.begin(`listening to ${name}`, secondsOf(source));
    const profile = await profileSound(source, { onProgress: (done, total) => tell(done / Math.max(1, total)), isCancelled });
    tell(1);
    return profile;
  };
  return (source, name) => {
    const known = heard.get(source) ?? listen(source, name);
    heard.set(source, known);
    return known;
  };
}

export function secondsOf(source: SoundSource): number {
  return source.sampleCount / source.sampleRate;
}
