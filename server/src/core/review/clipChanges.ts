/**
 * All clips that changed between two versions, with clips that were cut up or put together again seen as what they are.
 */

import { add, compare, equals, maximum, minimum, type Rational, subtract, ZERO } from '../time/rational.ts';
import { type ChangePart, type ClipChange, changeParts } from './clipChange.ts';
import type { ClipMatches } from './matchClips.ts';
import { type ReviewClip, syncKey } from './reviewClip.ts';

export interface ChangedClips {
  /** In record order of the new version; what is gone stands where it was. */
  readonly changes: readonly ClipChange[];
  /** By index of a new clip: the index of the old clip it is, or is a part of; -1 for none. */
  readonly oldOf: Int32Array;
  /** By index of an old clip: the index of the new clip it is, or went into; -1 for none. */
  readonly newOf: Int32Array;
}

export function changedClips(
  old: readonly ReviewClip[],
  now: readonly ReviewClip[],
  matches: ClipMatches,
  isSameFormat: boolean,
): ChangedClips {
  const oldOf = matches.oldOf.slice();
  const newOf = matches.newOf.slice();
  const pieces = collectParts(old, now, matches.oldOf, matches.newOf);
  const joined = collectParts(now, old, matches.newOf, matches.oldOf);
  for (const [whole, parts] of pieces) for (const { clip } of parts) oldOf[clip.index] = whole;
  for (const [whole, parts] of joined) for (const { clip } of parts) newOf[clip.index] = whole;
  const changes: ClipChange[] = [];
  for (const clip of now) {
    const oldIndex = matches.oldOf[clip.clip.index] as number;
    if (oldIndex === -1) {
      if (oldOf[clip.clip.index] === -1) changes.push({ kind: 'added', now: clip });
      continue;
    }
    const before = old[oldIndex] as ReviewClip;
    const ownPieces = pieces.get(oldIndex) ?? [];
    const ownJoined = joined.get(clip.clip.index) ?? [];
    const parts: ChangePart[] = [
      ...splitParts(clip, ownPieces),
      ...joinedParts(before, ownJoined),
      ...changeParts(spanning(before, ownJoined), spanning(clip, ownPieces), isSameFormat),
    ];
    if (parts.length > 0) changes.push({ kind: 'changed', old: before, now: clip, pieces: ownPieces, joined: ownJoined, parts });
  }
  for (const clip of old) {
    if (newOf[clip.clip.index] === -1) changes.push({ kind: 'removed', old: clip });
  }
  return { changes: changes.sort(byRecord), oldOf, newOf };
}

/** The clip of a change as it stands now; as it stood, when it is gone. */
export function shownClip(change: ClipChange): ReviewClip {
  return change.kind === 'removed' ? change.old : change.now;
}

/**
 * Clips of `parts` that nothing was found for, although a matched clip of the other version covers them with the same recording in
 * the same sync on the same track: what a cut through a clip leaves. By index of the covering clip.
 */
function collectParts(
  wholes: readonly ReviewClip[],
  parts: readonly ReviewClip[],
  wholeOf: Int32Array,
  partOf: Int32Array,
): ReadonlyMap<number, readonly ReviewClip[]> {
  const found = new Map<number, ReviewClip[]>();
  const left = parts.filter(({ clip }) => wholeOf[clip.index] === -1);
  if (left.length === 0) return found;
  const bySync = new Map<string, ReviewClip[]>();
  for (const whole of wholes) {
    if (partOf[whole.clip.index] === -1 || whole.clip.speed.kind !== 'constant') continue;
    const group = bySync.get(syncKey(whole));
    if (group === undefined) bySync.set(syncKey(whole), [whole]);
    else group.push(whole);
  }
  for (const part of left) {
    const whole = bySync
      .get(syncKey(part))
      ?.find((candidate) => compare(candidate.start, part.start) <= 0 && compare(part.end, candidate.end) <= 0);
    if (whole === undefined) continue;
    const known = found.get(whole.clip.index);
    if (known === undefined) found.set(whole.clip.index, [part]);
    else known.push(part);
  }
  for (const [index, group] of found) {
    group.sort((left, right) => compare(left.start, right.start));
    const partner = parts[partOf[index] as number];
    // The matched clip has to be a part of the whole too; else the whole was moved and another clip stands in its place.
    if (partner === undefined || syncKey(partner) !== syncKey(wholes[index] as ReviewClip)) found.delete(index);
  }
  return found;
}

function splitParts(clip: ReviewClip, pieces: readonly ReviewClip[]): readonly ChangePart[] {
  return pieces.length === 0 ? [] : [{ kind: 'split', into: pieces.length + 1, without: gapsBetween(clip, pieces) }];
}

function joinedParts(clip: ReviewClip, joined: readonly ReviewClip[]): readonly ChangePart[] {
  return joined.length === 0 ? [] : [{ kind: 'joined', from: joined.length + 1, filled: gapsBetween(clip, joined) }];
}

/** Record time between the first head and the last tail that no part covers. Parts of one track may overlap; then none is left. */
function gapsBetween(clip: ReviewClip, further: readonly ReviewClip[]): Rational {
  const ordered = [clip, ...further].sort((left, right) => compare(left.start, right.start));
  let gaps = ZERO;
  let reached = ordered[0]?.end ?? ZERO;
  for (const { start, end } of ordered) {
    if (compare(start, reached) > 0) gaps = add(gaps, subtract(start, reached));
    reached = maximum(reached, end);
  }
  return gaps;
}

/** A clip with its further parts as one, from the first head to the last tail. */
function spanning(clip: ReviewClip, further: readonly ReviewClip[]): ReviewClip {
  if (further.length === 0) return clip;
  const start = further.reduce((least, other) => minimum(least, other.start), clip.start);
  const end = further.reduce((greatest, other) => maximum(greatest, other.end), clip.end);
  if (equals(start, clip.start)) return { ...clip, end };
  const first = further.find((other) => equals(other.start, start)) ?? clip;
  return { ...clip, start, end, source: first.source };
}

function byRecord(left: ClipChange, right: ClipChange): number {
  const leftClip = shownClip(left);
  const rightClip = shownClip(right);
  return (
    compare(leftClip.start, rightClip.start) || leftClip.track - rightClip.track || leftClip.clip.index - rightClip.clip.index
  );
}
