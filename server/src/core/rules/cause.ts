/**
 * Why a comparison is out: the known mistakes of the trade, each tried against the numbers.
 *
 * A cause is named only when it explains the lag closely: what would be left if the mistake were undone must be what a
 * person cutting by whole frames ends up with, from exactly in sync to one frame late. Whole frames fit anything that
 * loosely, so they are held to a narrower width. The most specific cause wins.
 */

import type { SoundEntry } from '../alignment/model.ts';
import { amountOfTime, countOf } from '../text/words.ts';
import { countToSeconds, type Rate, rateLabel } from '../time/rate.ts';
import {
  absolute,
  add,
  compare,
  divide,
  isZero,
  maximum,
  minimum,
  multiply,
  negate,
  type Rational,
  rational,
  round,
  sign,
  subtract,
  toNumber,
} from '../time/rational.ts';
import { metresOfAir } from './airDistance.ts';
import type { Comparison } from './comparison.ts';
import type { AuditContext } from './context.ts';

/** 0.1 %: 24 against 24000/1001, 48048 against 48000. */
const PULL = rational(1, 1000);
/** How far from exactly 0.1 % a slope may be and still be called one: 30 ppm, more than two good clocks differ (standards.md 4.2). */
const PULL_WIDTH = rational(30, 1_000_000);
/** Below this a misread stamp can't be told from a few frames' slip. */
const LEAST_STAMP_ERROR = rational(1);
/** Beyond this a far microphone is no likely explanation. */
const FARTHEST_MICROPHONE_METRES = rational(60);

/** The likely cause of a comparison's lag, as a phrase; null when nothing known fits. */
export function causeOf(context: AuditContext, comparison: Comparison): string | null {
  const own =
    pullCause(comparison) ??
    clapCause(context, comparison) ??
    stampCause(context, comparison) ??
    wholeFrameCause(context, comparison) ??
    airCause(comparison);
  const shared = sharedCause(context, comparison);
  if (own === null) return shared;
  return shared === null ? own : `${own}; ${shared}`;
}

/** Seconds of lag gained for each second of record time; null when the overlap is empty. */
function slopeOf(comparison: Comparison): Rational | null {
  const length = subtract(comparison.record.end, comparison.record.start);
  return isZero(length) ? null : divide(subtract(comparison.lag.tail, comparison.lag.head), length);
}

function pullCause(comparison: Comparison): string | null {
  const slope = slopeOf(comparison);
  if (slope === null || isZero(slope)) return null;
  if (compare(absolute(subtract(absolute(slope), PULL)), PULL_WIDTH) > 0) return null;
  return 'a 0.1 % pull: sound and picture run at speeds that differ as 24 does from 23.976, or 48048 Hz from 48000 Hz (3.6 s per hour)';
}

function clapCause(context: AuditContext, comparison: Comparison): string | null {
  const { pair } = comparison;
  for (const [index, clap] of pair.sound.claps.entries()) {
    const number = index + 1;
    const distance = countToSeconds(subtract(clap, pair.sample), pair.sound.sampleRate);
    // The report's own clap explains nothing, and a clap within a frame of it can't be told from a frame's error.
    if (number === pair.clap || compare(absolute(distance), frameOf(context)) <= 0) continue;
    if (leavesWholeFrameCut(context, comparison, add(comparison.lag.head, distance))) {
      const own = pair.clap === null ? 'the clap of the report' : `clap ${pair.clap}`;
      return `aligned on clap ${number} of ${pair.sound.key} instead of ${own}`;
    }
  }
  return null;
}

function stampCause(context: AuditContext, comparison: Comparison): string | null {
  const { pair, lag } = comparison;
  const stamp = stampSeconds(pair.sound);
  if (stamp === null || isZero(stamp)) return null;
  if (isWithinOneFrame(context, absolute(lag.head), stamp)) {
    return `the sound is counted from the start of its file instead of its time stamp (${amountOfTime(stamp)})`;
  }
  // Read at 24 a stamp comes out a thousandth long; read at 23.976 where 24 was meant, 1/1001 short.
  const errors = [multiply(stamp, PULL), multiply(stamp, rational(1, 1001))];
  // Early in the day the error is a frame or two and explains nothing better than a frame does.
  const fits = errors.find(
    (error) => compare(error, LEAST_STAMP_ERROR) > 0 && isWithinOneFrame(context, absolute(lag.head), error),
  );
  return fits === undefined
    ? null
    : `a time stamp read at 24 instead of 23.976, or the other way round (3.6 s per hour of time of day: ${amountOfTime(fits)} here)`;
}

