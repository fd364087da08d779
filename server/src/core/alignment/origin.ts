/**
 * Where the media of a clip begins, in the clip's own source time.
 *
 * A source time is often a timecode; media time counts from the first frame or sample. The difference is the origin. It
 * is what the timeline states; else the report's time stamp, when the clip's source range then falls inside the file; else 0.
 *
 * Decisions where the design is silent
 * - A report that states no length: inside is from the stamp on, up to 24 hours, since no file is longer. A clip that begins
 *   before such a stamp and ends after it asks for too much; it does not count from 0.
 * - Timecode starts again at midnight: a file stamped 23:59 may hold the source time 00:01. The stamp less one day is tried too,
 *   where the length is known; without it every source time would fit.
 * - No candidate holds the whole range: the first that holds a part of it is taken, so that a clip that runs two frames past
 *   the end of its file is told so, and not that it lies hours away.
 * - A stated range of no length says where the media starts and nothing more.
 */

import { droppedLabelsPerMinute, isSampleRate, isTimecodeRate, type Rate, rateLabel } from '../time/rate.ts';
import {
  add,
  compare,
  divide,
  isOne,
  multiply,
  type Rational,
  rational,
  reduce,
  sign,
  subtract,
  ZERO,
} from '../time/rational.ts';
import { framesPerDay } from '../time/timecode.ts';
import type { Clip, TimeRange } from '../timeline/model.ts';
import type { PictureEntry, SoundEntry } from './model.ts';

export interface Origin {
  /** Source time of the media's first frame or sample, in seconds. */
  readonly seconds: Rational;
  /**
   * `timeline`: the timeline states it. `media-time`: the timeline counts from the file's first frame or sample. `stamp`:
   * the report's time stamp. `first-frame`: nothing fits better, so source times are taken to count from the file's start.
   */
  readonly from: 'timeline' | 'media-time' | 'stamp' | 'first-frame';
  /** Which of these and why, as a phrase for people. */
  readonly reason: string;
  /** Media times the clip asks for, earliest first. Without those under transitions. */
  readonly asked: TimeRange;
  /** Seconds of media in the file; null when neither timeline nor report says. */
  readonly mediaLength: Rational | null;
  /** True when everything the clip asks for is inside the file, as far as its length is known. */
  readonly fits: boolean;
  /** Another reading under which the clip would fit, as a phrase; null when it fits or none is known. */
  readonly hint: string | null;
}

/** The origin alone, as far as placing the clip's media needs it; see `Origin`. Many clips of a file share one. */
export type MediaOrigin = Pick<Origin, 'seconds' | 'from' | 'reason'>;

/** What the report says of a file, in seconds. */
interface ReportedFile {
  readonly stamp: Rational | null;
  readonly length: Rational | null;
  /** How its timecode counts; null for a sound, whose stamp counts samples. */
  readonly isDropFrame: boolean | null;
  /** The answer for every clip that lies inside the file at its stamp: nearly all of them. */
  readonly stampOrigin: MediaOrigin | null;
}

interface Entries {
  readonly picture: PictureEntry | null;
  readonly sound: SoundEntry | null;
}

const LONGEST_FILE = rational(86400);
const PULLS = [
  { factor: rational(1001, 1000), word: 'longer' },
  { factor: rational(1000, 1001), word: 'shorter' },
];

/** The origin of a clip's source time, nothing more; for the ten thousand clips of which nobody asks why. */
export function mediaOriginOf(clip: Clip, match: Entries): MediaOrigin {
  const { available, sourceIsMediaTime } = clip.media;
  if (available !== null) {
    return { seconds: available.start, from: 'timeline', reason: 'the timeline states where its media starts' };
  }
  if (sourceIsMediaTime) return MEDIA_TIME;
  const file = reportedFile(match);
  if (file === null) return NO_REPORT;
  if (file.stamp === null) return NO_STAMP;
  const source = sourceRange(clip);
  if (file.stampOrigin !== null && isInside(source, file.stamp, file.length ?? LONGEST_FILE)) return file.stampOrigin;
  const seconds = stampThatFits(clip, source, file);
  if (seconds === null) return ELSEWHERE;
  return { seconds, from: 'stamp', reason: isInside(source, seconds, file.length) ? STAMP_FITS : STAMP_FITS_A_PART };
}

/** The origin of a clip's source time with all there is to say of it; never throws. `match` is what `entryFor` answered. */
export function originOf(clip: Clip, match: Entries): Origin {
  const file = reportedFile(match);
  const source = sourceRange(clip);
  const { seconds, from, reason } = mediaOriginOf(clip, match);
  const mediaLength = statedLength(clip) ?? file?.length ?? null;
  const fits = isInside(source, seconds, mediaLength);
  return {
    seconds,
    from,
    reason,
    asked: { start: subtract(source.start, seconds), end: subtract(source.end, seconds) },
    mediaLength,
    fits,
    hint: fits || file === null ? null : hintFor(clip, source, from, file),
  };
}

