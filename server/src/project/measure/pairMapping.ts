/**
 * Where a pair puts the picture in the sound, before it stands in a report: the same line as core/alignment/pairLine.ts, for
 * data that was measured and not read.
 */

import type { PairData, PictureData, SoundData } from '../../core/alignment/reportText.ts';
import { add, divide, multiply, ONE, type Rational, rational, reduce, subtract } from '../../core/time/rational.ts';

const MILLION = rational(1_000_000);

/** Seconds of sound at `seconds` of picture: s(p) = sample/sampleRate + (p - frame/rate) x (1 + driftPpm/1e6). */
export function mapped(pair: PairData, picture: PictureData, sound: SoundData, seconds: Rational): Rational {
  const slope = add(ONE, divide(pair.driftPpm, MILLION));
  const fromFrame = subtract(seconds, divide(pair.frame, picture.rate));
  return reduce(add(divide(pair.sample, sound.sampleRate), multiply(fromFrame, slope)));
}
