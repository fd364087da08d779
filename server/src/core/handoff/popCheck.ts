/**
 * Whether a timeline has its sync pops where they belong.
 *
 * A timeline shows where clips stand, not what is heard in them. So a clip as short as a pop at the very frame is 'there', one nearby is
 * off by so many frames, and a longer clip that covers the frame (a leader with its pop printed in) is something to listen to.
 */

import { secondsToCount } from '../time/rate.ts';
import { absolute, compare, isZero, type Rational, rational, subtract } from '../time/rational.ts';
import type { Timeline } from '../timeline/model.ts';
import { LONGEST_POP_FRAMES, lengthInFrames } from './programme.ts';

export type PopState =
  | { readonly kind: 'there'; readonly clip: number; readonly lengthFrames: number }
  /** Frames, parts included: positive stands late, negative early; never 0. */
  | { readonly kind: 'off'; readonly clip: number; readonly frames: Rational }
  | { readonly kind: 'covered'; readonly clip: number }
  | { readonly kind: 'missing' }
  /** The timeline begins after the frame, or ends before it. */
  | { readonly kind: 'no-room' };

/** Farther from its place than this a short clip is something else. */
const FARTHEST_FRAMES = rational(30);

/** `frame` counts from the timeline's first instant and may be negative. `role`: the pop that is heard, or the flash that is seen. */
export function popAt(timeline: Timeline, frame: number, role: 'sound' | 'picture'): PopState {
  const wanted = rational(frame);
  let nearest: { readonly clip: number; readonly frames: Rational; readonly lengthFrames: number } | null = null;
  let covering: number | null = null;
  for (const clip of timeline.clips) {
    if (clip.role !== role || !clip.isEnabled) continue;
    const frames = subtract(secondsToCount(clip.record.start, timeline.rate), wanted);
    const lengthFrames = lengthInFrames(timeline, clip);
    if (lengthFrames > LONGEST_POP_FRAMES) {
      const end = subtract(secondsToCount(clip.record.end, timeline.rate), wanted);
      if (compare(frames, rational(0)) <= 0 && compare(end, rational(1)) >= 0) covering ??= clip.index;
    } else if (compare(absolute(frames), absolute(nearest?.frames ?? FARTHEST_FRAMES)) < 0) {
      nearest = { clip: clip.index, frames, lengthFrames };
    }
  }
  if (nearest !== null && isZero(nearest.frames)) {
    return { kind: 'there', clip: nearest.clip, lengthFrames: nearest.lengthFrames };
  }
  if (nearest !== null) return { kind: 'off', clip: nearest.clip, frames: nearest.frames };
  if (covering !== null) return { kind: 'covered', clip: covering };
  const end = secondsToCount(timeline.duration, timeline.rate);
  return frame < 0 || compare(end, wanted) <= 0 ? { kind: 'no-room' } : { kind: 'missing' };
}
