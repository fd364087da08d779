/**
 * Which reels will be made, under which names, from which files; and which can't be, and why.
 */

import { safeFileName, timelineStem, uniqueNames } from '../../core/handoff/fileNames.ts';
import { differences, type PulledTimeline } from '../../core/handoff/pullList.ts';
import type { FoundRecording, RecordingFacts } from '../../core/handoff/recordingFacts.ts';
import { entryKey } from '../../core/handoff/recordingKey.ts';
import { type PlannedReel, planCutReels, planPictureReels, type ReelPlans } from '../../core/handoff/reelPlan.ts';
import { equals, rational } from '../../core/time/rational.ts';
import { nameOf } from '../paths.ts';
import type { ReelTask } from './makeReel.ts';
import { reelOf } from './reelWords.ts';

export type ReelsMode = 'picture' | 'cut' | 'none';

/** A reel that can't be made, or not whole. */
export interface RefusedReel {
  readonly what: string;
  /** Why, where it is no matter of a recording. */
  readonly reason: string | null;
  readonly recordings: readonly RefusedRecording[];
}

export interface RefusedRecording {
  /** Of its entry. */
  readonly key: string;
  /** The rest of a sentence that begins with its name. */
  readonly name: string;
  readonly reason: string;
}

export interface PlannedTasks {
  readonly tasks: readonly ReelTask[];
  readonly refused: readonly RefusedReel[];
}

/** The reels before any file was looked for. */
export function reelPlans(timelines: readonly PulledTimeline[], mode: ReelsMode): ReelPlans {
  switch (mode) {
    case 'none':
      return { reels: [], refused: [] };
    case 'picture':
      return planPictureReels(timelines);
    case 'cut': {
      const plans = timelines.map(planCutReels);
      return { reels: plans.flatMap(({ reels }) => reels), refused: plans.flatMap(({ refused }) => refused) };
    }
  }
}

/** `foundOf` answers by key of a recording's entry. */
export function reelTasks(plans: ReelPlans, foundOf: (key: string) => FoundRecording | null): PlannedTasks {
  const tasks: ReelTask[] = [];
  const refused: RefusedReel[] = plans.refused.map(({ what, reason }) => ({ what, reason, recordings: [] }));
  const unique = uniqueNames();
  for (const reel of plans.reels) {
    const { recordings, unusable } = recordingsOf(reel, foundOf);
    const held = reel.pieces.filter(({ pair }) => recordings.has(entryKey(pair.sound)));
    if (unusable.length > 0) refused.push({ what: reelOf(reel), reason: null, recordings: unusable });
    // A whole cut is worth having with a recording less; its silence is told on the sheet and in the list of what is missing.
    if (held.length === 0 || (unusable.length > 0 && reel.kind === 'picture')) continue;
    const remarks = unusable.map(({ name, reason }) => `Silent where a recording is missing: ${name} ${reason}.`);
    const path = `reels/${unique(reelStem(reel), '.wav')}`;
    tasks.push({ reel: { ...reel, pieces: held, remarks: [...reel.remarks, ...remarks] }, recordings, path });
  }
  return { tasks, refused };
}

function recordingsOf(
  { pieces }: PlannedReel,
  foundOf: (key: string) => FoundRecording | null,
): { readonly recordings: ReadonlyMap<string, RecordingFacts>; readonly unusable: readonly RefusedRecording[] } {
  const recordings = new Map<string, RecordingFacts>();
  const unusable = new Map<string, RefusedRecording>();
  for (const { pair } of pieces) {
    const key = entryKey(pair.sound);
    if (recordings.has(key) || unusable.has(key)) continue;
    const found = foundOf(key);
    const reason =
      found === null ? 'was not looked for' : found.kind === 'absent' ? found.reason : refusalOf(pair.sound, found.facts);
    if (reason !== null) unusable.set(key, { key, name: pair.sound.key, reason });
    else if (found?.kind === 'found') recordings.set(key, found.facts);
  }
  return { recordings, unusable: [...unusable.values()] };
}

/** Null when a reel can be made from the file. One difference from the report is told on the sheet; these would make a false reel. */
function refusalOf(sound: PlannedReel['pieces'][number]['pair']['sound'], facts: RecordingFacts): string | null {
  if (!equals(sound.sampleRate, rational(facts.sampleRate))) {
    return `runs at ${facts.sampleRate} Hz (${facts.path}) and the report says otherwise: put right whichever is wrong, else the reel would drift`;
  }
  return differences(sound, facts).length > 1
    ? `is another file than the one in the report, by length and by stamp (${facts.path})`
    : null;
}

function reelStem({ picture, pieces, timelines, lane }: PlannedReel): string {
  if (picture !== null) return `${safeFileName(picture.key)}--${safeFileName(pieces[0]?.pair.sound.key ?? '')}`;
  const stem = safeFileName(timelineStem(nameOf(timelines[0]?.path ?? '')));
  return `${stem}--cut${lane === 1 ? '' : `-${lane}`}`;
}
