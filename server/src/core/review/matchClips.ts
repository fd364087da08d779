/**
 * Which clip of the new version is which clip of the old one.
 *
 * Passes from certain to likely, each over what the ones before left: the same everything; the same part of the same recording
 * somewhere else, as far away as its neighbours moved; the same sync, with other ends; nearly the same part of the recording;
 * the same place, showing another part; the same place with another recording. What is left was added or removed. What a clip
 * shows counts before where it stands: after an insert, other shots of the same file stand in its place.
 *
 * Each pass is a look-up by a text key, so ten thousand clips cost little beside reading them. Only the pass by overlap looks
 * at several candidates, and at no more than a fixed number of neighbours.
 */

import {
  absolute,
  add,
  compare,
  equals,
  formatRational,
  isZero,
  maximum,
  minimum,
  type Rational,
  subtract,
  ZERO,
} from '../time/rational.ts';
import type { ReviewClip } from './reviewClip.ts';

export interface ClipMatches {
  /** By index of the new clip: the index of the old one; -1 for none. */
  readonly oldOf: Int32Array;
  /** By index of the old clip: the index of the new one; -1 for none. */
  readonly newOf: Int32Array;
}

/** Neighbours looked at on either side when only the recording is the same. */
const NEIGHBOURS = 24;

interface Matching extends ClipMatches {
  readonly old: readonly ReviewClip[];
  readonly now: readonly ReviewClip[];
  /** Which clips the present passes are about; the others are neighbours only. */
  readonly isMeant: (clip: ReviewClip) => boolean;
}

type KeyOf = (clip: ReviewClip) => string;

export function matchClips(old: readonly ReviewClip[], now: readonly ReviewClip[]): ClipMatches {
  const matching: Matching = {
    old,
    now,
    oldOf: new Int32Array(now.length).fill(-1),
    newOf: new Int32Array(old.length).fill(-1),
    isMeant: () => true,
  };
  const exactKey: KeyOf = (clip) => `${contentKey(clip)}|${clip.track}|${clip.keys.start}`;
  matchByKey(matching, exactKey);
  if (isComplete(matching)) return matching;
  // Pictures to the end first: a sound is then looked for where its picture went, so that the two are never mixed up apart.
  matchLeft(matching, isNoSound);
  matchLeft(matching, () => true);
  return matching;
}

function matchLeft(everything: Matching, isMeant: (clip: ReviewClip) => boolean): void {
  const matching: Matching = { ...everything, isMeant };
  const onTrack: KeyOf = (clip) => `${contentKey(clip)}|${clip.track}`;
  matchByKey(matching, (clip) => `${contentKey(clip)}|${clip.keys.start}`);
  matchByNeighbours(matching, onTrack);
  matchUnique(matching, onTrack);
  matchByNeighbours(matching, onTrack);
  matchByNeighbours(matching, contentKey);
  matchByKey(matching, onTrack);
  matchByKey(matching, contentKey);
  matchByOverlap(matching, ({ media, track, keys }) => `${media}|${track}|${keys.speed}|${keys.sync}`, recordOverlap);
  matchByOverlap(matching, ({ media, track }) => `${media}|${track}`, mediaOverlap);
  matchByOverlap(matching, ({ media }) => media, mediaOverlap);
  matchByKey(matching, ({ media, track, keys }) => `${media}|${track}|${keys.start}|${keys.end}`);
  matchByKey(matching, ({ clip, track, keys }) => `${clip.role}|${track}|${keys.start}|${keys.end}`);
}

function isNoSound({ clip }: ReviewClip): boolean {
  return clip.role !== 'sound';
}

/** The part of the recording a clip shows, and how fast. */
function contentKey({ media, keys }: ReviewClip): string {
  return `${media}|${keys.source}|${keys.length}|${keys.speed}`;
}

function isComplete({ oldOf, newOf }: Matching): boolean {
  return !oldOf.includes(-1) && !newOf.includes(-1);
}

/** Pairs clips of equal keys in record order. */
function matchByKey(matching: Matching, keyOf: KeyOf): void {
  const waiting = groupLeft(matching, 'now', keyOf);
  for (const clip of leftInOrder(matching, 'old')) {
    const partner = waiting.get(keyOf(clip))?.shift();
    if (partner !== undefined) join(matching, clip, partner);
  }
}

/** Pairs clips whose key stands once on either side. */
function matchUnique(matching: Matching, keyOf: KeyOf): void {
  const newGroups = groupLeft(matching, 'now', keyOf);
  for (const [key, [clip, ...others]] of groupLeft(matching, 'old', keyOf)) {
    const [partner, ...rivals] = newGroups.get(key) ?? [];
    if (clip !== undefined && partner !== undefined && others.length + rivals.length === 0) join(matching, clip, partner);
  }
}

/**
 * Pairs clips of equal keys that moved as far as a neighbour did. A shot used three times must not be mixed up because the first of
 * them went, and a sound goes where its picture went.
 */
function matchByNeighbours(matching: Matching, keyOf: KeyOf): void {
  const placeKey = (clip: ReviewClip, start: string): string => `${keyOf(clip)}|${start}`;
  const waiting = groupLeft(matching, 'now', (clip) => placeKey(clip, clip.keys.start));
  if (waiting.size === 0) return;
  const ordered = inOrder(matching.old);
  for (const clips of [ordered, ordered.toReversed()]) {
    let shift: Rational | null = null;
    for (const clip of clips) {
      if (matching.newOf[clip.clip.index] === -1 && shift !== null && matching.isMeant(clip)) {
        const partner = waiting.get(placeKey(clip, formatRational(add(clip.start, shift))))?.shift();
        if (partner !== undefined) join(matching, clip, partner);
      }
      shift = shiftOf(matching, clip) ?? shift;
    }
  }
}

