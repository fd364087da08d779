/**
 * The clips whose text meets a part of the document, for views that answer by range.
 *
 * Clips stand in text order, so the first is found by halving. Clips may stand inside others; the search therefore steps
 * back a little, as far as compositions are nested in earnest.
 */

import type { Span } from '../text/span.ts';
import type { Clip, Timeline } from '../timeline/model.ts';

const LARGEST_NESTING = 64;

export function clipsWithin({ clips }: Timeline, range: Span): readonly Clip[] {
  let low = 0;
  let high = clips.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((clips[middle] as Clip).span.start < range.start) low = middle + 1;
    else high = middle;
  }
  const found: Clip[] = [];
  for (let index = Math.max(0, low - LARGEST_NESTING); index < clips.length; index += 1) {
    const clip = clips[index] as Clip;
    if (clip.span.start > range.end) break;
    if (clip.span.end >= range.start) found.push(clip);
  }
  return found;
}
