/**
 * A timeline after an edit that changed nothing it says but where things stand: every place behind the edit moves.
 *
 * What did not move is the same object as before, so whoever kept something beside a clip may go on by identity.
 */

import type { Span } from '../text/span.ts';
import type { Acceptance, Clip, Media, Observation, OutlineNode, Timeline, Track, WrittenTime } from './model.ts';

/** Characters up to `end` were replaced; everything from there on moved by `by`. */
export interface Shift {
  readonly end: number;
  readonly by: number;
}

/** The timeline with its places moved. The outline, which only lists and folding ask for, is moved when asked for. */
export function shiftTimeline(timeline: Timeline, shift: Shift): Timeline {
  if (shift.by === 0) return timeline;
  let outline: readonly OutlineNode[] | null = null;
  return {
    ...timeline,
    rateSpan: shiftOptional(timeline.rateSpan, shift),
    tracks: shiftAll(timeline.tracks, shift, shiftTrack),
    clips: shiftAll(timeline.clips, shift, shiftClip),
    transitions: shiftAll(timeline.transitions, shift, shiftPlaced),
    observations: shiftAll<Observation>(timeline.observations, shift, shiftPlaced),
    acceptances: shiftAll<Acceptance>(timeline.acceptances, shift, shiftPlaced),
    get outline() {
      outline ??= shiftAll(timeline.outline, shift, shiftNode);
      return outline;
    },
  };
}

/** A place after the edit. One that ends before the edit's end stays; one around the edit grows or shrinks. */
export function shiftSpan(span: Span, { end, by }: Shift): Span {
  if (by === 0 || span.end < end) return span;
  return { start: span.start >= end ? span.start + by : span.start, end: span.end + by };
}

export function shiftClip(clip: Clip, shift: Shift): Clip {
  if (shift.by === 0 || clip.span.end < shift.end) return clip;
  return {
    ...clip,
    span: shiftSpan(clip.span, shift),
    nameSpan: shiftOptional(clip.nameSpan, shift),
    speed: clip.speed.span === null ? clip.speed : { ...clip.speed, span: shiftSpan(clip.speed.span, shift) },
    media: shiftMedia(clip.media, shift),
    start: shiftTime(clip.start, shift),
    length: shiftTime(clip.length, shift),
  };
}

function shiftMedia(media: Media, shift: Shift): Media {
  return {
    ...media,
    urlSpan: shiftOptional(media.urlSpan, shift),
    nameSpan: shiftOptional(media.nameSpan, shift),
    reelSpan: shiftOptional(media.reelSpan, shift),
    rateSpan: shiftOptional(media.rateSpan, shift),
  };
}

function shiftTime(time: WrittenTime | null, shift: Shift): WrittenTime | null {
  return time === null ? null : { ...time, span: shiftSpan(time.span, shift), rateSpan: shiftOptional(time.rateSpan, shift) };
}

function shiftTrack(track: Track, shift: Shift): Track {
  return shiftPlaced(track, shift);
}

function shiftNode(node: OutlineNode, shift: Shift): OutlineNode {
  if (node.span.end < shift.end) return node;
  return {
    ...node,
    span: shiftSpan(node.span, shift),
    nameSpan: shiftOptional(node.nameSpan, shift),
    children: shiftAll(node.children, shift, shiftNode),
  };
}

function shiftPlaced<Placed extends { readonly span: Span }>(placed: Placed, shift: Shift): Placed {
  const span = shiftSpan(placed.span, shift);
  return span === placed.span ? placed : { ...placed, span };
}

function shiftOptional(span: Span | null, shift: Shift): Span | null {
  return span === null ? null : shiftSpan(span, shift);
}

function shiftAll<Item>(items: readonly Item[], shift: Shift, shiftOne: (item: Item, shift: Shift) => Item): readonly Item[] {
  return items.map((item) => shiftOne(item, shift));
}