/**
 * Pairs clips of equal keys, likest first; never two that are not alike at all. Where a clip is looked for depends on how far the
 * clip before it moved.
 */
function matchByOverlap(matching: Matching, keyOf: KeyOf, commonOf: (old: ReviewClip, now: ReviewClip) => Rational): void {
  const newGroups = groupLeft(matching, 'now', keyOf);
  const oldGroups = groupLeft(matching, 'old', keyOf);
  if (oldGroups.size === 0 || newGroups.size === 0) return;
  const shifts = localShifts(matching);
  for (const [key, olds] of oldGroups) {
    const news = newGroups.get(key);
    if (news === undefined) continue;
    const candidates: Candidate[] = [];
    for (const old of olds) {
      const expected = add(old.start, shifts.get(old.clip.index) ?? ZERO);
      const from = firstFrom(news, expected);
      for (const now of news.slice(Math.max(0, from - NEIGHBOURS), from + NEIGHBOURS)) {
        const common = commonOf(old, now);
        if (common.numerator > 0) candidates.push(candidateOf(old, now, expected, common));
      }
    }
    candidates.sort(byLikeness);
    for (const { old, now } of candidates) {
      if (matching.newOf[old.clip.index] === -1 && matching.oldOf[now.clip.index] === -1) join(matching, old, now);
    }
  }
}

interface Candidate {
  readonly old: ReviewClip;
  readonly now: ReviewClip;
  /** True when its head or its tail is where the clip before it makes one expect it. */
  readonly isInPlace: boolean;
  /** Seconds of what they have in common. */
  readonly common: Rational;
  /** Seconds of record time from where the head is expected. */
  readonly distance: Rational;
}

function candidateOf(old: ReviewClip, now: ReviewClip, expected: Rational, common: Rational): Candidate {
  const distance = absolute(subtract(now.start, expected));
  const isInPlace = isZero(distance) || equals(now.end, add(expected, subtract(old.end, old.start)));
  return { old, now, isInPlace, common, distance };
}

function byLikeness(left: Candidate, right: Candidate): number {
  return (
    Number(right.isInPlace) - Number(left.isInPlace) ||
    compare(right.common, left.common) ||
    compare(left.distance, right.distance)
  );
}

/** How far the clips before them moved, for old clips that have no partner yet; by index. The clips after count for the first ones. */
function localShifts(matching: Matching): ReadonlyMap<number, Rational> {
  const shifts = new Map<number, Rational>();
  const ordered = inOrder(matching.old);
  let last = ordered.map((clip) => shiftOf(matching, clip)).find((shift) => shift !== null) ?? ZERO;
  for (const clip of ordered) {
    const shift = shiftOf(matching, clip);
    if (shift === null) shifts.set(clip.clip.index, last);
    else last = shift;
  }
  return shifts;
}

/** Record time by which a clip moved; null while it has no partner. */
function shiftOf({ now, newOf }: Matching, clip: ReviewClip): Rational | null {
  const partner = now[newOf[clip.clip.index] as number];
  return partner === undefined ? null : subtract(partner.start, clip.start);
}

/** The first of `clips`, which are in record order, that begins at `record` or later. */
function firstFrom(clips: readonly ReviewClip[], record: Rational): number {
  let low = 0;
  let high = clips.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (compare((clips[middle] as ReviewClip).start, record) < 0) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Record time both stand on; negative for none. */
function recordOverlap(old: ReviewClip, now: ReviewClip): Rational {
  return subtract(minimum(old.end, now.end), maximum(old.start, now.start));
}

/** Media time both show; counted at normal speed, which is near enough to choose by. */
function mediaOverlap(old: ReviewClip, now: ReviewClip): Rational {
  const oldEnd = add(old.source, subtract(old.end, old.start));
  const newEnd = add(now.source, subtract(now.end, now.start));
  return subtract(minimum(oldEnd, newEnd), maximum(old.source, now.source));
}

function join({ oldOf, newOf }: Matching, old: ReviewClip, now: ReviewClip): void {
  oldOf[now.clip.index] = old.clip.index;
  newOf[old.clip.index] = now.clip.index;
}

function groupLeft(matching: Matching, side: 'old' | 'now', keyOf: KeyOf): Map<string, ReviewClip[]> {
  const groups = new Map<string, ReviewClip[]>();
  for (const clip of leftInOrder(matching, side)) {
    const key = keyOf(clip);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [clip]);
    else group.push(clip);
  }
  return groups;
}

function leftInOrder(matching: Matching, side: 'old' | 'now'): readonly ReviewClip[] {
  const partners = side === 'old' ? matching.newOf : matching.oldOf;
  return inOrder(matching[side].filter((clip) => partners[clip.clip.index] === -1 && matching.isMeant(clip)));
}

/** By record start; of clips that begin together, pictures before their sounds. */
function inOrder(clips: readonly ReviewClip[]): readonly ReviewClip[] {
  return clips.toSorted(
    (left, right) =>
      compare(left.start, right.start) ||
      Number(left.clip.role !== 'picture') - Number(right.clip.role !== 'picture') ||
      left.clip.index - right.clip.index,
  );
}
