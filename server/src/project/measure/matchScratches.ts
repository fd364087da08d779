/**
 * Every camera's own sound against every recording: which belong together, and how each question was answered.
 *
 * A recording is listened to once for its profile, however many cameras ask. Several recorders may have run beside one camera, a
 * main one and a back-up: every match that holds is kept, the surest first.
 */

import { toNumber } from '../../core/time/rational.ts';
import { correlate } from '../../sound/delay/correlate.ts';
import type { Match, SoundMatch } from '../../sound/delay/match.ts';
import { profileSound, type SoundProfile } from '../../sound/delay/soundProfile.ts';
import type { Fourier } from '../../sound/fourier/fourier.ts';
import type { SoundSource } from '../../sound/soundSource.ts';
import type { OpenPicture, OpenScratch, OpenSound } from './openRecordings.ts';
import type { ProgressPlan } from './progress.ts';

export interface ScratchAnswer {
  readonly picture: OpenPicture;
  readonly scratch: OpenScratch;
  /** The surest first. */
  readonly matches: readonly { readonly sound: OpenSound; readonly match: SoundMatch }[];
  /** Why the others do not match, or fit in several places. */
  readonly refusals: readonly { readonly sound: OpenSound; readonly match: Exclude<Match, SoundMatch> }[];
}

export interface MatchScratchesOptions {
  readonly fourier: Fourier;
  readonly progress: ProgressPlan;
  readonly isCancelled: () => boolean;
}

/** Share of a recording's length that comparing it with one scratch costs, as weight for progress. */
export const COMPARING_WEIGHT = 0.3;

export async function matchScratches(
  pictures: readonly OpenPicture[],
  sounds: readonly OpenSound[],
  options: MatchScratchesOptions,
): Promise<readonly ScratchAnswer[]> {
  const asking = pictures.flatMap((picture) => (picture.scratch === null ? [] : [{ picture, scratch: picture.scratch }]));
  if (asking.length === 0 || sounds.length === 0) return [];
  const profiles = new Map<OpenSound, SoundProfile>();
  for (const sound of sounds) profiles.set(sound, await profile(sound.source, sound.name, options));
  const answers: ScratchAnswer[] = [];
  for (const { picture, scratch } of asking) {
    const own = await profile(scratch.source, picture.name, options);
    const matches: { sound: OpenSound; match: SoundMatch }[] = [];
    const refusals: { sound: OpenSound; match: Exclude<Match, SoundMatch> }[] = [];
    for (const sound of sounds) {
      if (options.isCancelled()) return answers;
      const tell = options.progress.begin(
        `comparing ${picture.name} with ${sound.name}`,
        COMPARING_WEIGHT * secondsOf(sound.source),
      );
      const match = await correlate(own, profiles.get(sound) as SoundProfile, options.fourier, hintFor(picture, scratch, sound));
      tell(1);
      if (match.kind === 'match') matches.push({ sound, match });
      else refusals.push({ sound, match });
    }
    matches.sort((left, right) => right.match.confidence - left.match.confidence);
    answers.push({ picture, scratch, matches, refusals });
  }
  return answers;
}

async function profile(
  source: SoundSource,
  name: string,
  { progress, isCancelled }: MatchScratchesOptions,
): Promise<SoundProfile> {
  const tell = progress.begin(`listening to ${name}`, secondsOf(source));
  const heard = await profileSound(source, { onProgress: (done, total) => tell(done / Math.max(1, total)), isCancelled });
  tell(1);
  return heard;
}

/** Seconds of sound at the scratch's first sample, by the stamps of both files; they only say where to look first. */
function hintFor(picture: OpenPicture, scratch: OpenScratch, sound: OpenSound): { readonly hintSeconds?: number } {
  if (picture.startFrame === null || sound.startSample === null) return {};
  const pictureClock = picture.startFrame / toNumber(picture.rate) + toNumber(scratch.start);
  return { hintSeconds: pictureClock - sound.startSample / sound.source.sampleRate };
}

export function secondsOf(source: SoundSource): number {
  return source.sampleCount / source.sampleRate;
}
