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

import { absolute, add, compare, equals, isZero, maximum, minimum, type Rational, subtract, ZERO } from '../time/rational.ts';
import { contentKey, hasSameSpeed, inRecordOrder, placeKey, type ReviewClip, syncKey } from './reviewClip.ts';

export interface ClipMatches {
  /** By index of the new clip: the index of the old one; -1 for none. */
  readonly oldOf: Int32Array;
  /** By index of the old clip: the index of the new one; -1 for none. */
  readonly newOf: Int32Array;
}

/** Neighbours looked at on either side when only the recording is the same. */
const NEIGHBOURS = 24;

interface Matching extends ClipMatches {
  /** By clip index. */
  readonly old: readonly ReviewClip[];
  readonly now: readonly ReviewClip[];
  /** In record order. */
  readonly ordered: { readonly old: readonly ReviewClip[]; readonly now: readonly ReviewClip[] };
  /** Clips the present passes are about that may still lack a partner, in record order. Shrinks from pass to pass. */
  readonly left: { old: readonly ReviewClip[]; now: readonly ReviewClip[] };
}

type KeyOf = (clip: ReviewClip) => string;

export function matchClips(old: readonly ReviewClip[], now: readonly ReviewClip[]): ClipMatches {
  const matches = { oldOf: new Int32Array(now.length).fill(-1), newOf: new Int32Array(old.length).fill(-1) };
  matchInPlace(matches, old, now);
  if (isComplete(matches)) return matches;
  const ordered = { old: inRecordOrder(old), now: inRecordOrder(now) };
  const matching = { ...matches, old, now, ordered };
  // Pictures to the end first: a sound is then looked for where its picture went, so that the two are never mixed up apart.
  matchLeft({ ...matching, left: { old: ordered.old.filter(isNoSound), now: ordered.now.filter(isNoSound) } });
  matchLeft({ ...matching, left: { ...ordered } });
  return matches;
}

function matchLeft(matching: Matching): void {
  matchByContent(matching);
  matchByOverlap(matching, (clip) => `${clip.track}|${contentKey(clip)}`, mediaOverlap);
  matchByOverlap(matching, contentKey, mediaOverlap);
  matchByOverlap(matching, syncKey, recordOverlap);
  matchByOverlap(matching, ({ media, track }) => `${media}|${track}`, mediaOverlap);
  matchByOverlap(matching, ({ media }) => media, mediaOverlap);
  matchByKey(matching, (clip) => `${clip.media}|${clip.track}|${placeKey(clip)}`);
  matchByOverlap(matching, ({ media, track }) => `${media}|${track}`, recordOverlap);
  matchByKey(matching, (clip) => `${clip.clip.role}|${clip.track}|${placeKey(clip)}`);
}

function isNoSound({ clip }: ReviewClip): boolean {
  return clip.role !== 'sound';
}

function isComplete({ oldOf, newOf }: ClipMatches): boolean {
  return !oldOf.includes(-1) && !newOf.includes(-1);
}

/** Pairs clips that stand at one place in both texts and are the same in all respects: nearly all of a cut, and no text is made. */
function matchInPlace(matches: ClipMatches, old: readonly ReviewClip[], now: readonly ReviewClip[]): void {
  for (let index = 0; index < Math.min(old.length, now.length); index += 1) {
    const before = old[index] as ReviewClip;
    const after = now[index] as ReviewClip;
    if (before.track !== after.track || before.media !== after.media || !hasSameSpeed(before.clip, after.clip)) continue;
    const isSame = equals(before.start, after.start) && equals(before.end, after.end) && equals(before.source, after.source);
    if (isSame) join(matches, before, after);
  }
}

/**
 * Pairs clips that show the same part of the same recording: first where they stood, then as far away as a neighbour moved. A shot
 * used three times must not be mixed up because the first of them went, and a sound goes where its picture went. Shots that stand
 * once on either side give the shifts.
 */