/** True when two amounts differ by a frame at most: labels were rounded to frames on the way. */
function isWithinOneFrame(context: AuditContext, amount: Rational, expected: Rational): boolean {
  return compare(absolute(subtract(amount, expected)), frameOf(context)) <= 0;
}

function wholeFrameCause(context: AuditContext, comparison: Comparison): string | null {
  const { rate } = context.timeline;
  const frame = frameOf(context);
  const frames = divide(comparison.lag.head, frame);
  const nearest = rational(round(frames));
  const words = sign(comparison.lag.head) < 0 ? 'too early' : 'too late';
  if (!isZero(nearest) && compare(absolute(subtract(frames, nearest)), divide(closeness(context, comparison), frame)) <= 0) {
    return `cut ${countOf(absolute(nearest), 'whole frame')} ${words} at ${rateLabel(rate)}`;
  }
  return siblingCause(context, comparison, frame);
}

/** Another cut of the pair sits right, and this one is a whole number of frames from it. */
function siblingCause(context: AuditContext, comparison: Comparison, frame: Rational): string | null {
  for (const other of context.pairSummaries().get(comparison.pair)?.samplesIn ?? []) {
    const frames = divide(subtract(comparison.lag.head, other.lag.head), frame);
    const nearest = rational(round(frames));
    if (isZero(nearest) || compare(absolute(subtract(frames, nearest)), rational(1, 100)) > 0) continue;
    const name = context.timeline.clips[other.soundClip]?.name ?? '';
    return `${countOf(absolute(nearest), 'whole frame')} ${sign(nearest) < 0 ? 'earlier' : 'later'} than where the same recording sits right (${name})`;
  }
  return null;
}

function airCause(comparison: Comparison): string | null {
  if (comparison.verdict !== 'lags') return null;
  const metres = metresOfAir(comparison.lag.head);
  if (compare(metres, FARTHEST_MICROPHONE_METRES) > 0) return null;
  return `as late as sound arrives over ${toNumber(metres).toFixed(0)} m of air (2.9 ms per metre): perhaps aligned on what a far microphone heard`;
}

function sharedCause(context: AuditContext, comparison: Comparison): string | null {
  const summary = context.pairSummaries().get(comparison.pair);
  if (summary === undefined || summary.soundClips.size < 2) return null;
  const spread = subtract(summary.greatestHeadLag, summary.leastHeadLag);
  if (compare(spread, closeness(context, comparison)) > 0) return null;
  return `the same error on all ${summary.soundClips.size} clips of this recording with this picture`;
}

/** True when, the mistake undone, the cut is where whole frames would put it: 0 up to one frame late. */
function leavesWholeFrameCut(context: AuditContext, comparison: Comparison, rest: Rational): boolean {
  const width = closeness(context, comparison);
  return compare(rest, negate(width)) >= 0 && compare(rest, add(frameOf(context), width)) <= 0;
}

/**
 * How near a number must come to count as explained: the report's uncertainty, kept between 1 ms and an eighth of a frame,
 * since with half a frame of uncertainty everything is a whole number of frames.
 */
function closeness(context: AuditContext, comparison: Comparison): Rational {
  const { uncertaintyEarly, uncertaintyLate } = comparison.pair;
  const widest = divide(frameOf(context), rational(8));
  return maximum(rational(1, 1000), minimum(widest, maximum(uncertaintyEarly, uncertaintyLate)));
}

function frameOf(context: AuditContext): Rational {
  return secondsPerFrame(context.timeline.rate);
}

function secondsPerFrame(rate: Rate): Rational {
  return { numerator: rate.denominator, denominator: rate.numerator };
}

function stampSeconds(sound: SoundEntry): Rational | null {
  return sound.startSample === null ? null : countToSeconds(sound.startSample, sound.sampleRate);
}
