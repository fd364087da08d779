/**
 * The comparisons of an audit: every enabled picture clip with every enabled sound clip of its pair that overlaps it.
 *
 * Lag depends on source minus record, not on in points, so L- and J-cuts, cutaways and multicam stacks come out right
 * without being known as such. Clips at a speed that runs backwards, stands still or is not known have no single lag and
 * are left to the rule speed-mismatch.
 *
 * Cost: clips are grouped by recording and swept in record order, so clips of other pairs are never looked at.
 */

import { type Alignment, pairsOfSound } from '../alignment/lookup.ts';
import type { Pair, PictureEntry, SoundEntry } from '../alignment/model.ts';
import { mapPictureToSound } from '../alignment/pairLine.ts';
import type { Settings } from '../alignment/settings.ts';
import { type ExactTolerance, toleranceInSeconds } from '../alignment/tolerance.ts';
import type { Rate } from '../time/rate.ts';
import { add, compare, isOne, multiply, negate, type Rational, sign, subtract } from '../time/rational.ts';
import type { Clip, Timeline, TimeRange } from '../timeline/model.ts';
import type { Comparison, Lag, Verdict } from './comparison.ts';
import type { ResolvedClip } from './context.ts';

/** Past this many overlaps the rest is left out, and said: it takes a list that repeats itself to get there. */
export const LARGEST_OVERLAP_COUNT = 200_000;

export function compareClips(timeline: Timeline, overlaps: readonly PairedOverlap[], settings: Settings): readonly Comparison[] {
  const comparisons: Comparison[] = [];
  const toleranceOf = tolerancesBySampleRate(settings, timeline.rate);
  for (const overlap of overlaps) {
    if (!hasOneLag(overlap.picture.clip) || !hasOneLag(overlap.sound.clip)) continue;
    const lag = lagOver(overlap);
    comparisons.push({
      pair: overlap.pair,
      pictureClip: overlap.picture.clip.index,
      soundClip: overlap.sound.clip.index,
      record: overlap.record,
      lag,
      verdict: verdictOf(lag, toleranceOf(overlap.pair.sound.sampleRate)),
    });
  }
  return comparisons.sort(
    (left, right) =>
      compare(left.record.start, right.record.start) || left.pictureClip - right.pictureClip || left.soundClip - right.soundClip,
  );
}

/** A tolerance in samples depends on the recording; one in frames or milliseconds is the same for all. */
export function tolerancesBySampleRate(settings: Settings, frameRate: Rate): (sampleRate: Rate) => ExactTolerance {
  const known = new Map<Rate, ExactTolerance>();
  return (sampleRate) => {
    let exact = known.get(sampleRate);
    if (exact === undefined) {
      exact = toleranceInSeconds(settings.tolerance, frameRate, sampleRate);
      known.set(sampleRate, exact);
    }
    return exact;
  };
}

export interface PairedOverlap {
  readonly pair: Pair;
  readonly picture: ResolvedClip;
  readonly sound: ResolvedClip;
  readonly record: TimeRange;
}

/**
 * Every overlap of an enabled picture clip with an enabled sound clip of its pair, whatever their speeds; the first
 * `LARGEST_OVERLAP_COUNT` of them.
 */
export function pairedOverlaps(alignment: Alignment, clips: readonly ResolvedClip[]): readonly PairedOverlap[] {
  const overlaps: PairedOverlap[] = [];
  const picturesByEntry = new Map<PictureEntry, ResolvedClip[]>();
  const soundsByEntry = new Map<SoundEntry, ResolvedClip[]>();
  for (const resolved of clips) {
    const { clip } = resolved;
    if (!clip.isEnabled || clip.doubt !== null) continue;
    if (clip.role === 'picture' && resolved.picture !== null) append(picturesByEntry, resolved.picture, resolved);
    if (clip.role === 'sound' && resolved.sound !== null) append(soundsByEntry, resolved.sound, resolved);
  }
  for (const group of picturesByEntry.values()) group.sort(byRecordStart);
  for (const [entry, sounds] of soundsByEntry) {
    sounds.sort(byRecordStart);
    for (const pair of pairsOfSound(alignment, entry)) {
      addOverlaps(overlaps, pair, picturesByEntry.get(pair.picture) ?? [], sounds);
    }
  }
  return overlaps;
}

