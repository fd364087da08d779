/**
 * The comparisons of an audit: every enabled picture clip with every enabled sound clip of its pair that overlaps it.
 *
 * Lag depends on source minus record, not on in points, so L- and J-cuts, cutaways and multicam stacks come out right
 * without being known as such. Clips at a speed that runs backwards, stands still or is not known have no single lag and
 * are left to the rule speed-mismatch.
 *
 * The overlaps come in record order, and so do the comparisons.
 */

import { mapPictureToSound } from '../alignment/pairLine.ts';
import type { Settings } from '../alignment/settings.ts';
import { type ExactTolerance, toleranceInSeconds } from '../alignment/tolerance.ts';
import type { Rate } from '../time/rate.ts';
import { add, compare, isOne, multiply, negate, type Rational, sign, subtract } from '../time/rational.ts';
import type { Clip, Timeline } from '../timeline/model.ts';
import type { Comparison, Lag, Verdict } from './comparison.ts';
import type { ResolvedClip } from './context.ts';
import type { PairedOverlap } from './pairedOverlaps.ts';

/** In the order of the overlaps. */
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
  return comparisons;
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
