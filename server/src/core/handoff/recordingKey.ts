/**
 * Which clips are cut from one recording, across all timelines of a hand-off.
 *
 * The report decides where it knows the media; else it is the file or reel as the timeline names it.
 */

import { comparableName, withoutExtension } from '../alignment/mediaNames.ts';
import type { PictureEntry, SoundEntry } from '../alignment/model.ts';
import { mediaName } from '../review/mediaKey.ts';
import type { ResolvedClip } from '../rules/context.ts';

/** The same text for the same recording. Not for people. */
export function recordingKey({ clip, picture, sound }: ResolvedClip): string {
  const entry = sound ?? picture;
  return entry === null ? `media ${withoutExtension(comparableName(mediaName(clip)))}` : entryKey(entry);
}

/** Keys of two days may be alike, so the report belongs to it. */
export function entryKey(entry: PictureEntry | SoundEntry): string {
  return `entry ${entry.file}\n${entry.key}`;
}

/** The names a file of this recording may have, likeliest first. */
export function recordingNames({ clip, picture, sound }: ResolvedClip): readonly string[] {
  const entry = sound ?? picture;
  return [...new Set([mediaName(clip), ...(entry === null ? [] : [...entry.names.map(({ text }) => text), entry.key])])].filter(
    (name) => name !== '',
  );
}
