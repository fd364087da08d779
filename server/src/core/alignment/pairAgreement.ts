/**
 * Whether two pairs of the same picture and sound say the same, within what they claim to know.
 *
 * A report may hold a picture and a sound twice (two claps, or two reports). Each says where the sound's instant may lie; if
 * the two ranges never meet, one of them is wrong, or the clocks drift and nobody wrote by how much.
 */

import { amountOfTime } from '../text/words.ts';
import {
  absolute,
  add,
  compare,
  divide,
  multiply,
  type Rational,
  rational,
  reduce,
  sign,
  subtract,
  toNumber,
} from '../time/rational.ts';
import { shown } from './jsonFields.ts';
import type { Pair } from './model.ts';
import { mapPictureToSound } from './pairLine.ts';

export interface Contradiction {
  readonly earlier: Pair;
  readonly later: Pair;
  readonly message: string;
}

interface Disagreement {
  /** Seconds by which the later pair puts the sound later than the earlier pair does, at the later pair's own instant. */
  readonly difference: Rational;
  /** Seconds that their uncertainties allow on that side. */
  readonly allowed: Rational;
  /** The drift under which both would be right; null when they lie too close to tell or no clock drifts that much. */
  readonly explainingDriftPpm: Rational | null;
}

const HALF = rational(1, 2);
const MILLION = rational(1_000_000);
const SHORTEST_DISTANCE = rational(10);
/** Clocks of recorders and cameras stay within some tens of parts per million (common practice); ten times that is generous. */
const LARGEST_CLOCK_DRIFT_PPM = rational(500);

/** Each pair that contradicts the first pair of the same picture and sound. */
export function contradictionsAmong(pairs: readonly Pair[]): readonly Contradiction[] {
  const firsts = new Map<Pair['picture'], Map<Pair['sound'], Pair>>();
  const contradictions: Contradiction[] = [];
  for (const later of pairs) {
    let ofPicture = firsts.get(later.picture);
    if (ofPicture === undefined) {
      ofPicture = new Map();
      firsts.set(later.picture, ofPicture);
    }
    const earlier = ofPicture.get(later.sound);
    if (earlier === undefined) {
      ofPicture.set(later.sound, later);
      continue;
    }
    const disagreement = disagreementOf(earlier, later);
    if (disagreement !== null) contradictions.push({ earlier, later, message: wordsFor(earlier, later, disagreement) });
  }
  return contradictions;
}

function wordsFor(earlier: Pair, later: Pair, { difference, allowed, explainingDriftPpm }: Disagreement): string {
  const side = sign(difference) > 0 ? 'later' : 'earlier';
  const place = earlier.file === later.file ? 'an earlier pair' : `the pair in ${earlier.file}`;
  const drift =
    explainingDriftPpm === null
      ? ''
      : ` Both would be right if "driftPpm" were ${toNumber(explainingDriftPpm).toFixed(1)}; write that into both if the take is long.`;
  return `This pair puts sound "${shown(later.sound.key)}" ${amountOfTime(difference)} ${side} under picture "${shown(later.picture.key)}" than ${place} does, and their uncertainties allow ${amountOfTime(allowed)}.${drift} The one that states the smaller uncertainty is used.`;
}

/** Null when the two agree. */
function disagreementOf(earlier: Pair, later: Pair): Disagreement | null {
  const pictureTime = divide(later.frame, later.picture.rate);
  const soundTime = divide(later.sample, later.sound.sampleRate);
  const difference = reduce(subtract(soundTime, mapPictureToSound(earlier, pictureTime)));
  const allowed =
    sign(difference) > 0
      ? add(reach(earlier, 'late'), reach(later, 'early'))
      : add(reach(earlier, 'early'), reach(later, 'late'));
  if (compare(absolute(difference), allowed) <= 0) return null;
  return { difference, allowed, explainingDriftPpm: driftBetween(earlier, pictureTime, difference) };
}

/**
 * How far the true instant may lie from the sample written. A pair that states no uncertainty was still read off frames, so
 * half a frame each way is allowed before it counts as a contradiction.
 */
function reach(pair: Pair, side: 'early' | 'late'): Rational {
  const isStated = sign(pair.uncertaintyEarly) > 0 || sign(pair.uncertaintyLate) > 0;
  if (isStated) return side === 'early' ? pair.uncertaintyEarly : pair.uncertaintyLate;
  return divide(HALF, pair.picture.rate);
}

function driftBetween(earlier: Pair, laterPictureTime: Rational, difference: Rational): Rational | null {
  const distance = subtract(laterPictureTime, divide(earlier.frame, earlier.picture.rate));
  if (compare(absolute(distance), SHORTEST_DISTANCE) < 0) return null;
  const drift = reduce(add(earlier.driftPpm, multiply(divide(difference, distance), MILLION)));
  return compare(absolute(drift), LARGEST_CLOCK_DRIFT_PPM) <= 0 ? drift : null;
}