function matchByContent(matching: Matching): void {
  const { oldOf, newOf, ordered, now } = matching;
  if (leftInOrder(matching, 'old').length === 0 || leftInOrder(matching, 'now').length === 0) return;
  const groups = new Map<string, ContentGroup>();
  for (const clip of leftInOrder(matching, 'now')) {
    const key = contentKey(clip);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { now: [clip], oldCount: 0 });
    else group.now.push(clip);
  }
  /** Only old clips that have a candidate at all. */
  const groupOf = new Map<ReviewClip, ContentGroup>();
  for (const clip of leftInOrder(matching, 'old')) {
    const group = groups.get(contentKey(clip));
    if (group === undefined) continue;
    group.oldCount += 1;
    groupOf.set(clip, group);
  }
  const pairAt = (clip: ReviewClip, group: ContentGroup, start: Rational, isTrackKept: boolean): void => {
    if (newOf[clip.clip.index] !== -1) return;
    for (let at = firstFrom(group.now, start); at < group.now.length; at += 1) {
      const candidate = group.now[at] as ReviewClip;
      if (!equals(candidate.start, start)) return;
      if (oldOf[candidate.clip.index] !== -1 || (isTrackKept && candidate.track !== clip.track)) continue;
      join(matching, clip, candidate);
      return;
    }
  };
  const pairByNeighbours = (isTrackKept: boolean): void => {
    for (const clips of [ordered.old, ordered.old.toReversed()]) {
      let neighbour: ReviewClip | null = null;
      let moved: ReviewClip | null = null;
      for (const clip of clips) {
        const group = newOf[clip.clip.index] === -1 ? groupOf.get(clip) : undefined;
        if (neighbour !== null && moved !== null && group !== undefined) {
          pairAt(clip, group, add(clip.start, subtract(moved.start, neighbour.start)), isTrackKept);
        }
        const partner = now[newOf[clip.clip.index] as number];
        if (partner === undefined) continue;
        neighbour = clip;
        moved = partner;
      }
    }
  };
  for (const isTrackKept of [true, false]) {
    for (const [clip, group] of groupOf) pairAt(clip, group, clip.start, isTrackKept);
  }
  pairByNeighbours(true);
  for (const [clip, { now: candidates, oldCount }] of groupOf) {
    const [partner] = candidates;
    if (partner === undefined || candidates.length > 1 || oldCount > 1 || partner.track !== clip.track) continue;
    if (newOf[clip.clip.index] === -1 && oldOf[partner.clip.index] === -1) join(matching, clip, partner);
  }
  pairByNeighbours(true);
  pairByNeighbours(false);
}

/** Clips without a partner that show the same part of the same recording. */
interface ContentGroup {
  /** In record order. */
  readonly now: ReviewClip[];
  oldCount: number;
}

/** Pairs clips of equal keys in record order. */
function matchByKey(matching: Matching, keyOf: KeyOf): void {
  const waiting = groupLeft(matching, 'now', keyOf);
  if (waiting.size === 0) return;
  for (const clip of leftInOrder(matching, 'old')) {
    const partner = waiting.get(keyOf(clip))?.shift();
    if (partner !== undefined) join(matching, clip, partner);
  }
}

/**
 * Pairs clips of equal keys, likest first; never two that are not alike at all. Where a clip is looked for depends on how far the
 * clip before it moved.
 */
function matchByOverlap(matching: Matching, keyOf: KeyOf, commonOf: (old: ReviewClip, now: ReviewClip) => Rational): void {
  const newGroups = groupLeft(matching, 'now', keyOf);
  const oldGroups = groupLeft(matching, 'old', keyOf);
  let shifts: ReadonlyMap<number, Rational> | null = null;
  for (const [key, olds] of oldGroups) {
    const news = newGroups.get(key);
    if (news === undefined) continue;
    shifts ??= localShifts(matching);
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
function localShifts({ ordered, now, newOf }: Matching): ReadonlyMap<number, Rational> {
  const shifts = new Map<number, Rational>();
  const shiftOf = (clip: ReviewClip, partner: ReviewClip): Rational => subtract(partner.start, clip.start);
  const partnerOf = ({ clip }: ReviewClip): ReviewClip | undefined => now[newOf[clip.index] as number];
  let neighbour = ordered.old.find((clip) => partnerOf(clip) !== undefined);
  for (const clip of ordered.old) {
    if (partnerOf(clip) !== undefined) neighbour = clip;
    else if (neighbour !== undefined) shifts.set(clip.clip.index, shiftOf(neighbour, partnerOf(neighbour) as ReviewClip));
  }
  return shifts;
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

function join({ oldOf, newOf }: ClipMatches, old: ReviewClip, now: ReviewClip): void {
  oldOf[now.clip.index] = old.clip.index;
  newOf[old.clip.index] = now.clip.index;
}

function groupLeft(matching: Matching, side: 'old' | 'now', keyOf: KeyOf): Map<string, ReviewClip[]> {
  const groups = new Map<string, ReviewClip[]>();
  for (const clip of leftInOrder(matching, side)) append(groups, keyOf(clip), clip);
  return groups;
}

function append(groups: Map<string, ReviewClip[]>, key: string, clip: ReviewClip): void {
  const group = groups.get(key);
  if (group === undefined) groups.set(key, [clip]);
  else group.push(clip);
}

function leftInOrder(matching: Matching, side: 'old' | 'now'): readonly ReviewClip[] {
  const partners = side === 'old' ? matching.newOf : matching.oldOf;
  matching.left[side] = matching.left[side].filter(({ clip }) => partners[clip.index] === -1);
  return matching.left[side];
}
