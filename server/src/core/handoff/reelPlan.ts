/**
 * What each sync reel is made of, exactly, before any file is opened.
 *
 * A reel's first sample is the first instant of a picture: of a camera file, or of a whole cut. The report's line through a pair says
 * which sound belongs to each instant, so the place in the recording is a fraction of its samples and the pace is 1 plus the drift.
 */

import { pairsOfPicture } from '../alignment/lookup.ts';
import type { Pair, PictureEntry } from '../alignment/model.ts';
import { mapPictureToSound } from '../alignment/pairLine.ts';
import { isUnitSpeed, mediaTimeAt } from '../rules/compareClips.ts';
import type { AuditContext, ResolvedClip } from '../rules/context.ts';
import { countToSeconds, type Rate } from '../time/rate.ts';
import {
  add,
  ceiling,
  compare,
  divide,
  maximum,
  multiply,
  type Rational,
  rational,
  round,
  subtract,
  ZERO,
} from '../time/rational.ts';
import { frameStampSeconds } from '../time/stamp.ts';
import type { PulledTimeline } from './pullList.ts';
import { entryKey } from './recordingKey.ts';

/** One stretch of a reel, of one recording. Samples are those of the reel's own rate, which is the recording's. */
export interface PlannedPiece {
  readonly pair: Pair;
  readonly at: number;
  readonly count: number;
  /** Sample of the recording at reel sample `at`, and recording samples for each sample of the reel. */
  readonly from: Rational;
  readonly step: Rational;
}

export interface PlannedReel {
  readonly kind: 'picture' | 'cut';
  /** The camera file, for a reel of one; null for a cut. */
  readonly picture: PictureEntry | null;
  /** Timelines it is for, in order. */
  readonly timelines: readonly PulledTimeline[];
  /** 1 for the only or first reel of a cut. */
  readonly lane: number;
  /** Of the picture. */
  readonly rate: Rate;
  readonly isDropFrame: boolean;
  /** Timecode of the first frame, in frames; null when nobody knows, and the reel is stamped 0 then. */
  readonly startFrame: Rational | null;
  /** Of the picture, in seconds. */
  readonly length: Rational;
  readonly sampleRate: Rate;
  readonly sampleCount: number;
  readonly pieces: readonly PlannedPiece[];
  /** What it does not hold, and why, in sentences. */
  readonly remarks: readonly string[];
}

/** A reel that can't be made, told. */
export interface RefusedReel {
  readonly what: string;
  readonly reason: string;
}

export interface ReelPlans {
  readonly reels: readonly PlannedReel[];
  readonly refused: readonly RefusedReel[];
}

/** For each camera file that the timelines show, one reel for each recording paired with it. */
export function planPictureReels(timelines: readonly PulledTimeline[]): ReelPlans {
  const reels: PlannedReel[] = [];
  const refused: RefusedReel[] = [];
  for (const shown of picturesShown(timelines)) {
    const { picture, context } = shown;
    const pairs = pairsOfPicture(context.alignment, picture);
    if (pairs.length === 0) {
      refused.push({ what: picture.key, reason: 'the report pairs no recording with this picture' });
      continue;
    }
    if (shown.length === null) {
      const reason = 'neither the report nor the timeline says how long this picture is; add "frames" to its entry in the report';
      refused.push({ what: picture.key, reason });
      continue;
    }
    for (const pair of pairs) reels.push(pictureReel(shown, shown.length, pair));
  }
  return { reels, refused };
}

/** The stamp of a reel: samples since midnight at its first sample, to the nearest whole one. */
export function reelStamp({ startFrame, rate, sampleRate }: PlannedReel): number {
  return startFrame === null ? 0 : Number(round(multiply(frameStampSeconds(startFrame, rate), sampleRate)));
}

interface ShownPicture {
  readonly picture: PictureEntry;
  readonly context: AuditContext;
  readonly timelines: PulledTimeline[];
  length: Rational | null;
  startFrame: Rational | null;
}

