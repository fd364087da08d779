/**
 * The name of a clip's media, apart from the name of the clip.
 */

import type { Clip, Timeline } from '../timeline/model.ts';

/**
 * Null where the source has none of its own: an edit list has one comment for the name, which is the clip's. Where it names
 * no file that name stands for the media too, since it is then what the audit goes by.
 */
export function mediaNameOf(clip: Clip, timeline: Timeline): string | null {
  const { name, url } = clip.media;
  return timeline.format === 'edl' && url !== null ? null : name;
}