const STAMP_FITS = "the report's time stamp of the file fits the clip's source times";
const STAMP_FITS_A_PART = "the report's time stamp of the file fits a part of the clip's source times and nothing fits better";
const MEDIA_TIME: MediaOrigin = { seconds: ZERO, from: 'media-time', reason: "the timeline counts from the file's start" };
const NO_REPORT: MediaOrigin = { seconds: ZERO, from: 'first-frame', reason: 'no report tells where its media starts' };
const NO_STAMP: MediaOrigin = {
  seconds: ZERO,
  from: 'first-frame',
  reason: 'the report gives no time stamp for this file',
};
const ELSEWHERE: MediaOrigin = {
  seconds: ZERO,
  from: 'first-frame',
  reason: "the clip's source times lie outside the file at the report's time stamp",
};

/** The length of the media as the timeline states it; null when it states none, or a range of no length. */
function statedLength({ media: { available } }: Clip): Rational | null {
  if (available === null) return null;
  const stated = subtract(available.end, available.start);
  return sign(stated) > 0 ? stated : null;
}

/** The stamp, or the stamp less one day, under which the clip lies inside the file; else, when 0 is no better, partly inside. */
function stampThatFits(clip: Clip, source: TimeRange, file: ReportedFile): Rational | null {
  const { stamp, length } = file;
  if (stamp === null) return null;
  const limit = length ?? LONGEST_FILE;
  if (isInside(source, stamp, limit)) return stamp;
  const earlier = length === null ? [] : daysOf(clip, file).map((day) => subtract(stamp, day));
  const whole = earlier.find((candidate) => isInside(source, candidate, limit));
  if (whole !== undefined) return whole;
  if (isInside(source, ZERO, length) && !(length === null && isPartlyInside(source, stamp, limit))) return null;
  return [stamp, ...earlier].find((candidate) => isPartlyInside(source, candidate, limit)) ?? null;
}

/** Source times between the clip's ends, earliest first. A clip whose speed is not known shows at least its first instant. */
function sourceRange(clip: Clip): TimeRange {
  const { sourceStart, speed, record } = clip;
  if (speed.kind !== 'constant') return { start: sourceStart, end: sourceStart };
  const length = subtract(record.end, record.start);
  const end = add(sourceStart, isOne(speed.scalar) ? length : multiply(speed.scalar, length));
  return sign(speed.scalar) < 0 ? { start: end, end: sourceStart } : { start: sourceStart, end };
}

/** Remembered by entry: every clip of a file asks the same. A cache of a pure function; an entry goes when its report goes. */
const reportedFiles = new WeakMap<PictureEntry | SoundEntry, ReportedFile>();

function reportedFile({ picture, sound }: Entries): ReportedFile | null {
  const entry = picture ?? sound;
  if (entry === null) return null;
  const known = reportedFiles.get(entry);
  if (known !== undefined) return known;
  const stamp = picture === null ? soundSeconds(sound, 'startSample') : inSeconds(picture.startFrame, picture.rate);
  const file: ReportedFile = {
    stamp,
    length: picture === null ? soundSeconds(sound, 'sampleCount') : inSeconds(picture.frameCount, picture.rate),
    isDropFrame: picture?.isDropFrame ?? null,
    stampOrigin: stamp === null ? null : { seconds: stamp, from: 'stamp', reason: STAMP_FITS },
  };
  reportedFiles.set(entry, file);
  return file;
}

function soundSeconds(sound: SoundEntry | null, member: 'startSample' | 'sampleCount'): Rational | null {
  return sound === null ? null : inSeconds(sound[member], sound.sampleRate);
}

function inSeconds(count: Rational | null, rate: Rate): Rational | null {
  return count === null ? null : divide(count, rate);
}

function isInside(source: TimeRange, start: Rational, length: Rational | null): boolean {
  if (compare(source.start, start) < 0) return false;
  return length === null || compare(source.end, add(start, length)) <= 0;
}

function isPartlyInside(source: TimeRange, start: Rational, length: Rational): boolean {
  return compare(source.end, start) > 0 && compare(source.start, add(start, length)) < 0;
}

/** Seconds after which the timecode a clip is counted in starts again; two answers where drop-frame is possible and not known. */
function daysOf(clip: Clip, file: ReportedFile): readonly Rational[] {
  const rate = clip.start?.rate ?? null;
  if (rate === null || isSampleRate(rate)) return [LONGEST_FILE];
  const countings = droppedLabelsPerMinute(rate) === 0 ? [false] : file.isDropFrame === null ? [true, false] : [file.isDropFrame];
  return countings.map((isDropFrame) => divide(rational(framesPerDay(rate, isDropFrame)), rate));
}

function hintFor(clip: Clip, source: TimeRange, from: Origin['from'], file: ReportedFile): string | null {
  const { stamp, length } = file;
  const limit = length ?? LONGEST_FILE;
  if (from !== 'first-frame' && isInside(source, ZERO, limit)) return "it would fit if counted from the file's start";
  if (stamp === null) return null;
  if (isInside(source, stamp, limit)) return "it would fit if counted from the report's time stamp of the file";
  const clock = clip.start?.rate ?? null;
  for (const { factor, word } of PULLS) {
    const retimed = { start: multiply(source.start, factor), end: multiply(source.end, factor) };
    if (!isInside(retimed, stamp, limit)) continue;
    const intended = clock === null ? null : reduce(divide(clock, factor));
    return intended !== null && clock !== null && isTimecodeRate(intended)
      ? `it would fit if its timecode counted ${rateLabel(intended)} instead of ${rateLabel(clock)} frames per second, which is 3.6 s per hour`
      : `it would fit if its source times ran 0.1 % ${word}, which is 3.6 s per hour`;
  }
  return null;
}