function picturesShown(timelines: readonly PulledTimeline[]): readonly ShownPicture[] {
  const shown = new Map<string, ShownPicture>();
  for (const timeline of timelines) {
    const { context } = timeline.audit;
    for (const { clip, picture } of inRecordOrder(context.clips)) {
      if (picture === null || clip.role !== 'picture' || !clip.isEnabled) continue;
      const key = entryKey(picture);
      const known = shown.get(key) ?? {
        picture,
        context,
        timelines: [],
        length: reportedLength(picture),
        startFrame: picture.startFrame,
      };
      shown.set(key, known);
      if (!known.timelines.includes(timeline)) known.timelines.push(timeline);
      const { available } = clip.media;
      if (available === null) continue;
      known.length ??= compare(available.end, available.start) > 0 ? subtract(available.end, available.start) : null;
      known.startFrame ??= multiply(available.start, picture.rate);
    }
  }
  return [...shown.values()];
}

function pictureReel(shown: ShownPicture, length: Rational, pair: Pair): PlannedReel {
  const { picture, startFrame, timelines } = shown;
  const { sampleRate } = pair.sound;
  const sampleCount = Number(round(multiply(length, sampleRate)));
  return {
    kind: 'picture',
    picture,
    timelines,
    lane: 1,
    rate: picture.rate,
    isDropFrame: picture.isDropFrame,
    startFrame,
    length,
    sampleRate,
    sampleCount,
    pieces: [{ pair, at: 0, count: sampleCount, ...placeIn(pair, ZERO, sampleRate) }],
    remarks: startFrame === null ? ['Nobody says which timecode the picture starts at, so the reel is stamped 00:00:00:00.'] : [],
  };
}

/** Where in the recording the sound of a picture's media time lies, and at which pace it goes on. */
function placeIn(pair: Pair, pictureTime: Rational, sampleRate: Rate): Pick<PlannedPiece, 'from' | 'step'> {
  const own = pair.sound.sampleRate;
  const here = mapPictureToSound(pair, pictureTime);
  const perSecond = subtract(mapPictureToSound(pair, add(pictureTime, rational(1))), here);
  return { from: multiply(here, own), step: multiply(perSecond, divide(own, sampleRate)) };
}

/**
 * The whole cut, as its picture shows it: under each camera file the recordings paired with it, where the report puts them. A picture
 * with several recordings needs as many reels, one recording in each; the first takes what comes first in the report. What lies on top
 * and is not in the report (a title, a dissolve) does not silence what lies under it.
 */
export function planCutReels(timeline: PulledTimeline): ReelPlans {
  const { context } = timeline.audit;
  const stretches = visibleStretches(context);
  const lanes = Math.max(0, ...stretches.map(({ pairs }) => pairs.length));
  if (lanes === 0) {
    return {
      reels: [],
      refused: [{ what: timeline.path, reason: 'no picture of the report with a recording of its pair is shown in it' }],
    };
  }
  return { reels: Array.from({ length: lanes }, (_, lane) => cutReel(timeline, stretches, lane)), refused: [] };
}

