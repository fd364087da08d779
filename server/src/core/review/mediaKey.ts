/**
 * Which recording a clip is cut from, in a form that holds across versions and formats of a cut.
 *
 * The report decides where it knows the media; else it is the name the timeline writes, without its extension, since a relinked
 * or transcoded file keeps its stem.
 */

import { comparableName, fileNamesOfUrl, withoutExtension } from '../alignment/mediaNames.ts';
import type { ResolvedClip } from '../rules/context.ts';
import type { Clip } from '../timeline/model.ts';

/** The same text for the same recording. Not for people: see `mediaName`. */
export function mediaKey({ clip, picture, sound }: ResolvedClip): string {
  const entry = picture ?? sound;
  if (entry !== null) return `report ${entry.key}`;
  return `${clip.media.kind} ${withoutExtension(comparableName(mediaName(clip)))}`;
}

/** File name of the media as written, else its name, its reel, the clip's own name; empty when the timeline names nothing. */
export function mediaName(clip: Clip): string {
  const { url, name, reel } = clip.media;
  const [fileName] = url === null ? [] : fileNamesOfUrl(url);
  return fileName ?? name ?? reel ?? clip.name;
}
