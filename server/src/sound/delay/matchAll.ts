/**
 * Many pictures against many sounds: which belong together, and where.
 *
 * Every pair is tried, because file names, folders and time stamps are all wrong on some day of some production. Each recording is
 * listened to once; after that a pair costs a few transforms. Time stamps only sort the trials. A picture keeps every sound that
 * matches it (a main and a backup recorder both may), best first.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { correlate } from './correlate.ts';
import type { Match, SoundMatch } from './match.ts';
import type { SoundProfile } from './soundProfile.ts';

export interface NamedProfile {
  readonly name: string;
  readonly profile: SoundProfile;
  /** Seconds since midnight of the first sample by the file's own stamp; null when it carries none. */
  readonly stampSeconds: number | null;
}

export interface PairMatch {
  readonly sound: NamedProfile;
  readonly match: SoundMatch;
}

export interface PictureMatches {
  readonly picture: NamedProfile;
  /** Sounds that hold this picture's scratch, the best first. */
  readonly matches: readonly PairMatch[];
  /** Sounds in which several places fit equally: nobody guessed. */
  readonly ambiguous: readonly { readonly sound: NamedProfile; readonly match: Match }[];
  /** Why nothing matched; null when something did. */
  readonly reason: string | null;
}

export interface MatchAllOptions {
  readonly onProgress?: (tried: number, total: number) => void;
  readonly isCancelled?: () => boolean;
}

export async function matchAll(
  pictures: readonly NamedProfile[],
  sounds: readonly NamedProfile[],
  fourier: Fourier,
  options: MatchAllOptions = {},
): Promise<PictureMatches[]> {
  const results: PictureMatches[] = [];
  const total = pictures.length * sounds.length;
  let tried = 0;
  for (const picture of pictures) {
    const matches: PairMatch[] = [];
    const ambiguous: { sound: NamedProfile; match: Match }[] = [];
    const reasons: string[] = [];
    for (const sound of byStamp(picture, sounds)) {
      if (options.isCancelled?.() === true) return results;
      const hint = hintSeconds(picture, sound);
      const match = await correlate(picture.profile, sound.profile, fourier, hint === null ? {} : { hintSeconds: hint });
      if (match.kind === 'match') matches.push({ sound, match });
      else if (match.kind === 'ambiguous') ambiguous.push({ sound, match });
      else reasons.push(`${sound.name}: ${match.reason}`);
      tried += 1;
      options.onProgress?.(tried, total);
    }
    matches.sort((left, right) => overlapSeconds(right) * right.match.confidence - overlapSeconds(left) * left.match.confidence);
    results.push({
      picture,
      matches,
      ambiguous,
      reason: matches.length > 0 ? null : reasonOf(ambiguous.length, reasons, sounds.length),
    });
  }
  return results;
}

function reasonOf(ambiguousCount: number, reasons: readonly string[], soundCount: number): string {
  if (soundCount === 0) return 'There is no sound to compare with.';
  if (ambiguousCount > 0) return 'Several places fit equally well.';
  return reasons.length === 1 ? (reasons[0] as string) : `None of ${soundCount} sounds holds it.`;
}

function overlapSeconds({ match, sound }: PairMatch): number {
  return (match.overlap.end - match.overlap.start) / sound.profile.source.sampleRate;
}

/** Sounds whose stamps say that they ran with the picture come first. */
function byStamp(picture: NamedProfile, sounds: readonly NamedProfile[]): NamedProfile[] {
  const distance = (sound: NamedProfile): number => Math.abs(hintSeconds(picture, sound) ?? Number.MAX_VALUE);
  return [...sounds].sort((left, right) => distance(left) - distance(right));
}

/** Seconds of sound at the picture's first sample, by the stamps. */
function hintSeconds(picture: NamedProfile, sound: NamedProfile): number | null {
  if (picture.stampSeconds === null || sound.stampSeconds === null) return null;
  return picture.stampSeconds - sound.stampSeconds;
}