function cutReel(timeline: PulledTimeline, stretches: readonly Stretch[], lane: number): PlannedReel {
  const { timeline: cut } = timeline.audit;
  const held = stretches.filter(({ pairs }) => pairs[lane] !== undefined);
  const sampleRate = highestRate(held.map(({ pairs }) => (pairs[lane] as Pair).sound.sampleRate));
  const sampleCount = Number(round(multiply(cut.duration, sampleRate)));
  const pieces = held.flatMap((stretch): readonly PlannedPiece[] => {
    const pair = stretch.pairs[lane] as Pair;
    const at = Number(ceiling(multiply(stretch.start, sampleRate)));
    const count = Math.min(Number(ceiling(multiply(stretch.end, sampleRate))), sampleCount) - at;
    const firstInstant = countToSeconds(rational(at), sampleRate);
    return count <= 0 ? [] : [{ pair, at, count, ...placeIn(pair, mediaTimeAt(stretch.clip, firstInstant), sampleRate) }];
  });
  const retimed = new Set(stretches.filter(({ isRetimed }) => isRetimed).map(({ clip }) => clip.clip.index)).size;
  return {
    kind: 'cut',
    picture: null,
    timelines: [timeline],
    lane: lane + 1,
    rate: cut.rate,
    isDropFrame: cut.isDropFrame,
    startFrame: cut.startFrame,
    length: cut.duration,
    sampleRate,
    sampleCount,
    pieces,
    remarks: [
      ...(cut.startFrame === null
        ? ['The timeline does not say which timecode it starts at, so the reel is stamped 00:00:00:00.']
        : []),
      ...(retimed === 0 ? [] : [`${retimed === 1 ? '1 retimed picture is' : `${retimed} retimed pictures are`} silent in it.`]),
    ],
  };
}

function highestRate(rates: readonly Rate[]): Rate {
  return rates.reduce(maximum);
}

/** A stretch of record time under one visible picture of the report. */
interface Stretch {
  readonly clip: ResolvedClip;
  readonly start: Rational;
  readonly end: Rational;
  /** In the order of the report; none for a picture at another speed than its own. */
  readonly pairs: readonly Pair[];
  readonly isRetimed: boolean;
}

/** The topmost picture of the report at every instant, in record order, none overlapping another. */
function visibleStretches(context: AuditContext): readonly Stretch[] {
  const clips = context.clips.filter(
    ({ clip, picture }) => picture !== null && clip.role === 'picture' && clip.isEnabled && clip.doubt === null,
  );
  const edges = [...clips.flatMap(({ clip }) => [clip.record.start, clip.record.end])].sort(compare);
  const starting = clips.toSorted((left, right) => compare(left.clip.record.start, right.clip.record.start));
  const stretches: Stretch[] = [];
  let playing: ResolvedClip[] = [];
  let next = 0;
  for (const [index, start] of edges.entries()) {
    const end = edges[index + 1];
    if (end === undefined || compare(start, end) >= 0) continue;
    while (next < starting.length && compare((starting[next] as ResolvedClip).clip.record.start, start) <= 0) {
      playing.push(starting[next] as ResolvedClip);
      next += 1;
    }
    playing = playing.filter(({ clip }) => compare(clip.record.end, start) > 0);
    const top = playing.reduce<ResolvedClip | null>((best, clip) => (best === null || isAbove(clip, best) ? clip : best), null);
    if (top === null) continue;
    const last = stretches.at(-1);
    if (last !== undefined && last.clip === top && compare(last.end, start) === 0)
      stretches[stretches.length - 1] = { ...last, end };
    else stretches.push(stretchOf(context, top, start, end));
  }
  return stretches;
}

function stretchOf(context: AuditContext, clip: ResolvedClip, start: Rational, end: Rational): Stretch {
  const isRetimed = !isUnitSpeed(clip.clip);
  const pairs = isRetimed || clip.picture === null ? [] : pairsOfPicture(context.alignment, clip.picture);
  return { clip, start, end, pairs, isRetimed };
}

/** Later tracks lie above earlier ones; on one track the later clip. */
function isAbove(left: ResolvedClip, right: ResolvedClip): boolean {
  return left.clip.track > right.clip.track || (left.clip.track === right.clip.track && left.clip.index > right.clip.index);
}

function reportedLength({ frameCount, rate }: PictureEntry): Rational | null {
  return frameCount === null ? null : countToSeconds(frameCount, rate);
}

function inRecordOrder(clips: readonly ResolvedClip[]): readonly ResolvedClip[] {
  return clips.toSorted(
    (left, right) => compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index,
  );
}
