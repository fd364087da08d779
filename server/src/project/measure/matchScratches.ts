/**
 * Every camera's own sound against every recording: which belong together, and how each question was answered.
 *
 * A recording is listened to once for its profile, however many cameras ask. Several recorders may have run beside one camera, a
 * main one and a back-up: every match that holds is kept, the surest first.
 */

import { toNumber } from '../../core/time/rational.ts';
import type { Match, SoundMatch } from '../../sound/delay/match.ts';
import { matchAll, type NamedProfile } from '../../sound/delay/matchAll.ts';
import type { Fourier } from '../../sound/fourier/fourier.ts';
import { COMPARING_WEIGHT, DECODING_WEIGHT, type Listen, secondsOf } from './listening.ts';
import type { OpenPicture, OpenScratch, OpenSound } from './openRecordings.ts';
import type { ProgressPlan } from './progress.ts';

export interface ScratchAnswer {
  readonly picture: OpenPicture;
  readonly scratch: OpenScratch;
  /** The surest first. */
  readonly matches: readonly { readonly sound: OpenSound; readonly match: SoundMatch }[];
  /** Sounds in which several places fit equally. */
  readonly ambiguous: readonly { readonly sound: OpenSound; readonly match: Match }[];
  /** Why nothing matched; null when something did. */
  readonly reason: string | null;
  /** What was odd when its sound was read, in sentences. */
  readonly remarks: readonly string[];
}

export interface MatchScratchesOptions {
  readonly fourier: Fourier;
  readonly listen: Listen;
  readonly progress: ProgressPlan;
  readonly isCancelled: () => boolean;
}

export async function matchScratches(
  pictures: readonly OpenPicture[],
  sounds: readonly OpenSound[],
  options: MatchScratchesOptions,
): Promise<readonly ScratchAnswer[]> {
  const asking = pictures.flatMap((picture) => (picture.scratch === null ? [] : [{ picture, scratch: picture.scratch }]));
  if (asking.length === 0 || sounds.length === 0) return [];
  const soundOf = new Map<NamedProfile, OpenSound>();
  for (const sound of sounds) {
    const profile = await options.listen(sound.source, sound.name);
    const stampSeconds = sound.startSample === null ? null : sound.startSample / sound.source.sampleRate;
    soundOf.set({ name: sound.name, profile, stampSeconds }, sound);
  }
  const weight = COMPARING_WEIGHT * sounds.reduce((sum, { source }) => sum + secondsOf(source), 0);
  const answers: ScratchAnswer[] = [];
  for (const { picture, scratch } of asking) {
    if (options.isCancelled()) break;
    const decode = options.progress.begin(`reading the sound of ${picture.name}`, DECODING_WEIGHT * (scratch.seconds ?? 0));
    const opened = await scratch.open({ onProgress: decode, isCancelled: options.isCancelled });
    decode(1);
    if (!opened.ok) {
      answers.push({
        picture,
        scratch,
        matches: [],
        ambiguous: [],
        reason: `Its own sound can't be compared: the file ${opened.reason}.`,
        remarks: [],
      });
      continue;
    }
    try {
      const profile = await options.listen(opened.value, picture.name);
      const named = { name: picture.name, profile, stampSeconds: stampOf(picture, scratch) };
      const tell = options.progress.begin(`comparing ${picture.name} with every sound`, weight);
      const [answer] = await matchAll([named], [...soundOf.keys()], options.fourier, {
        onProgress: (tried, total) => tell(tried / Math.max(1, total)),
        isCancelled: options.isCancelled,
      });
      tell(1);
      if (answer === undefined) break;
      answers.push({
        picture,
        scratch,
        matches: withOpenSounds(answer.matches, soundOf),
        ambiguous: withOpenSounds(answer.ambiguous, soundOf),
        reason: answer.reason,
        remarks: opened.remarks,
      });
    } finally {
      // One at a time: the decoded sound of a day's cameras would fill a disk.
      await opened.close();
    }
  }
  return answers;
}

function withOpenSounds<Kind extends Match>(
  found: readonly { readonly sound: NamedProfile; readonly match: Kind }[],
  soundOf: ReadonlyMap<NamedProfile, OpenSound>,
): readonly { readonly sound: OpenSound; readonly match: Kind }[] {
  return found.flatMap(({ sound, match }) => {
    const open = soundOf.get(sound);
    return open === undefined ? [] : [{ sound: open, match }];
  });
}

/** Seconds since midnight of the scratch's first sample; null for a picture without a time stamp. */
function stampOf({ startFrame, rate }: OpenPicture, scratch: OpenScratch): number | null {
  return startFrame === null ? null : startFrame / toNumber(rate) + toNumber(scratch.start);
}
