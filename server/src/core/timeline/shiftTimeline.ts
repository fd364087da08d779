/**
 * A timeline after an edit that changed nothing it says but where things stand: every place behind the edit moves.
 *
 * What did not move is the same object as before, so whoever kept something beside a clip may go on by identity.
 */

import { once } from '../once.ts';
import type { Span } from '../text/span.ts';
import type { Acceptance, Clip, Media, Observation, OutlineNode, Timeline, Track, WrittenTime } from './model.ts';

/** Characters up to `end` were replaced; everything from there on moved by `by`. */
export interface Shift {
  readonly end: number;
  readonly by: number;
}

/**
 * The timeline after an edit inside one clip, which now is `clip`; every place behind it moved. The long lists are worked
 * out when they are asked for: what a key press changes is told from that clip and a few others.
 */
export function timelineAfterEdit(previous: Timeline, clip: Clip, shift: Shift): Timeline {
  const clips = once(() => previous.clips.map((other) => (other.index === clip.index ? clip : shiftClip(other, shift))));
  const transitions = once(() => shiftAll(previous.transitions, shift, shiftPlaced));
  const observations = once(() => shiftAll<Observation>(previous.observations, shift, shiftPlaced));
  const outline = once(() => withClip(shiftAll(previous.outline, shift, shiftNode), clip));
  return {
    format: previous.format,
    name: previous.name,
    rate: previous.rate,
    rateReason: previous.rateReason,
    rateSpan: shiftOptional(previous.rateSpan, shift),
    isDropFrame: previous.isDropFrame,
    startFrame: previous.startFrame,
    duration: previous.duration,
    tracks: shiftAll(previous.tracks, shift, shiftTrack),
    acceptances: shiftAll<Acceptance>(previous.acceptances, shift, shiftPlaced),
    get clips() {
      return clips();
    },
    get transitions() {
      return transitions();
    },
    get observations() {
      return observations();
    },
    get outline() {
      return outline();
    },
  };
}

/** The outline with the name of one clip, and its place, as they are now. */
function withClip(nodes: readonly OutlineNode[], clip: Clip): readonly OutlineNode[] {
  return nodes.map((node) => {
    if (node.clip === clip.index) {
      return { ...node, name: clip.name === '' ? 'Clip' : clip.name, span: clip.span, nameSpan: clip.nameSpan };
    }
    const isAround = node.span.start <= clip.span.start && node.span.end >= clip.span.end;
    return isAround || node.kind !== 'clip' ? { ...node, children: withClip(node.children, clip) } : node;
  });
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
  return shift.by === 0 ? items : items.map((item) => shiftOne(item, shift));
}
