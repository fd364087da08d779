/**
 * The part of its file a clip asks for, and the part the file holds: for outside-media, short-handles and safe slips.
 *
 * Media time counts seconds from the file's first frame or sample. A transition asks for media beyond the cut; that belongs
 * to the range.
 */

import { countToSeconds } from '../time/rate.ts';
import { add, isOne, isZero, maximum, minimum, multiply, type Rational, subtract } from '../time/rational.ts';
import type { ResolvedClip } from './context.ts';

export interface MediaRange {
  /** First instant asked for, transitions included. */
  readonly start: Rational;
  readonly end: Rational;
  /** How long the file is; null when neither timeline nor report says. */
  readonly fileEnd: Rational | null;
}

/** Null for clips whose speed is not known. */
export function mediaRange(resolved: ResolvedClip): MediaRange | null {
  const { clip, mediaStart } = resolved;
  if (clip.speed.kind !== 'constant') return null;
  const { scalar } = clip.speed;
  const length = subtract(clip.record.end, clip.record.start);
  const isPlain = isOne(scalar) && isZero(clip.headOverlap) && isZero(clip.tailOverlap);
  const first = isPlain ? mediaStart : subtract(mediaStart, multiply(scalar, clip.headOverlap));
  const last = add(mediaStart, isPlain ? length : multiply(scalar, add(length, clip.tailOverlap)));
  return { start: minimum(first, last), end: maximum(first, last), fileEnd: fileEnd(resolved) };
}

/** The report knows the file itself, so it decides over what the timeline states. */
function fileEnd(resolved: ResolvedClip): Rational | null {
  const { picture, sound, clip } = resolved;
  if (picture !== null && picture.frameCount !== null) return countToSeconds(picture.frameCount, picture.rate);
  if (sound !== null && sound.sampleCount !== null) return countToSeconds(sound.sampleCount, sound.sampleRate);
  const { available } = clip.media;
  return available === null ? null : subtract(available.end, available.start);
}
