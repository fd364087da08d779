/**
 * The line of a pair: picture media time to sound media time and back.
 *
 * It is asked for thousands of times per audit, so slope and intercept are worked out once per pair and remembered: a
 * cache of a pure function, in which an entry goes when its pair goes.
 */

import { add, divide, equals, multiply, ONE, type Rational, rational, reduce, subtract } from '../time/rational.ts';
import type { Pair } from './model.ts';

const MILLION = rational(1_000_000);

interface PairLine {
  /** Sound seconds per picture second; null for exactly 1, which is nearly every pair. */
  readonly slope: Rational | null;
  /** Sound media time at picture media time 0. */
  readonly intercept: Rational;
}

const linesOfPairs = new WeakMap<Pair, PairLine>();

/**
 * Media seconds in the sound at media seconds in the picture, exactly:
 * s(p) = sample/sampleRate + (p - frame/rate) x (1 + driftPpm/1e6).
 */
export function mapPictureToSound(pair: Pair, pictureMediaTime: Rational): Rational {
  const { slope, intercept } = lineOf(pair);
  return add(slope === null ? pictureMediaTime : multiply(pictureMediaTime, slope), intercept);
}

/** Media seconds in the picture at media seconds in the sound, exactly. The reader lets no slope of zero through. */
export function mapSoundToPicture(pair: Pair, soundMediaTime: Rational): Rational {
  const { slope, intercept } = lineOf(pair);
  const distance = subtract(soundMediaTime, intercept);
  return slope === null ? distance : divide(distance, slope);
}

function lineOf(pair: Pair): PairLine {
  const known = linesOfPairs.get(pair);
  if (known !== undefined) return known;
  const slope = reduce(add(ONE, divide(pair.driftPpm, MILLION)));
  const pictureInstant = divide(pair.frame, pair.picture.rate);
  const soundInstant = divide(pair.sample, pair.sound.sampleRate);
  const line = {
    slope: equals(slope, ONE) ? null : slope,
    intercept: reduce(subtract(soundInstant, multiply(pictureInstant, slope))),
  };
  linesOfPairs.set(pair, line);
  return line;
}
