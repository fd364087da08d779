/**
 * Sound against its picture, before and after: what a comparison of two versions is for.
 *
 * Looked at are the pairs the audit compared in the old version, and picture and sound that were cut together there without
 * being in the report. Lag is taken at one frame of the picture: the one it showed where the two began to overlap. So picture
 * and sound that moved together have not changed, wherever they went, and a slip shows the same amount under drift.
 */

import type { Audit } from '../audit.ts';
import { hasOneLag, mediaTimeAt } from '../rules/compareClips.ts';
import type { Comparison, Verdict } from '../rules/comparison.ts';
import { add, compare, divide, formatRational, isZero, type Rational, subtract } from '../time/rational.ts';
import type { TimeRange } from '../timeline/model.ts';
import { sourceShift } from './clipChange.ts';
import type { ChangedClips } from './clipChanges.ts';
import { hasSameSpeed, type ReviewClip } from './reviewClip.ts';

export interface SyncChange {
  readonly picture: Versions;
  readonly sound: Versions;
  /** Keys of the report's pair; null when the report has none. */
  readonly pair: { readonly picture: string; readonly sound: string } | null;
  /** Seconds by which the sound is heard later against its picture than before; negative for earlier. Never zero. */
  readonly by: Rational;
  /** Null without a pair of the report, since then nobody knows. */
  readonly lag: { readonly before: Rational; readonly after: Rational } | null;
  readonly verdict: {
    readonly before: Verdict | null;
    /** Null also when the two no longer stand over each other. */
    readonly after: Verdict | null;
  };
  /** False when the two no longer stand over each other. */
  readonly isTogether: boolean;
}

/** One version of the cut. */
export interface Version {
  readonly audit: Audit;
  readonly clips: readonly ReviewClip[];
}

interface Versions {
  readonly old: ReviewClip;
  readonly now: ReviewClip;
}

export interface SyncReview {
  /** In record order of the new version. */
  readonly changes: readonly SyncChange[];
  /** Pairs of which both or one were touched and whose lag is what it was. */
  readonly unchangedCount: number;
}

/** Two clips that belong together in the old version. */
interface Couple {
  readonly picture: number;
  readonly sound: number;
  readonly record: TimeRange;
  readonly comparison: Comparison | null;
}

export function syncReview(old: Version, now: Version, { oldOf, newOf, changes }: ChangedClips): SyncReview {
  const touched = new Set<number>();
  for (const change of changes)
    if (change.kind === 'changed') for (const { clip } of [change.old, ...change.joined]) touched.add(clip.index);
  const later = touched.size === 0 ? new Map<string, Comparison>() : comparisonsByOldClips(now.audit, oldOf, touched);
  const seen = new Set<string>();
  const found: SyncChange[] = [];
  let unchangedCount = 0;
  for (const couple of couplesOf(old.audit, touched)) {
    const picture = versionsOf(old.clips, now.clips, newOf, couple.picture);
    const sound = versionsOf(old.clips, now.clips, newOf, couple.sound);
    if (picture === null || sound === null) continue;
    const by = delayOf(couple, picture, sound);
    if (by === null) continue;
    if (isZero(by)) {
      unchangedCount += 1;
      continue;
    }
    const key = `${picture.now.clip.index} ${sound.now.clip.index} ${formatRational(by)}`;
    if (seen.has(key)) continue;
    seen.add(key);
    found.push(syncChange(couple, picture, sound, by, later.get(`${couple.picture} ${couple.sound}`) ?? null));
  }
  return { changes: found.sort(byPlace), unchangedCount };
}

