/**
 * Recordings of one scene: a main recorder and the back-ups that ran beside it.
 *
 * Each hears every clap, so a clap log that names no sound would fit them all alike. Comparing the recordings with each other tells
 * which ran together; then a row is given its clap once, in the main one, and the others follow.
 */

import type { ClapReading } from '../../sound/claps/clap.ts';
import type { SoundMatch } from '../../sound/delay/match.ts';
import { matchAll, type NamedProfile } from '../../sound/delay/matchAll.ts';
import type { Fourier } from '../../sound/fourier/fourier.ts';
import { COMPARING_WEIGHT, type Listen, secondsOf } from './listening.ts';
import type { OpenSound } from './openRecordings.ts';
import type { ProgressPlan } from './progress.ts';

export interface SoundFamily {
  readonly main: OpenSound;
  readonly others: readonly FamilyMember[];
}

interface FamilyMember {
  readonly sound: OpenSound;
  /** Sample of the main recording at a sample of this one. */
  readonly inMain: (sample: number) => number;
}

export interface FamilyOptions {
  readonly fourier: Fourier;
  readonly listen: Listen;
  readonly progress: ProgressPlan;
  readonly isCancelled: () => boolean;
}

/** Comparisons grow with the square of the recordings; beyond this many a log should name them. */
export const MOST_COMPARED = 12;

/** Every sound is in one family, be it alone. The main one is that with most claps; of equals the first. */
export async function soundFamilies(
  sounds: readonly OpenSound[],
  readings: ReadonlyMap<OpenSound, ClapReading>,
  { fourier, listen, progress, isCancelled }: FamilyOptions,
): Promise<readonly SoundFamily[]> {
  const clapCount = (sound: OpenSound): number => clapsOf(readings.get(sound)).length;
  let rest = sounds.toSorted((left, right) => clapCount(right) - clapCount(left));
  const families: SoundFamily[] = [];
  while (rest.length > 0) {
    const [main, ...candidates] = rest as [OpenSound, ...OpenSound[]];
    const target = await named(main, listen);
    const others: FamilyMember[] = [];
    for (const candidate of candidates) {
      if (isCancelled()) return families;
      const weight = COMPARING_WEIGHT * secondsOf(main.source);
      const tell = progress.begin(`comparing ${candidate.name} with ${main.name}`, weight);
      const [answer] = await matchAll([await named(candidate, listen)], [target], fourier, { isCancelled });
      tell(1);
      const match = answer?.matches[0]?.match;
      if (match !== undefined) others.push({ sound: candidate, inMain: lineOf(match, candidate, main) });
    }
    families.push({ main, others });
    rest = candidates.filter((candidate) => !others.some(({ sound }) => sound === candidate));
  }
  return families;
}

export function clapsOf(reading: ClapReading | undefined): readonly ClapReading['candidates'][number][] {
  return (reading?.candidates ?? []).filter(({ verdict }) => verdict === 'clap');
}

async function named(sound: OpenSound, listen: Listen): Promise<NamedProfile> {
  return { name: sound.name, profile: await listen(sound.source, sound.name), stampSeconds: null };
}

function lineOf({ offsetSamples, driftPpm }: SoundMatch, from: OpenSound, to: OpenSound): (sample: number) => number {
  const pace = (to.source.sampleRate / from.source.sampleRate) * (1 + driftPpm * 1e-6);
  return (sample) => offsetSamples + sample * pace;
}
