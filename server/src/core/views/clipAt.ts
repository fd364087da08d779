/**
 * The clips at a place in the text.
 *
 * Clips stand in text order, so the place is found by halving; ten thousand clips cost a dozen steps. One EDL event on
 * several channels is several clips with one text: all of them are answered.
 */

import type { Clip, Timeline } from '../timeline/model.ts';

/** Clips whose text holds `offset`, innermost text only; empty between clips. */
export function clipsAt(timeline: Timeline, offset: number): readonly Clip[] {
  const { clips } = timeline;
  let low = 0;
  let high = clips.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((clips[middle] as Clip).span.start <= offset) low = middle + 1;
    else high = middle;
  }
  for (let index = low - 1; index >= 0; index -= 1) {
    const candidate = clips[index] as Clip;
    if (candidate.span.end >= offset) return clips.filter((clip) => clip.textGroup === candidate.textGroup);
    // A clip that ended before here can still stand inside a longer one: look a little further back, not forever.
    if (low - index > LARGEST_NESTING) break;
  }
  return [];
}

const LARGEST_NESTING = 64;
