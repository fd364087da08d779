/**
 * Reading an OTIO text again after a small edit: when the edit lies inside one clip and leaves its length alone, that clip is
 * read by itself and the rest of the timeline stays as it was.
 *
 * A key press in a 10 MB timeline must not cost a reading of 10 MB. Anything else than the plain case answers null, and the
 * caller reads the whole text: an edit across clips, a clip whose length, speed, rate or schema changed, a clip with trouble
 * of its own, or one that means something only in its surroundings. A property test holds this to reading the whole.
 *
 * Why it is right: JSON is context-free, so a clip that is one whole value by itself is one in the text too; and where a clip
 * stands on record depends on the lengths of its neighbours, not on what it shows.
 */

import type { DifferingRange } from '../../text/differingRange.ts';
import type { Span } from '../../text/span.ts';
import { add, equals, subtract } from '../../time/rational.ts';
import type { Clip, Media, Timeline } from '../../timeline/model.ts';
import { type Shift, shiftClip, shiftSpan, timelineAfterEdit } from '../../timeline/shiftTimeline.ts';
import type { Reread } from '../timelineFormat.ts';
import { readOtio } from './readOtio.ts';

/** A clip stands alone on a track of its own; the kind of track decides nothing that is kept. */
const BEFORE_CLIP = '{"OTIO_SCHEMA":"Track.1","kind":"Audio","children":[';
const AFTER_CLIP = ']}';

/** Edits longer than this are not key presses. */
const LONGEST_CLIP = 200_000;

export function rereadOtio(previous: Timeline, before: string, after: string, changed: DifferingRange): Reread | null {
  const old = clipAround(previous, changed);
  if (old === null || old.span.end - old.span.start > LONGEST_CLIP || hasTroubleAt(previous, old.span)) return null;
  const shift: Shift = { end: changed.endBefore, by: changed.endAfter - changed.endBefore };
  const newSpan = { start: old.span.start, end: old.span.end + shift.by };
  const oldAlone = readAlone(before, old.span);
  const newAlone = readAlone(after, newSpan);
  if (oldAlone === null || newAlone === null || !isUnderstoodAlone(old, oldAlone) || !keepsItsPlace(oldAlone, newAlone))
    return null;
  const clip = inItsPlace(old, oldAlone, newAlone, newSpan.start, shift);
  return { timeline: timelineAfterEdit(previous, clip, shift), clip, shift };
}

/** The one clip whose text holds the whole edit and more on both sides; null where there is none. */
function clipAround({ clips }: Timeline, { start, endBefore }: DifferingRange): Clip | null {
  // Clips stand in text order and do not nest, so the last that starts before the edit is the only one that can hold it.
  let low = 0;
  let high = clips.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((clips[middle] as Clip).span.start < start) low = middle + 1;
    else high = middle;
  }
  const clip = clips[low - 1];
  return clip !== undefined && endBefore < clip.span.end ? clip : null;
}

/**
 * Trouble or an acceptance that was told on the clip's characters would have to be read again. And where the text is broken
 * anywhere, what the scanner makes of a clip may depend on all of it.
 */
function hasTroubleAt({ observations, acceptances }: Timeline, { start, end }: Span): boolean {
  const isInside = ({ span }: { readonly span: Span }): boolean => span.start < end && span.end > start;
  const isBroken = observations.some(({ kind }) => kind === 'unreadable' || kind === 'limit');
  return isBroken || observations.some(isInside) || acceptances.some(isInside);
}

/** The clip as the only one of a track; null unless it is exactly one clip with nothing to be said of it. */
function readAlone(text: string, { start, end }: Span): Clip | null {
  const alone = readOtio(BEFORE_CLIP + text.slice(start, end) + AFTER_CLIP);
  const [clip] = alone.clips;
  if (clip === undefined || alone.clips.length !== 1 || alone.acceptances.length > 0) return null;
  const isWhole = clip.span.start === BEFORE_CLIP.length && clip.span.end === BEFORE_CLIP.length + end - start;
  // Old schema versions are told once for a file, with their count, which an edit inside a clip can't change alone.
  return isWhole && alone.observations.length === 0 ? clip : null;
}

/** True when the clip by itself says what it said in its surroundings: no reference leads out of it. */
function isUnderstoodAlone(old: Clip, alone: Clip): boolean {
  return (
    old.doubt === null &&
    alone.doubt === null &&
    old.name === alone.name &&
    isSameMedia(old.media, alone.media) &&
    old.start !== null
  );
}

function isSameMedia(left: Media, right: Media): boolean {
  return left.kind === right.kind && left.url === right.url && left.name === right.name && left.reel === right.reel;
}

/** True when nothing changed that others on the track, or the timeline's rate, depend on. */
function keepsItsPlace(before: Clip, after: Clip): boolean {
  return (
    after.doubt === null &&
    before.isEnabled === after.isEnabled &&
    before.start !== null &&
    after.start !== null &&
    equals(before.start.rate, after.start.rate) &&
    before.length !== null &&
    after.length !== null &&
    equals(before.length.rate, after.length.rate) &&
    equals(before.record.end, after.record.end) &&
    before.speed.kind === 'constant' &&
    after.speed.kind === 'constant' &&
    equals(before.speed.scalar, after.speed.scalar)
  );
}

/** The clip read alone, put where it stands: record time from its surroundings, source time moved as its own start moved. */
function inItsPlace(old: Clip, oldAlone: Clip, newAlone: Clip, start: number, shift: Shift): Clip {
  const here = shiftClip(newAlone, { end: 0, by: start - BEFORE_CLIP.length });
  const ownSpeed = old.speed.span !== null && old.speed.span.start >= old.span.start && old.speed.span.end <= old.span.end;
  return {
    ...here,
    index: old.index,
    track: old.track,
    role: old.role,
    isEnabled: old.isEnabled,
    record: old.record,
    sourceStart: add(old.sourceStart, subtract(newAlone.sourceStart, oldAlone.sourceStart)),
    speed: {
      ...old.speed,
      span: ownSpeed ? here.speed.span : old.speed.span === null ? null : shiftSpan(old.speed.span, shift),
    },
    textGroup: old.textGroup,
    headOverlap: old.headOverlap,
    tailOverlap: old.tailOverlap,
  };
}
