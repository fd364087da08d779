/**
 * Contradictions inside one pair: with its entries, with the claps, with what clocks do.
 *
 * None of these stops the pair from being used; each says which of two things that cannot both be right stand where.
 */

import type { Span } from '../text/span.ts';
import { amountOfTime } from '../text/words.ts';
import {
  absolute,
  add,
  compare,
  divide,
  formatExactDecimal,
  formatRational,
  isZero,
  negate,
  type Rational,
  rational,
  reduce,
  sign,
  subtract,
  toNumber,
} from '../time/rational.ts';
import { frameStampSeconds, sampleStampSeconds } from '../time/stamp.ts';
import { addProblem, type JsonFile, shown } from './jsonFields.ts';
import type { Pair } from './model.ts';

/** Where the numbers of a pair stand. */
export interface PairPlaces {
  readonly frame: Span;
  readonly sample: Span;
  readonly clap: Span;
  readonly drift: Span;
}

/** Clocks drift by tens of parts per million; even a 0.1 % pull, which is no drift, stays under this (common practice). */
const LARGEST_PLAUSIBLE_PPM = rational(2000);
const ONE_SAMPLE = rational(1);

export function checkPair(json: JsonFile, pair: Pair, places: PairPlaces): void {
  checkFrame(json, pair, places.frame);
  checkSample(json, pair, places.sample);
  checkClap(json, pair, places);
  checkDrift(json, pair, places.drift);
  checkStamps(json, pair, places.sample);
}

function checkFrame(json: JsonFile, pair: Pair, place: Span): void {
  const { frameCount, key } = pair.picture;
  const isBefore = sign(pair.frame) < 0;
  if (!isBefore && (frameCount === null || compare(pair.frame, frameCount) < 0)) return;
  const range =
    frameCount === null ? 'starts at frame 0' : `has the frames 0 to ${formatRational(subtract(frameCount, rational(1)))}`;
  addProblem(json, 'warning', place, `Frame ${decimal(pair.frame)} lies outside picture "${shown(key)}", which ${range}.`);
}

function checkSample(json: JsonFile, pair: Pair, place: Span): void {
  const { sampleCount, key } = pair.sound;
  if (sign(pair.sample) >= 0 && (sampleCount === null || compare(pair.sample, sampleCount) < 0)) return;
  const range =
    sampleCount === null ? 'starts at sample 0' : `has the samples 0 to ${formatRational(subtract(sampleCount, rational(1)))}`;
  addProblem(json, 'warning', place, `Sample ${decimal(pair.sample)} lies outside sound "${shown(key)}", which ${range}.`);
}

/** A sound that lists no claps can't contradict a clap number. */
function checkClap(json: JsonFile, pair: Pair, places: PairPlaces): void {
  const { clap, sound, sample } = pair;
  if (clap === null || sound.claps.length === 0) return;
  const instant = sound.claps[clap - 1];
  if (instant === undefined) {
    const count = sound.claps.length === 1 ? '1 clap' : `${sound.claps.length} claps`;
    addProblem(json, 'warning', places.clap, `Clap ${clap} is not there: sound "${shown(sound.key)}" lists ${count}.`);
    return;
  }
  const distance = divide(subtract(instant, sample), sound.sampleRate);
  const reach = sign(distance) < 0 ? pair.uncertaintyEarly : pair.uncertaintyLate;
  // Lists of claps hold whole samples, `sample` may not: one sample is rounding, not a contradiction.
  if (compare(absolute(distance), add(reach, divide(ONE_SAMPLE, sound.sampleRate))) <= 0) return;
  const side = sign(distance) < 0 ? 'before' : 'after';
  addProblem(
    json,
    'warning',
    places.sample,
    `Clap ${clap} of sound "${shown(sound.key)}" is listed at sample ${decimal(instant)}, ${amountOfTime(distance)} ${side} this sample and farther than the uncertainty allows. Is it another clap?`,
  );
}

function checkDrift(json: JsonFile, pair: Pair, place: Span): void {
  if (compare(absolute(pair.driftPpm), LARGEST_PLAUSIBLE_PPM) <= 0) return;
  addProblem(
    json,
    'warning',
    place,
    `A drift of ${decimal(pair.driftPpm)} parts per million is more than clocks do (some tens). Speed errors that are no drift: a 0.1 % pull is 1000 or -999, 24 against 25 frames per second is 41667 or -40000. Correct the rate of the file instead.`,
  );
}

/** A pair taken from time stamps must agree with the stamps its entries state. */
function checkStamps(json: JsonFile, pair: Pair, place: Span): void {
  const { picture, sound } = pair;
  if (pair.by !== 'timecode' || picture.startFrame === null || sound.startSample === null) return;
  const pictureClock = frameStampSeconds(add(picture.startFrame, pair.frame), picture.rate);
  const soundClock = sampleStampSeconds(add(sound.startSample, pair.sample), sound.sampleRate);
  const distance = reduce(subtract(soundClock, pictureClock));
  const allowed = isZero(add(pair.uncertaintyEarly, pair.uncertaintyLate))
    ? divide(ONE_SAMPLE, sound.sampleRate)
    : sign(distance) > 0
      ? pair.uncertaintyEarly
      : pair.uncertaintyLate;
  if (compare(sign(distance) < 0 ? negate(distance) : distance, allowed) <= 0) return;
  addProblem(
    json,
    'warning',
    place,
    `This pair was made by timecode, yet by the time stamps of both files its sample lies ${amountOfTime(distance)} ${sign(distance) > 0 ? 'after' : 'before'} its frame. A stamp read at 24 instead of 23.976 frames per second is 3.6 s off per hour.`,
  );
}

function decimal(value: Rational): string {
  return formatExactDecimal(value) ?? String(toNumber(value));
}
