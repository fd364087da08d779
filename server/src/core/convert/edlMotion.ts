/**
 * Speeds in an edit list: an M2 line in frames per second, to a tenth, and a source span that is already scaled.
 *
 * Of the two conventions in use this writes the one whose source columns span what is really used: frames
 * `floor((record - 1) x speed) + 1` (measured on public lists). Whether the speed survives is asked of this project's own reader.
 */

import { speedOfMotion } from '../formats/edl/edlSpeed.ts';
import { nominalFramesPerSecond, type Rate } from '../time/rate.ts';
import { absolute, add, equals, floor, isZero, multiply, ONE, type Rational, rational, sign } from '../time/rational.ts';

export interface EdlSpeedLine {
  /** `047.6`, `-024.0`; null for normal speed. */
  readonly text: string | null;
  /** Frames between source in and source out. */
  readonly sourceFrames: number;
  /** The speed it reads back as. */
  readonly scalar: Rational;
}

/** `recordFrames` is positive. */
export function edlSpeedLine(scalar: Rational, rate: Rate, recordFrames: number): EdlSpeedLine {
  if (equals(scalar, ONE)) return { text: null, sourceFrames: recordFrames, scalar: ONE };
  const size = absolute(scalar);
  const sourceFrames = isZero(scalar) ? 1 : Number(floor(multiply(rational(recordFrames - 1), size))) + 1;
  const tenths = floor(add(multiply(size, rational(nominalFramesPerSecond(rate) * 10)), rational(1, 2)));
  const digits = `${String(tenths / 10n).padStart(3, '0')}.${tenths % 10n}`;
  const text = sign(scalar) < 0 ? `-${digits}` : digits;
  const read = speedOfMotion(text, rate, sourceFrames, recordFrames);
  return { text, sourceFrames, scalar: read?.convention === 'normal' ? ONE : (read?.scalar ?? ONE) };
}
