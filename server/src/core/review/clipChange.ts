/**
 * What became of one clip between two versions of a cut, in the words of an editor.
 *
 * Signs never reach people; here they are: `moved` and `tail` count record time, later and longer being positive; `slipped` counts
 * media time, positive when the clip shows a later part of its media, which for a sound means that it is heard earlier.
 */

import type { Rate } from '../time/rate.ts';
import { add, equals, isZero, multiply, negate, type Rational, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Speed } from '../timeline/model.ts';
import { mediaName } from './mediaKey.ts';
import { hasSameSpeed, type ReviewClip } from './reviewClip.ts';

export type ClipChange =
  | { readonly kind: 'added'; readonly now: ReviewClip }
  | { readonly kind: 'removed'; readonly old: ReviewClip }
  | {
      readonly kind: 'changed';
      readonly old: ReviewClip;
      readonly now: ReviewClip;
      /** Further clips of the new version that are parts of the old one, in record order. */
      readonly pieces: readonly ReviewClip[];
      /** Further clips of the old version that went into the new one, in record order. */
      readonly joined: readonly ReviewClip[];
      /** At least one. */
      readonly parts: readonly ChangePart[];
    };

export type ChangePart =
  | { readonly kind: 'moved'; readonly by: Rational }
  | { readonly kind: 'slipped'; readonly by: Rational }
  /** Seconds by which each end was let out; negative where it was taken in. */
  | { readonly kind: 'recut'; readonly head: Rational; readonly tail: Rational }
  /** Cut up in place; `without`: seconds of record time between the parts that none of them has any more. */
  | { readonly kind: 'split'; readonly into: number; readonly without: Rational }
  /** Put together in place; `filled`: seconds of record time between the parts that the one clip has now. */
  | { readonly kind: 'joined'; readonly from: number; readonly filled: Rational }
  | { readonly kind: 'replaced'; readonly old: string; readonly now: string }
  | { readonly kind: 'retimed'; readonly old: Speed; readonly now: Speed }
  | { readonly kind: 'rate'; readonly old: Rate; readonly now: Rate }
  | { readonly kind: 'enabled' }
  | { readonly kind: 'disabled' }
  | { readonly kind: 'track' }
  /** The transition at an end came, went or has another length; seconds the clip goes on under it. */
  | { readonly kind: 'transition'; readonly end: 'head' | 'tail'; readonly old: Rational; readonly now: Rational };

/** What happened to a clip that both versions have; empty for nothing. `start` and `end` of both are those of all their pieces. */
export function changeParts(old: ReviewClip, now: ReviewClip, isSameFormat: boolean): readonly ChangePart[] {
  const parts: ChangePart[] = [];
  const isReplaced = old.media !== now.media;
  if (isReplaced) parts.push({ kind: 'replaced', old: mediaName(old.clip), now: mediaName(now.clip) });
  if (isRetimed(old.clip, now.clip)) parts.push({ kind: 'retimed', old: old.clip.speed, now: now.clip.speed });
  parts.push(...placeParts(old, now, isReplaced));
  if (old.track !== now.track) parts.push({ kind: 'track' });
  if (old.clip.isEnabled !== now.clip.isEnabled) parts.push({ kind: now.clip.isEnabled ? 'enabled' : 'disabled' });
  const oldRate = old.clip.start?.rate ?? null;
  const newRate = now.clip.start?.rate ?? null;
  // Formats write one and the same time at different rates; within one, somebody changed it.
  if (isSameFormat && oldRate !== null && newRate !== null && !equals(oldRate, newRate)) {
    parts.push({ kind: 'rate', old: oldRate, now: newRate });
  }
  parts.push(...transitionParts(old.clip, now.clip));
  return parts;
}

/** How much later in its media the clip begins: seconds of media time, zero for clips that were only moved. */
export function sourceShift(old: ReviewClip, now: ReviewClip): Rational {
  const { origin: oldOrigin } = old.resolved;
  const { origin: newOrigin } = now.resolved;
  // A clip slipped out of its file is read from another origin; the labels still say how far it was slipped.
  const isReadAlike = oldOrigin.from === newOrigin.from || oldOrigin.from === 'timeline' || newOrigin.from === 'timeline';
  return isReadAlike ? subtract(now.source, old.source) : subtract(now.clip.sourceStart, old.clip.sourceStart);
}

function isRetimed(old: Clip, now: Clip): boolean {
  if (old.speed.kind === 'unknown' && now.speed.kind === 'unknown') return old.speed.reason !== now.speed.reason;
  return !hasSameSpeed(old, now);
}

/**
 * Record and source, taken apart into the fewest acts that lead from one to the other: trimmed in place, slipped in place, moved,
 * or moved and trimmed.
 */
function placeParts(old: ReviewClip, now: ReviewClip, isReplaced: boolean): readonly ChangePart[] {
  const headShift = subtract(now.start, old.start);
  const tailShift = subtract(now.end, old.end);
  const source = sourceShift(old, now);
  if (isReplaced || !hasSameSpeed(old.clip, now.clip)) return withoutSource(headShift, tailShift);
  const scalar = now.clip.speed.kind === 'constant' ? now.clip.speed.scalar : ZERO;
  /** Media time by which the clip runs ahead of where it was, at one record instant. */
  const ahead = subtract(source, multiply(scalar, headShift));
  if (isZero(ahead)) return recut(negate(headShift), tailShift);
  if (isZero(headShift) || isZero(tailShift)) return [{ kind: 'slipped', by: ahead }, ...recut(negate(headShift), tailShift)];
  if (isZero(source)) return [{ kind: 'moved', by: headShift }, ...recut(ZERO, subtract(tailShift, headShift))];
  const isSameSourceEnd = isZero(add(source, multiply(scalar, subtract(tailShift, headShift))));
  if (isSameSourceEnd) return [{ kind: 'moved', by: tailShift }, ...recut(subtract(tailShift, headShift), ZERO)];
  const isWholeClipMoved = equals(headShift, tailShift);
  if (isWholeClipMoved)
    return [
      { kind: 'moved', by: headShift },
      { kind: 'slipped', by: source },
    ];
  return [{ kind: 'slipped', by: ahead }, ...recut(negate(headShift), tailShift)];
}

function withoutSource(headShift: Rational, tailShift: Rational): readonly ChangePart[] {
  if (isZero(headShift)) return recut(ZERO, tailShift);
  const moved: ChangePart = { kind: 'moved', by: headShift };
  return [moved, ...recut(ZERO, subtract(tailShift, headShift))];
}

function recut(head: Rational, tail: Rational): readonly ChangePart[] {
  return isZero(head) && isZero(tail) ? [] : [{ kind: 'recut', head, tail }];
}

function transitionParts(old: Clip, now: Clip): readonly ChangePart[] {
  const parts: ChangePart[] = [];
  if (!equals(old.headOverlap, now.headOverlap))
    parts.push({ kind: 'transition', end: 'head', old: old.headOverlap, now: now.headOverlap });
  if (!equals(old.tailOverlap, now.tailOverlap))
    parts.push({ kind: 'transition', end: 'tail', old: old.tailOverlap, now: now.tailOverlap });
  return parts;
}
