/**
 * Clips in the order in which tracks of OTIO and neutral XML hold them: one after another, with gaps and transitions between.
 *
 * Such a track cannot hold two clips at one time, which an edit list can (a later event recorded over an earlier one). The
 * overlapping clips go to further lanes, so that everything that was compared still is.
 *
 * Invariant: on a lane every item starts where the one before it ends, and a lane starts at record 0.
 */

import { compare, formatRational, type Rational, sign, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Timeline, Track, Transition } from '../timeline/model.ts';
import { isOutOfProportion } from './exactTimes.ts';

export type LaneItem =
  | { readonly kind: 'clip'; readonly clip: Clip }
  | { readonly kind: 'gap'; readonly length: Rational }
  | { readonly kind: 'transition'; readonly transition: Transition };

export interface Lane {
  readonly track: Track;
  /** 0 for the track itself; further lanes hold clips that overlap. */
  readonly layer: number;
  readonly items: readonly LaneItem[];
}

export interface LaneLayout {
  readonly lanes: readonly Lane[];
  /** Transitions at which no clip of their track starts or ends. */
  readonly lost: readonly Transition[];
}

/** `clips` are those to be written, in any order. */
export function layOutLanes(timeline: Timeline, tracks: readonly Track[], clips: readonly Clip[]): LaneLayout {
  const lanes: Lane[] = [];
  const placed = new Set<Transition>();
  for (const track of tracks) {
    const own = clips.filter((clip) => clip.track === track.index);
    const transitions = byPlace(timeline.transitions.filter((transition) => transition.track === track.index));
    for (const [layer, laneClips] of layersOf(own).entries()) {
      lanes.push({ track, layer, items: itemsOf(laneClips, transitions, placed) });
    }
  }
  const [first, ...others] = lanes;
  const padded = first === undefined ? [] : [{ ...first, items: withTail(first.items, lanes, timeline.duration) }, ...others];
  const known = new Set(tracks.map(({ index }) => index));
  return { lanes: padded, lost: timeline.transitions.filter((one) => known.has(one.track) && !placed.has(one)) };
}

function byPlace(transitions: readonly Transition[]): ReadonlyMap<string, readonly Transition[]> {
  const places = new Map<string, Transition[]>();
  for (const transition of transitions) {
    const key = formatRational(transition.at);
    const known = places.get(key);
    if (known === undefined) places.set(key, [transition]);
    else known.push(transition);
  }
  return places;
}

/** At least one, so that an empty track stays. */
function layersOf(clips: readonly Clip[]): readonly (readonly Clip[])[] {
  const layers: Clip[][] = [[]];
  const inOrder = clips.toSorted((left, right) => compare(left.record.start, right.record.start) || left.index - right.index);
  for (const clip of inOrder) {
    const free = layers.find((layer) => {
      const last = layer.at(-1);
      return last === undefined || compare(last.record.end, clip.record.start) <= 0;
    });
    if (free === undefined) layers.push([clip]);
    else free.push(clip);
  }
  return layers;
}

function itemsOf(
  clips: readonly Clip[],
  transitions: ReadonlyMap<string, readonly Transition[]>,
  placed: Set<Transition>,
): readonly LaneItem[] {
  const items: LaneItem[] = [];
  let at = ZERO;
  const addTransition = (place: Rational): void => {
    const found = transitions.get(formatRational(place))?.find((transition) => !placed.has(transition));
    if (found === undefined) return;
    placed.add(found);
    items.push({ kind: 'transition', transition: found });
  };
  for (const clip of clips) {
    const gap = subtract(clip.record.start, at);
    if (sign(gap) > 0) {
      if (items.length > 0) addTransition(at);
      items.push({ kind: 'gap', length: gap });
    }
    addTransition(clip.record.start);
    items.push({ kind: 'clip', clip });
    at = clip.record.end;
  }
  if (items.length > 0) addTransition(at);
  return items;
}

/** A gap at the end of the first lane where the timeline goes on after the last clip of all. */
function withTail(items: readonly LaneItem[], lanes: readonly Lane[], duration: Rational): readonly LaneItem[] {
  const longest = lanes
    .map((lane) => lengthOf(lane.items))
    .reduce((left, right) => (compare(left, right) < 0 ? right : left), ZERO);
  if (compare(duration, longest) <= 0 || isOutOfProportion(duration)) return items;
  return [...items, { kind: 'gap', length: subtract(duration, lengthOf(items)) }];
}

/** A lane ends with its last clip. */
function lengthOf(items: readonly LaneItem[]): Rational {
  const last = items.findLast((item) => item.kind === 'clip');
  return last === undefined ? ZERO : last.clip.record.end;
}
