/**
 * The slip that puts a sound clip right: which clips move, by how much, onto which step, and whether that is safe.
 *
 * To slip is to move which part of its media a clip shows; its place and length stay. The sound moves, never the picture.
 * The new start is rounded so that sound may lag by less than one step but never lead (common practice: if it cannot be
 * exact, let sound lag). Clips that play the same moment of the same recording at the same place, its channels on several
 * tracks, move together, since channels out of step are worse than all of them late.
 */

import type { SoundEntry } from '../alignment/model.ts';
import type { Grid } from '../alignment/settings.ts';
import { toleranceInSeconds } from '../alignment/tolerance.ts';
import type { Change } from '../formats/timelineFormat.ts';
import { amountInFrames, amountOfTime } from '../text/words.ts';
import { countToSeconds, secondsToCount } from '../time/rate.ts';
import {
  add,
  compare,
  equals,
  formatExactDecimal,
  isInteger,
  isZero,
  minimum,
  multiply,
  type Rational,
  rational,
  sign,
  subtract,
} from '../time/rational.ts';
import { hasOneLag, verdictOf } from './compareClips.ts';
import type { Comparison } from './comparison.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import type { Fix } from './finding.ts';
import { FINEST_DECIMAL, floorTo, floorToGrid, gridStep, unitStep } from './gridStep.ts';
import { mediaRange } from './mediaRange.ts';
import { hasRateConflict } from './rateMismatch.ts';
import { hasSampleRateConflict } from './sampleRateMismatch.ts';
import { startKey } from './slipIndex.ts';

export interface Slip {
  readonly changes: readonly Change[];
  /** Seconds by which the sound is heard later (positive) or earlier (negative) than now. */
  readonly heardLater: Rational;
  readonly clips: readonly number[];
  readonly isSafe: boolean;
}

/** The slip for a sound clip, worked out over all its comparisons; null when no slip puts it right. */
function slipFor(context: AuditContext, soundClip: number): Slip | null {
  const moving = clipsMovingWith(context, soundClip);
  if (moving === null) return null;
  const comparisons = moving.flatMap((clip) => context.comparisonsBySoundClip().get(clip) ?? []);
  const out = comparisons.filter((comparison) => comparison.verdict !== 'in');
  if (out.length === 0 || !comparisons.every((comparison) => runsAlike(context, comparison))) return null;
  // One start serves every picture the clip lies under, so first try all of them, then only those that are out.
  for (const considered of [comparisons, out]) {
    for (const grid of gridsToTry(context, soundClip)) {
      const slip = slipOnGrid(context, moving, considered, comparisons, grid);
      if (slip !== null) return slip;
    }
  }
  return null;
}

/** The slip of one clip as a fix. */
export function slipFix(context: AuditContext, soundClip: number): Fix | null {
  const slip = slipFor(context, soundClip);
  if (slip === null) return null;
  const name = context.timeline.clips[soundClip]?.name ?? '';
  const others = slip.clips.length - 1;
  const channels = others > 0 ? ` and ${others === 1 ? 'the other channel' : `${others} other channels`} of it` : '';
  return {
    title: `Slip ${quoted(name)}${channels} to be heard ${amountInFrames(slip.heardLater, context.timeline.rate)} (${amountOfTime(slip.heardLater)}) ${sign(slip.heardLater) < 0 ? 'earlier' : 'later'}`,
    isSafe: slip.isSafe,
    isPreferred: slip.isSafe,
    changes: slip.changes,
  };
}

/**
 * The slips of every clip of one recording that is out, as one fix. Null when `soundClip` itself can't be slipped, or is the
 * only one. Clips that no slip puts right are left, and counted in the title.
 */
export function slipRecordingFix(context: AuditContext, sound: SoundEntry, soundClip: number): Fix | null {
  const done = new Set<number>();
  const slips: Slip[] = [];
  let left = 0;
  for (const comparison of context.comparisons) {
    if (comparison.pair.sound !== sound || comparison.verdict === 'in' || done.has(comparison.soundClip)) continue;
    const slip = slipFor(context, comparison.soundClip);
    if (slip === null) {
      done.add(comparison.soundClip);
      left += 1;
      continue;
    }
    for (const clip of slip.clips) done.add(clip);
    slips.push(slip);
  }
  if (slips.length < 2 || !slips.some((slip) => slip.clips.includes(soundClip))) return null;
  const which = left === 0 ? `all ${slips.length} clips` : `${slips.length} of ${slips.length + left} clips`;
  return {
    title: `Slip ${which} of ${sound.key} that are out, each to where the report puts it`,
    isSafe: slips.every((slip) => slip.isSafe),
    isPreferred: false,
    changes: slips.flatMap((slip) => slip.changes),
  };
}

