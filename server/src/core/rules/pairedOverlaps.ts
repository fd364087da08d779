/**
 * Which picture and sound clips of a pair stand at one record time: what an audit compares.
 *
 * One sweep in record order over the clips that the report knows. Each clip meets those of its partners that are still
 * playing, so clips of other pairs are never looked at, and the overlaps come out in the order in which they start.
 */

import { type Alignment, pairsOfPicture, pairsOfSound } from '../alignment/lookup.ts';
import type { Pair, PictureEntry, SoundEntry } from '../alignment/model.ts';
import { compare, type Rational, rational, subtract } from '../time/rational.ts';
import type { TimeRange } from '../timeline/model.ts';
import type { ResolvedClip } from './context.ts';

export interface PairedOverlap {
  readonly pair: Pair;
  readonly picture: ResolvedClip;
  readonly sound: ResolvedClip;
  readonly record: TimeRange;
}

/** Past this many overlaps the rest is left out, and said: it takes a list that repeats itself to get there. */
export const LARGEST_OVERLAP_COUNT = 200_000;

const SLIVER = rational(1, 1_000_000);

type Entry = PictureEntry | SoundEntry;

/**
 * Every overlap of an enabled picture clip with an enabled sound clip of its pair, whatever their speeds: ordered by record
 * start, then picture clip, then sound clip. The first `LARGEST_OVERLAP_COUNT` of them.
 */
export function pairedOverlaps(alignment: Alignment, clips: readonly ResolvedClip[]): readonly PairedOverlap[] {
  const overlaps: PairedOverlap[] = [];
  const playing = new Map<Entry, ResolvedClip[]>();
  for (const clip of clips.filter(takesPart).sort(byRecordStart)) {
    if (overlaps.length >= LARGEST_OVERLAP_COUNT) break;
    const { picture, sound } = clip;
    if (picture !== null) {
      for (const pair of pairsOfPicture(alignment, picture)) {
        meet(playing.get(pair.sound), clip, (other, record) => overlaps.push({ pair, picture: clip, sound: other, record }));
      }
    } else if (sound !== null) {
      for (const pair of pairsOfSound(alignment, sound)) {
        meet(playing.get(pair.picture), clip, (other, record) => overlaps.push({ pair, picture: other, sound: clip, record }));
      }
    }
    start(playing, picture ?? (sound as SoundEntry), clip);
  }
  return overlaps.sort(byStartThenClips).slice(0, LARGEST_OVERLAP_COUNT);
}

/** A clip of the report on a track of its own kind, that is seen or heard for a time. */
function takesPart({ clip, picture, sound }: ResolvedClip): boolean {
  const isKnown = clip.role === 'picture' ? picture !== null : clip.role === 'sound' && sound !== null;
  return isKnown && clip.isEnabled && clip.doubt === null && compare(clip.record.start, clip.record.end) < 0;
}

/** Calls back for every partner that still plays when `clip` starts, and forgets those that ended. */
function meet(
  partners: ResolvedClip[] | undefined,
  clip: ResolvedClip,
  onOverlap: (other: ResolvedClip, record: TimeRange) => void,
): void {
  if (partners === undefined) return;
  let kept = 0;
  for (const other of partners) {
    if (compare(other.clip.record.end, clip.clip.record.start) <= 0) continue;
    partners[kept] = other;
    kept += 1;
    if (isSliver(other.clip.record.end, clip.clip.record)) continue;
    onOverlap(other, sharedRange(clip.clip.record, other.clip.record));
  }
  partners.length = kept;
}

/**
 * Neighbours whose cut was rescaled in doubles may overlap by a billionth of a second. Nothing is seen or heard for so short:
 * a sample of 192 kHz lasts five times the width of this.
 */
function isSliver(end: Rational, later: TimeRange): boolean {
  return compare(subtract(end, later.start), SLIVER) < 0 || compare(subtract(later.end, later.start), SLIVER) < 0;
}

/** `later` starts in or with `earlier`, so the overlap starts with it. A range that is there already is taken as it is. */
function sharedRange(later: TimeRange, earlier: TimeRange): TimeRange {
  return compare(later.end, earlier.end) <= 0 ? later : { start: later.start, end: earlier.end };
}

function start(playing: Map<Entry, ResolvedClip[]>, entry: Entry, clip: ResolvedClip): void {
  const clips = playing.get(entry);
  if (clips === undefined) playing.set(entry, [clip]);
  else clips.push(clip);
}

function byRecordStart(left: ResolvedClip, right: ResolvedClip): number {
  return compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index;
}

function byStartThenClips(left: PairedOverlap, right: PairedOverlap): number {
  return (
    compare(left.record.start, right.record.start) ||
    left.picture.clip.index - right.picture.clip.index ||
    left.sound.clip.index - right.sound.clip.index
  );
}
