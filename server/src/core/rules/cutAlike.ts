/**
 * Picture and sound clips that were cut together: the same record in and out. It is what a person sees as 'one shot with its
 * sound', and the only sign of belonging that a timeline gives (no interchange format of ours carries the link).
 */

import { compare } from '../time/rational.ts';
import type { ResolvedClip } from './context.ts';

export interface CutAlike {
  readonly picture: ResolvedClip;
  readonly sound: ResolvedClip;
}

/** Enabled clips with media that share both ends, in record order. One sweep over both kinds. */
export function clipsCutAlike(clips: readonly ResolvedClip[]): readonly CutAlike[] {
  const pictures = inRecordOrder(clips, 'picture');
  const sounds = inRecordOrder(clips, 'sound');
  const alike: CutAlike[] = [];
  let first = 0;
  for (const picture of pictures) {
    const { start, end } = picture.clip.record;
    while (first < sounds.length && compare((sounds[first] as ResolvedClip).clip.record.start, start) < 0) first += 1;
    for (let at = first; at < sounds.length; at += 1) {
      const sound = sounds[at] as ResolvedClip;
      if (compare(sound.clip.record.start, start) !== 0) break;
      if (compare(sound.clip.record.end, end) === 0) alike.push({ picture, sound });
    }
  }
  return alike;
}

function inRecordOrder(clips: readonly ResolvedClip[], role: 'picture' | 'sound'): readonly ResolvedClip[] {
  return clips
    .filter(({ clip }) => clip.role === role && clip.isEnabled && clip.doubt === null && clip.media.kind !== 'generator')
    .sort((left, right) => compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index);
}
