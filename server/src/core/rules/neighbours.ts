/**
 * Which clips have to do with which: what an edit of one clip can change, and what must be looked at to tell.
 *
 * Clips of files that the report pairs, directly or over others, are checked against each other; beyond them a rule looks
 * only at clips that are cut alike. Built once for an audit that was made whole, and used for the key presses after it.
 */

import { pairsOfPicture, pairsOfSound } from '../alignment/lookup.ts';
import type { PictureEntry, SoundEntry } from '../alignment/model.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { groupBy } from './groupBy.ts';
import { isRateToldOnce } from './rateMismatch.ts';
import { startKey } from './slipIndex.ts';

export interface Neighbours {
  readonly clipsByEntry: ReadonlyMap<PictureEntry | SoundEntry | null, readonly ResolvedClip[]>;
  readonly clipsByStart: ReadonlyMap<string, readonly ResolvedClip[]>;
  /** True when a finding on one clip stands for others as well, so that no clip can be looked at without all. */
  readonly isToldOnceForMany: boolean;
}

export function buildNeighbours(context: AuditContext): Neighbours {
  return {
    clipsByEntry: groupBy(context.clips, entryOf),
    clipsByStart: groupBy(context.clips, startKey),
    isToldOnceForMany: context.clips.some((clip) => isRateToldOnce(context, clip)),
  };
}

function entryOf({ picture, sound }: ResolvedClip): PictureEntry | SoundEntry | null {
  return picture ?? sound;
}

/** Every entry that pairs lead to from one of `clips`, those of the clips themselves included. */
export function entriesPairedWith(
  { alignment }: AuditContext,
  clips: readonly ResolvedClip[],
): ReadonlySet<PictureEntry | SoundEntry> {
  const reached = new Set<PictureEntry | SoundEntry>();
  const pictures: PictureEntry[] = clips.flatMap(({ picture }) => picture ?? []);
  const sounds: SoundEntry[] = clips.flatMap(({ sound }) => sound ?? []);
  while (pictures.length > 0 || sounds.length > 0) {
    const picture = pictures.pop();
    if (picture !== undefined && !reached.has(picture)) {
      reached.add(picture);
      sounds.push(...pairsOfPicture(alignment, picture).map((pair) => pair.sound));
    }
    const sound = sounds.pop();
    if (sound !== undefined && !reached.has(sound)) {
      reached.add(sound);
      pictures.push(...pairsOfSound(alignment, sound).map((pair) => pair.picture));
    }
  }
  return reached;
}
