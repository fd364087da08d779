/**
 * Two versions of one cut, held against each other: the single entry for the command line and the editor.
 *
 * Pure and deterministic. Both versions are audited before, against the same reports and settings, so that what differs is the
 * cut. A version that was only laid out anew, or written in another format that can hold it all, gives an empty review.
 */

import type { Audit } from '../audit.ts';
import type { Rate } from '../time/rate.ts';
import { equals, isZero, type Rational, ZERO } from '../time/rational.ts';
import type { Timeline } from '../timeline/model.ts';
import type { ClipChange } from './clipChange.ts';
import { changedClips } from './clipChanges.ts';
import { type FindingChanges, findingChanges } from './findingChanges.ts';
import { type ClipMatches, matchClips } from './matchClips.ts';
import { type MovedBlock, movedBlocks } from './movedBlocks.ts';
import { commonTracks, reviewClips, startDifference } from './reviewClip.ts';
import { type SyncReview, syncReview, type Version } from './syncChanges.ts';

export interface CutReview {
  readonly old: Audit;
  readonly now: Audit;
  /** What changed about the timeline as a whole. */
  readonly timeline: readonly TimelineChange[];
  readonly sync: SyncReview;
  readonly findings: FindingChanges;
  /** Clips that moved together and did nothing else. */
  readonly blocks: readonly MovedBlock[];
  /** All other changes of clips, in record order. */
  readonly clips: readonly ClipChange[];
  /** Clips of the new version that are as they were. */
  readonly unchangedClipCount: number;
}

export type TimelineChange =
  | { readonly kind: 'rate'; readonly old: Rate; readonly now: Rate }
  /** The record timecode of the first instant, in frames at each version's rate. */
  | { readonly kind: 'start'; readonly old: Rational; readonly now: Rational }
  | { readonly kind: 'counting'; readonly isDropFrame: boolean };

export function reviewCut(old: Audit, now: Audit): CutReview {
  const { before, after, matches, isStartMoved } = matchedVersions(old, now);
  const changed = changedClips(before.clips, after.clips, matches, old.timeline.format === now.timeline.format);
  const { blocks, rest } = movedBlocks(changed.changes, after.clips);
  const touched = changed.changes.reduce((sum, change) => sum + newClipCount(change), 0);
  return {
    old,
    now,
    timeline: timelineChanges(old.timeline, now.timeline, isStartMoved),
    sync: syncReview(before, after, changed),
    findings: findingChanges(old, now, changed.oldOf),
    blocks,
    clips: rest,
    unchangedClipCount: after.clips.length - touched,
  };
}

interface MatchedVersions {
  readonly before: Version;
  readonly after: Version;
  readonly matches: ClipMatches;
  /** True when the whole cut starts at another timecode and is otherwise where it was. */
  readonly isStartMoved: boolean;
}

/**
 * Record time counts from the timeline's first instant, so that a cut moved to another start timecode is the same cut. A list has no
 * such instant but its earliest event, which an edit may take away: there the timecode decides, unless more clips stand where they
 * stood when counted from the start.
 */
function matchedVersions(old: Audit, now: Audit): MatchedVersions {
  const byStart = matchedWithZero(old, now, ZERO);
  const difference = startDifference(old.timeline, now.timeline);
  if (difference === null || isZero(difference)) return { ...byStart, isStartMoved: false };
  const isList = old.timeline.format === 'edl' || now.timeline.format === 'edl';
  if (!isList) return { ...byStart, isStartMoved: true };
  const byTimecode = matchedWithZero(old, now, difference);
  return countInPlace(byStart) > countInPlace(byTimecode)
    ? { ...byStart, isStartMoved: true }
    : { ...byTimecode, isStartMoved: false };
}

function matchedWithZero(old: Audit, now: Audit, recordZero: Rational): Omit<MatchedVersions, 'isStartMoved'> {
  const [oldTracks, newTracks] = commonTracks(old.timeline.tracks, now.timeline.tracks);
  const before = { audit: old, clips: reviewClips(old.context.clips, { recordZero: ZERO, tracks: oldTracks }) };
  const after = { audit: now, clips: reviewClips(now.context.clips, { recordZero, tracks: newTracks }) };
  return { before, after, matches: matchClips(before.clips, after.clips) };
}

/** How many clips begin where they began. */
function countInPlace({ before, after, matches }: Omit<MatchedVersions, 'isStartMoved'>): number {
  let count = 0;
  for (const { clip, start } of after.clips) {
    const partner = before.clips[matches.oldOf[clip.index] as number];
    if (partner !== undefined && equals(partner.start, start)) count += 1;
  }
  return count;
}

/** True when nothing at all changed that the two versions say. */
export function isEmptyReview({ timeline, sync, findings, blocks, clips }: CutReview): boolean {
  const { appeared, gone, silenced } = findings;
  return [timeline, sync.changes, appeared, gone, silenced, blocks, clips].every((changes) => changes.length === 0);
}

function newClipCount(change: ClipChange): number {
  switch (change.kind) {
    case 'added':
      return 1;
    case 'removed':
      return 0;
    case 'changed':
      return 1 + change.pieces.length;
  }
}

function timelineChanges(old: Timeline, now: Timeline, isStartMoved: boolean): readonly TimelineChange[] {
  const changes: TimelineChange[] = [];
  if (!equals(old.rate, now.rate)) changes.push({ kind: 'rate', old: old.rate, now: now.rate });
  // At another rate the same label is another number of seconds, which the change of rate says already.
  if (isStartMoved && old.startFrame !== null && now.startFrame !== null && equals(old.rate, now.rate)) {
    changes.push({ kind: 'start', old: old.startFrame, now: now.startFrame });
  }
  if (old.isDropFrame !== now.isDropFrame) changes.push({ kind: 'counting', isDropFrame: now.isDropFrame });
  return changes;
}