/** Sound and picture at one speed: where they are not, moving the start only moves the error. */
function runsAlike(context: AuditContext, comparison: Comparison): boolean {
  const picture = context.timeline.clips[comparison.pictureClip];
  const sound = context.timeline.clips[comparison.soundClip];
  if (picture === undefined || sound === undefined || !hasOneLag(picture) || !hasOneLag(sound)) return false;
  return picture.speed.kind === 'constant' && sound.speed.kind === 'constant' && equals(picture.speed.scalar, sound.speed.scalar);
}

/**
 * The clip, its other channels, and whatever shares characters with them. Null when that takes in a clip that must not
 * move: a picture, or another recording on the same event line.
 */
function clipsMovingWith(context: AuditContext, soundClip: number): readonly number[] | null {
  const self = context.clips[soundClip];
  if (self === undefined || self.sound === null) return null;
  const index = context.slipIndex();
  const channels = (index.bySoundAndStart.get(self.sound)?.get(startKey(self)) ?? []).filter((other) =>
    isSameMoment(self, other),
  );
  const moving = new Set(channels.map((channel) => channel.clip.index));
  for (const { clip } of channels) {
    if (clip.start === null) return null;
    if ((index.byTextGroup.get(clip.textGroup) ?? []).some((other) => !moving.has(other.clip.index))) return null;
  }
  return [...moving];
}

function isSameMoment(self: ResolvedClip, other: ResolvedClip): boolean {
  return equals(other.clip.record.end, self.clip.record.end) && equals(other.mediaStart, self.mediaStart);
}

/** The grid asked for; else whole counts for a clip that is on whole counts now, then, where that is too coarse, exact. */
function gridsToTry(context: AuditContext, soundClip: number): readonly (Grid | 'count' | 'exact')[] {
  if (context.settings.grid !== null) return [context.settings.grid];
  const start = context.timeline.clips[soundClip]?.start;
  return start !== null && start !== undefined && isInteger(start.count) ? ['count', 'exact'] : ['exact'];
}

function slipOnGrid(
  context: AuditContext,
  moving: readonly number[],
  considered: readonly Comparison[],
  all: readonly Comparison[],
  grid: Grid | 'count' | 'exact',
): Slip | null {
  const leastLag = considered
    .flatMap((comparison) => [comparison.lag.head, comparison.lag.tail])
    .reduce((least, lag) => minimum(least, lag));
  const changes: Change[] = [];
  let moved: Rational | null = null;
  let isInside = true;
  for (const index of moving) {
    const resolved = context.clips[index];
    const start = resolved?.clip.start;
    if (resolved === undefined || start === null || start === undefined) return null;
    const count = newStart(context, index, add(start.count, secondsToCount(leastLag, start.rate)), grid);
    const by = countToSeconds(subtract(count, start.count), start.rate);
    // Channels written in different units would land on different steps and come apart.
    if (isZero(by) || (moved !== null && !equals(moved, by))) return null;
    moved = by;
    changes.push({ kind: 'set-source-start', clip: index, count });
    isInside &&= staysInside(resolved, by);
  }
  if (moved === null || !settles(context, considered, moved)) return null;
  return {
    changes,
    heardLater: multiply(moved, rational(-1)),
    clips: moving,
    isSafe: isInside && settles(context, all, moved) && !all.some((comparison) => hasWrongRate(context, comparison)),
  };
}

/** With a wrong rate the lag is its consequence: a slip would have to be undone when the rate is put right. */
function hasWrongRate(context: AuditContext, comparison: Comparison): boolean {
  const picture = context.clips[comparison.pictureClip];
  const sound = context.clips[comparison.soundClip];
  if (picture === undefined || sound === undefined) return true;
  return hasRateConflict(context, picture) || hasRateConflict(context, sound) || hasSampleRateConflict(sound);
}

/** True when every comparison is in once the sound starts `moved` seconds later in its media. */
function settles(context: AuditContext, comparisons: readonly Comparison[], moved: Rational): boolean {
  return comparisons.every((comparison) => {
    const tolerance = toleranceInSeconds(context.settings.tolerance, context.timeline.rate, comparison.pair.sound.sampleRate);
    const lag = { head: subtract(comparison.lag.head, moved), tail: subtract(comparison.lag.tail, moved) };
    return verdictOf(lag, tolerance) === 'in';
  });
}

/** The largest count on the grid that does not make the sound lead. */
function newStart(context: AuditContext, clip: number, target: Rational, grid: Grid | 'count' | 'exact'): Rational {
  const step = grid === 'exact' ? null : grid === 'count' ? rational(1) : gridStep(context, clip, grid);
  const count = floorToGrid(target, step, unitStep(context, clip));
  return formatExactDecimal(count) === null ? floorTo(count, FINEST_DECIMAL) : count;
}

function staysInside(resolved: ResolvedClip, moved: Rational): boolean {
  const range = mediaRange(resolved);
  if (range === null || sign(add(range.start, moved)) < 0) return false;
  return range.fileEnd === null || compare(add(range.end, moved), range.fileEnd) <= 0;
}

function quoted(name: string): string {
  return name === '' ? 'the clip' : `'${name}'`;
}
