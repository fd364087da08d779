/**
 * The clips of one version of a cut, made comparable with those of another.
 *
 * Versions may differ in format: an edit decision list counts record time from its earliest event, the others from the
 * timeline's start, and source time means other things in each. Here record time is brought to one zero for both versions, source
 * time is media time, and tracks are numbered in common.
 */

import type { ResolvedClip } from '../rules/context.ts';
import { countToSeconds } from '../time/rate.ts';
import { add, compare, equals, formatRational, isZero, multiply, type Rational, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Timeline, Track } from '../timeline/model.ts';
import { mediaKey } from './mediaKey.ts';

/** A clip of one version. */
export interface ReviewClip {
  readonly resolved: ResolvedClip;
  readonly clip: Clip;
  /** The same text for clips of one role that are cut from one recording. */
  readonly media: string;
  /** The same number for the same track of both versions. */
  readonly track: number;
  /** Record times on the zero both versions share. */
  readonly start: Rational;
  readonly end: Rational;
  /** Media time at the clip's head. */
  readonly source: Rational;
}

/** How the clips of a version are brought to what both share. */
export interface CommonGround {
  /** Added to record times. */
  readonly recordZero: Rational;
  /** By track index. */
  readonly tracks: readonly number[];
}

export function reviewClips(clips: readonly ResolvedClip[], ground: CommonGround): readonly ReviewClip[] {
  return clips.map((resolved) => reviewClip(resolved, ground));
}

function reviewClip(resolved: ResolvedClip, { recordZero, tracks }: CommonGround): ReviewClip {
  const { clip, mediaStart: source } = resolved;
  const isMoved = !isZero(recordZero);
  return {
    resolved,
    clip,
    media: `${clip.role} ${mediaKey(resolved)}`,
    track: tracks[clip.track] ?? -1,
    start: isMoved ? add(clip.record.start, recordZero) : clip.record.start,
    end: isMoved ? add(clip.record.end, recordZero) : clip.record.end,
    source,
  };
}

/** The part of a recording a clip shows, and how fast, as a text that a map can find. */
export function contentKey({ clip, media, start, end, source }: ReviewClip): string {
  return `${media}|${formatRational(source)}|${formatRational(subtract(end, start))}|${speedKey(clip)}`;
}

/** Recording, track, speed, and source less record: the same for all parts of one clip that was cut up or trimmed in place. */
export function syncKey({ clip, media, track, start, source }: ReviewClip): string {
  const progress = clip.speed.kind === 'constant' ? multiply(clip.speed.scalar, start) : ZERO;
  return `${media}|${track}|${speedKey(clip)}|${formatRational(subtract(source, progress))}`;
}

/** The record time a clip stands on. */
export function placeKey({ start, end }: ReviewClip): string {
  return `${formatRational(start)}|${formatRational(end)}`;
}

/** By record start; of clips that begin together, pictures before their sounds. */
export function inRecordOrder(clips: readonly ReviewClip[]): readonly ReviewClip[] {
  return clips.toSorted(
    (left, right) =>
      compare(left.start, right.start) ||
      Number(left.clip.role !== 'picture') - Number(right.clip.role !== 'picture') ||
      left.clip.index - right.clip.index,
  );
}

function speedKey({ speed }: Clip): string {
  return speed.kind === 'constant' ? formatRational(speed.scalar) : `unknown ${speed.reason}`;
}

/** How much later the record timecode of the new version's first instant is, in seconds; null when one of them does not tell. */
export function startDifference(old: Timeline, now: Timeline): Rational | null {
  if (old.startFrame === null || now.startFrame === null) return null;
  return subtract(countToSeconds(now.startFrame, now.rate), countToSeconds(old.startFrame, old.rate));
}

/** Numbers for the tracks of both versions: tracks of one kind and name are one, the others are paired in their order. */
export function commonTracks(
  old: readonly Track[],
  now: readonly Track[],
): readonly [old: readonly number[], now: readonly number[]] {
  const oldNumbers = old.map((track) => track.index);
  const newNumbers = new Array<number>(now.length).fill(-1);
  const taken = new Set<number>();
  const join = (nowTrack: Track, oldTrack: Track): void => {
    newNumbers[nowTrack.index] = oldTrack.index;
    taken.add(oldTrack.index);
  };
  for (const track of now) {
    const alike = (other: Track): boolean => other.kind === track.kind && other.name === track.name;
    const candidates = old.filter(alike);
    const [only] = candidates;
    if (only !== undefined && candidates.length === 1 && now.filter(alike).length === 1) join(track, only);
  }
  for (const kind of ['picture', 'sound', 'other'] as const) {
    const freeOld = old.filter((track) => track.kind === kind && !taken.has(track.index));
    const freeNow = now.filter((track) => track.kind === kind && newNumbers[track.index] === -1);
    for (const [index, track] of freeNow.entries()) {
      const partner = freeOld[index];
      if (partner !== undefined) join(track, partner);
      else newNumbers[track.index] = old.length + track.index;
    }
  }
  return [oldNumbers, newNumbers];
}

/** True when both run at one and the same known speed. */
export function hasSameSpeed(left: Clip, right: Clip): boolean {
  if (left.speed.kind !== 'constant' || right.speed.kind !== 'constant') return false;
  return equals(left.speed.scalar, right.speed.scalar);
}
