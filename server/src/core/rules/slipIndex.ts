/**
 * Where slips look for the clips that must move together. Built once, when the first fix is asked for.
 */

import type { SoundEntry } from '../alignment/model.ts';
import { formatRational } from '../time/rational.ts';
import type { ResolvedClip } from './context.ts';
import { groupBy } from './groupBy.ts';

export interface SlipIndex {
  /** Enabled sound clips of the report's recordings by recording and record start. */
  readonly bySoundAndStart: ReadonlyMap<SoundEntry | null, ReadonlyMap<string, readonly ResolvedClip[]>>;
  readonly byTextGroup: ReadonlyMap<number, readonly ResolvedClip[]>;
}

export function buildSlipIndex(clips: readonly ResolvedClip[]): SlipIndex {
  const sounds = clips.filter(({ clip, sound }) => clip.role === 'sound' && clip.isEnabled && sound !== null);
  return {
    bySoundAndStart: new Map(
      [...groupBy(sounds, ({ sound }) => sound)].map(([sound, ofSound]) => [sound, groupBy(ofSound, startKey)]),
    ),
    byTextGroup: groupBy(clips, ({ clip }) => clip.textGroup),
  };
}

/** Record start as a string, the same for equal instants. */
export function startKey({ clip }: ResolvedClip): string {
  return formatRational(clip.record.start);
}