/** Lag at both ends of an overlap: s(p) - a. */
export function lagOver(overlap: PairedOverlap): Lag {
  const head = lagAt(overlap, overlap.record.start);
  const isParallel = sign(overlap.pair.driftPpm) === 0 && isUnitSpeed(overlap.picture.clip) && isUnitSpeed(overlap.sound.clip);
  return { head, tail: isParallel ? head : lagAt(overlap, overlap.record.end) };
}

/** Media time of a clip at a record instant. The clip's speed must be known. */
export function mediaTimeAt(resolved: ResolvedClip, record: Rational): Rational {
  const { clip } = resolved;
  const offset = subtract(record, clip.record.start);
  if (clip.speed.kind !== 'constant' || isUnitSpeed(clip)) return add(resolved.mediaStart, offset);
  return add(resolved.mediaStart, multiply(clip.speed.scalar, offset));
}

export function verdictOf(lag: Lag, tolerance: ExactTolerance): Verdict {
  const head = sideOf(lag.head, tolerance);
  const tail = sideOf(lag.tail, tolerance);
  return head === tail ? head : 'drifts';
}

function sideOf(lag: Rational, tolerance: ExactTolerance): 'in' | 'leads' | 'lags' {
  if (compare(lag, negate(tolerance.lead)) < 0) return 'leads';
  return compare(lag, tolerance.lag) > 0 ? 'lags' : 'in';
}

export function isUnitSpeed(clip: Clip): boolean {
  return clip.speed.kind === 'constant' && isOne(clip.speed.scalar);
}

/** True when a clip runs forward at a known speed, so that one line says its lag. */
export function hasOneLag(clip: Clip): boolean {
  return clip.speed.kind === 'constant' && sign(clip.speed.scalar) > 0;
}

function lagAt(overlap: PairedOverlap, record: Rational): Rational {
  const wanted = mapPictureToSound(overlap.pair, mediaTimeAt(overlap.picture, record));
  return subtract(wanted, mediaTimeAt(overlap.sound, record));
}

/** Both lists are in record order. A picture that ended before a sound starts can't meet any later sound. */
function addOverlaps(
  overlaps: PairedOverlap[],
  pair: Pair,
  pictures: readonly ResolvedClip[],
  sounds: readonly ResolvedClip[],
): void {
  const active: ResolvedClip[] = [];
  let next = 0;
  for (const sound of sounds) {
    const { start, end } = sound.clip.record;
    for (; next < pictures.length; next += 1) {
      const picture = pictures[next] as ResolvedClip;
      if (compare(picture.clip.record.start, end) >= 0) break;
      active.push(picture);
    }
    let kept = 0;
    for (const picture of active) {
      const { record } = picture.clip;
      if (compare(record.end, start) <= 0) continue;
      active[kept] = picture;
      kept += 1;
      if (compare(record.start, end) >= 0 || overlaps.length >= LARGEST_OVERLAP_COUNT) continue;
      overlaps.push({ pair, picture, sound, record: sharedRange(record, sound.clip.record) });
    }
    active.length = kept;
  }
}

/** Clips cut alike, the usual case, share the range that is there. */
function sharedRange(picture: TimeRange, sound: TimeRange): TimeRange {
  const startOrder = compare(picture.start, sound.start);
  const endOrder = compare(picture.end, sound.end);
  if (startOrder >= 0 && endOrder <= 0) return picture;
  if (startOrder <= 0 && endOrder >= 0) return sound;
  return { start: startOrder >= 0 ? picture.start : sound.start, end: endOrder <= 0 ? picture.end : sound.end };
}

function byRecordStart(left: ResolvedClip, right: ResolvedClip): number {
  return compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index;
}

function append<Entry>(groups: Map<Entry, ResolvedClip[]>, key: Entry, resolved: ResolvedClip): void {
  const group = groups.get(key);
  if (group === undefined) groups.set(key, [resolved]);
  else group.push(resolved);
}
