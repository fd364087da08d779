/**
 * Where the programme begins and ends on a timeline: its first and last frame of picture, leaders and pops left aside.
 *
 * No format says it, so it is read from what people do, strongest sign first: a pop two seconds away, then a whole hour of timecode soon
 * after the start, then the first and last picture. The reason is always told, since everything about pops hangs on it.
 */

import { nominalFramesPerSecond, secondsToCount } from '../time/rate.ts';
import { add, compare, floor, isInteger, maximum, minimum, type Rational, rational, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Timeline } from '../timeline/model.ts';

export interface Programme {
  /** Frames from the timeline's first instant: the first frame of the programme, and its last. */
  readonly firstFrame: number;
  readonly lastFrame: number;
  /** Why there, as phrases. */
  readonly startReason: string;
  readonly endReason: string;
}

/** A pop is one frame, sometimes two (common practice). */
export const LONGEST_POP_FRAMES = 2;
/** Leaders are shorter than a minute. */
const LONGEST_LEADER_SECONDS = 60;
const POP_SECONDS = 2;

/** Null for a timeline without an enabled picture. `stated`: the programme's first frame as somebody said it. */
export function findProgramme(timeline: Timeline, stated: number | null): Programme | null {
  const pictures = timeline.clips.filter((clip) => clip.role === 'picture' && clip.isEnabled);
  const shown = pictures.filter((clip) => lengthInFrames(timeline, clip) > LONGEST_POP_FRAMES);
  const usable = shown.length > 0 ? shown : pictures;
  const [first] = usable;
  if (first === undefined) return null;
  const pops = popStarts(timeline);
  const distance = POP_SECONDS * nominalFramesPerSecond(timeline.rate);
  const start = programmeStart(timeline, usable, pops, distance, stated);
  const after = usable.filter((clip) => frameAt(timeline, clip.record.end) > start.frame);
  const end = programmeEnd(timeline, after.length > 0 ? after : usable, pops, distance);
  return { firstFrame: start.frame, lastFrame: end.frame, startReason: start.reason, endReason: end.reason };
}

interface Place {
  readonly frame: number;
  readonly reason: string;
}

function programmeStart(
  timeline: Timeline,
  pictures: readonly Clip[],
  pops: ReadonlySet<number>,
  distance: number,
  stated: number | null,
): Place {
  if (stated !== null) return { frame: stated, reason: 'as stated' };
  const starts = pictures.map((clip) => frameAt(timeline, clip.record.start)).sort((left, right) => left - right);
  const after = starts.find((frame) => pops.has(frame - distance));
  if (after !== undefined) return { frame: after, reason: 'a clip as short as a pop stands two seconds before it' };
  const hour = firstWholeHour(timeline);
  if (hour !== null && starts.includes(hour)) return { frame: hour, reason: 'a picture begins there, on the hour' };
  const earliest = pictures.map((clip) => clip.record.start).reduce(minimum);
  return { frame: frameAt(timeline, earliest), reason: 'the first picture begins there' };
}

function programmeEnd(timeline: Timeline, pictures: readonly Clip[], pops: ReadonlySet<number>, distance: number): Place {
  const lasts = pictures.map((clip) => lastFrameOf(timeline, clip.record.end)).sort((left, right) => right - left);
  const before = lasts.find((frame) => pops.has(frame + distance));
  if (before !== undefined) return { frame: before, reason: 'a clip as short as a pop stands two seconds after it' };
  const latest = pictures.map((clip) => clip.record.end).reduce(maximum);
  return { frame: lastFrameOf(timeline, latest), reason: 'the last picture ends there' };
}

/** Frames at which enabled clips as short as a pop begin. */
function popStarts(timeline: Timeline): ReadonlySet<number> {
  const starts = new Set<number>();
  for (const clip of timeline.clips) {
    if (!clip.isEnabled || lengthInFrames(timeline, clip) > LONGEST_POP_FRAMES) continue;
    const frames = secondsToCount(clip.record.start, timeline.rate);
    if (isInteger(frames)) starts.add(Number(floor(frames)));
  }
  return starts;
}

/** The first whole hour of record timecode after the timeline's start, when it comes soon enough to follow a leader. */
function firstWholeHour({ startFrame, rate, isDropFrame }: Timeline): number | null {
  if (startFrame === null) return null;
  const nominal = nominalFramesPerSecond(rate);
  const hour = framesPerHour(nominal, isDropFrame);
  const start = Number(floor(startFrame));
  const next = Math.floor(start / hour) * hour + hour;
  return next - start <= LONGEST_LEADER_SECONDS * nominal ? next - start : null;
}

/** Drop-frame counting skips nine times two labels in ten minutes at 30, nine times four at 60 (SMPTE ST 12-1). */
function framesPerHour(nominal: number, isDropFrame: boolean): number {
  return 3600 * nominal - (isDropFrame ? 6 * 9 * (nominal / 15) : 0);
}

/** Frames of record, parts included, as a count that can be compared. */
export function lengthInFrames(timeline: Timeline, clip: Clip): number {
  const frames = secondsToCount(subtract(clip.record.end, clip.record.start), timeline.rate);
  return isInteger(frames) ? Number(floor(frames)) : Number(floor(frames)) + 1;
}

/** The frame in which an instant lies. */
export function frameAt(timeline: Timeline, seconds: Rational): number {
  return Number(floor(secondsToCount(seconds, timeline.rate)));
}

/** The last frame of a range that ends at an instant, at least 0. */
function lastFrameOf(timeline: Timeline, end: Rational): number {
  const frames = secondsToCount(end, timeline.rate);
  const last = isInteger(frames) ? add(frames, rational(-1)) : frames;
  return Number(floor(compare(last, ZERO) < 0 ? ZERO : last));
}