/** The couples of which one clip at least was touched. */
function couplesOf({ comparisons, context }: Audit, touched: ReadonlySet<number>): readonly Couple[] {
  const couples: Couple[] = [];
  if (touched.size === 0) return couples;
  const known = new Set<string>();
  for (const comparison of comparisons) {
    const { pictureClip: picture, soundClip: sound, record } = comparison;
    if (!touched.has(picture) && !touched.has(sound)) continue;
    couples.push({ picture, sound, record, comparison });
    known.add(`${picture} ${sound}`);
  }
  for (const { picture, sound } of context.cutAlike()) {
    const [pictureClip, soundClip] = [picture.clip, sound.clip];
    if (!touched.has(pictureClip.index) && !touched.has(soundClip.index)) continue;
    if (known.has(`${pictureClip.index} ${soundClip.index}`) || !hasOneLag(pictureClip) || !hasOneLag(soundClip)) continue;
    couples.push({ picture: pictureClip.index, sound: soundClip.index, record: pictureClip.record, comparison: null });
  }
  return couples;
}

function comparisonsByOldClips(
  { comparisons }: Audit,
  oldOf: Int32Array,
  touched: ReadonlySet<number>,
): ReadonlyMap<string, Comparison> {
  const byClips = new Map<string, Comparison>();
  for (const comparison of comparisons) {
    const picture = oldOf[comparison.pictureClip] as number;
    const sound = oldOf[comparison.soundClip] as number;
    if (!touched.has(picture) && !touched.has(sound)) continue;
    const key = `${picture} ${sound}`;
    if (!byClips.has(key)) byClips.set(key, comparison);
  }
  return byClips;
}

/** Null when the clip is gone, plays another recording, or runs at another speed: then its own change says all there is. */
function versionsOf(old: readonly ReviewClip[], now: readonly ReviewClip[], newOf: Int32Array, index: number): Versions | null {
  const before = old[index] as ReviewClip;
  const after = now[newOf[index] as number];
  if (after === undefined || after.media !== before.media || !after.clip.isEnabled || !hasSameSpeed(before.clip, after.clip))
    return null;
  return { old: before, now: after };
}

/**
 * How much later the sound is heard at the picture frame of the old overlap's head. Both clips are taken as lines of record against
 * media time, so it does not matter whether they still stand there.
 */
function delayOf({ record }: Couple, picture: Versions, sound: Versions): Rational | null {
  const pictureSpeed = picture.now.clip.speed;
  if (pictureSpeed.kind !== 'constant' || pictureSpeed.scalar.numerator <= 0) return null;
  const pictureFrame = mediaTimeAt(picture.old.resolved, record.start);
  const sinceHead = divide(subtract(pictureFrame, startInOldTerms(picture)), pictureSpeed.scalar);
  const newRecord = add(picture.now.clip.record.start, sinceHead);
  const heardBefore = mediaTimeAt(sound.old.resolved, record.start);
  const originShift = subtract(startInOldTerms(sound), sound.now.resolved.mediaStart);
  const heardNow = add(mediaTimeAt(sound.now.resolved, newRecord), originShift);
  return subtract(heardBefore, heardNow);
}

/** Where the clip's media time would start now, read from the origin it had before. */
function startInOldTerms({ old, now }: Versions): Rational {
  return add(old.resolved.mediaStart, sourceShift(old, now));
}

function syncChange(
  { comparison }: Couple,
  picture: Versions,
  sound: Versions,
  by: Rational,
  later: Comparison | null,
): SyncChange {
  return {
    picture,
    sound,
    pair: comparison === null ? null : { picture: comparison.pair.picture.key, sound: comparison.pair.sound.key },
    by,
    lag: comparison === null ? null : { before: comparison.lag.head, after: add(comparison.lag.head, by) },
    verdict: { before: comparison?.verdict ?? null, after: later?.verdict ?? null },
    isTogether: comparison === null ? overlaps(picture.now, sound.now) : later !== null,
  };
}

function overlaps(left: ReviewClip, right: ReviewClip): boolean {
  return compare(left.start, right.end) < 0 && compare(right.start, left.end) < 0;
}

function byPlace(left: SyncChange, right: SyncChange): number {
  return compare(left.sound.now.start, right.sound.now.start) || left.sound.now.track - right.sound.now.track;
}
