/**
 * What the rules must look at after a key press inside one clip, and nothing more.
 *
 * The rules are run on a small context: the clip, the clips of all files that pairs tie to its own (before and after the
 * edit), and those cut alike with any of them. Every finding on one of the tied clips is told anew from it; all other
 * findings stand as they were. Where that is not certain the answer is null and everything is checked: findings that stand
 * for many clips, a picture that became another file, or files tied to so many clips that nothing is saved.
 *
 * A property test holds the result to checking everything. A rule that looks further than described here breaks it.
 */

import type { Reread } from '../formats/timelineFormat.ts';
import { compare } from '../time/rational.ts';
import type { Observation, Timeline } from '../timeline/model.ts';
import { type Shift, shiftClip, shiftSpan } from '../timeline/shiftTimeline.ts';
import { compareClips } from './compareClips.ts';
import type { Comparison } from './comparison.ts';
import { type AuditContext, type ResolvedClip, resolveClip, withTables } from './context.ts';
import type { Finding } from './finding.ts';
import { entriesPairedWith } from './neighbours.ts';
import { LARGEST_OVERLAP_COUNT, pairedOverlaps } from './pairedOverlaps.ts';
import { isRateToldOnce } from './rateMismatch.ts';
import { startKey } from './slipIndex.ts';

export interface NearContext {
  /** Its clips are numbered by themselves. */
  readonly context: AuditContext;
  /** The timeline's index of each clip of `context`. */
  readonly indices: readonly number[];
  /** Timeline indices of the clips whose findings are to be told anew. */
  readonly affected: ReadonlySet<number>;
}

/** Below this share of all clips the short way saves something. */
const LARGEST_SHARE = 1 / 4;

export function contextNear(base: AuditContext, text: string, reread: Reread): NearContext | null {
  const before = base.clips[reread.clip.index];
  if (before === undefined || base.overlaps.length >= LARGEST_OVERLAP_COUNT) return null;
  const after = resolveClip(base.alignment, reread.clip);
  const neighbours = base.neighbours();
  if (neighbours.isToldOnceForMany || isRateToldOnce(base, after)) return null;
  if (after.clip.role === 'picture' && after.picture !== before.picture) return null;
  const tied = [...entriesPairedWith(base, [before, after])].flatMap((entry) => neighbours.clipsByEntry.get(entry) ?? []);
  if (tied.length > base.clips.length * LARGEST_SHARE) return null;
  const affected = new Set([before.clip.index, ...tied.map(({ clip }) => clip.index)]);
  const looked = new Set(affected);
  for (const resolved of [before, ...tied]) {
    for (const { clip } of neighbours.clipsByStart.get(startKey(resolved)) ?? []) looked.add(clip.index);
  }
  const indices = [...looked].sort((left, right) => left - right);
  const clips = indices.map((index, at) => {
    const resolved = index === reread.clip.index ? after : shifted(base.clips[index] as ResolvedClip, reread.shift);
    return { ...resolved, clip: { ...resolved.clip, index: at } };
  });
  const timeline = smallTimeline(base.timeline, reread, clips, indices);
  const overlaps = pairedOverlaps(base.alignment, clips);
  const { settings, reports, alignment } = base;
  const comparisons = compareClips(timeline, overlaps, settings);
  const context = withTables({ text, timeline, settings, reports, alignment, clips, overlaps, comparisons });
  return { context, indices, affected };
}

/** A finding of the small context in the numbers of the timeline; null when it is about none of the affected clips. */
export function inTimeline(near: NearContext, finding: Finding): Finding | null {
  const clips = finding.clips.map((clip) => near.indices[clip] as number);
  return clips.some((clip) => near.affected.has(clip)) ? { ...finding, clips } : null;
}

/** All comparisons, those of the clip at `index` taken from the small context. In the order of `compareClips`. */
export function comparisonsAfter(base: AuditContext, near: NearContext, index: number): readonly Comparison[] {
  const isOthers = ({ pictureClip, soundClip }: Comparison): boolean => pictureClip !== index && soundClip !== index;
  const own = near.context.comparisons
    .map((comparison) => ({
      ...comparison,
      pictureClip: near.indices[comparison.pictureClip] as number,
      soundClip: near.indices[comparison.soundClip] as number,
    }))
    .filter((comparison) => !isOthers(comparison));
  return [...base.comparisons.filter(isOthers), ...own].sort(
    (left, right) =>
      compare(left.record.start, right.record.start) || left.pictureClip - right.pictureClip || left.soundClip - right.soundClip,
  );
}

/** A finding whose clips an edit does not concern, where it now stands. */
export function shiftFinding(finding: Finding, shift: Shift): Finding {
  if (shift.by === 0) return finding;
  const moved = <Placed extends Finding['place']>(place: Placed): Placed =>
    place.file === null ? { ...place, span: shiftSpan(place.span, shift) } : place;
  return { ...finding, place: moved(finding.place), related: finding.related.map(moved) };
}

function shifted(resolved: ResolvedClip, shift: Shift): ResolvedClip {
  return { ...resolved, clip: shiftClip(resolved.clip, shift) };
}

function smallTimeline(
  base: Timeline,
  { timeline, shift }: Reread,
  clips: readonly ResolvedClip[],
  indices: readonly number[],
): Timeline {
  const atOf = new Map(indices.map((index, at) => [index, at]));
  return {
    format: timeline.format,
    name: timeline.name,
    rate: timeline.rate,
    rateReason: timeline.rateReason,
    rateSpan: timeline.rateSpan,
    isDropFrame: timeline.isDropFrame,
    startFrame: timeline.startFrame,
    duration: timeline.duration,
    tracks: timeline.tracks,
    clips: clips.map(({ clip }) => clip),
    transitions: [],
    observations: base.observations.flatMap((observation) => observedNear(observation, atOf, shift)),
    acceptances: [],
    outline: [],
  };
}

/** What was noticed of one of the clips, under its new number; and of places without a clip where that silences a rule. */
function observedNear(observation: Observation, atOf: ReadonlyMap<number, number>, shift: Shift): readonly Observation[] {
  if (!('clip' in observation)) return [];
  const span = shiftSpan(observation.span, shift);
  if (observation.clip === null) return observation.kind === 'off-grid' ? [{ ...observation, span }] : [];
  const clip = atOf.get(observation.clip);
  return clip === undefined ? [] : [{ ...observation, span, clip }];
}
