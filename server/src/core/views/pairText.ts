/**
 * How a pair of the report came about and how sure it is, in words.
 */

import type { Pair } from '../alignment/model.ts';
import { amountOfTime } from '../text/words.ts';
import { absolute, compare, equals, isZero, multiply, ONE, type Rational, rational, sign } from '../time/rational.ts';
import { clockText, numberText } from './timeText.ts';

/** 'cam-a-01 and deck-01 are paired by clap 1, true to 5 ms either way (slate in view).' */
export function pairSentence({ picture, sound, by, clap, uncertaintyEarly, uncertaintyLate, note }: Pair): string {
  const how = `${pairedBy(by, clap)}${uncertainty(uncertaintyEarly, uncertaintyLate)}`;
  return `${picture.key} and ${sound.key} are ${how}${note === '' ? '.' : ` (${note}).`}`;
}

/** When the recorder was started against the camera: the offset between the two files, in words instead of a sign. */
export function startedText(offset: Rational): string {
  if (isZero(offset)) return 'with the camera';
  const amount = compare(absolute(offset), ONE) < 0 ? amountOfTime(offset) : clockText(absolute(offset));
  return `${amount} ${sign(offset) > 0 ? 'before' : 'after'} the camera`;
}

/** '12 ppm fast, 43.2 ms in an hour'; null without drift. */
export function driftText(driftPpm: Rational): string | null {
  if (isZero(driftPpm)) return null;
  const perHour = multiply(driftPpm, rational(3600, 1_000_000));
  return `${numberText(absolute(driftPpm))} ppm ${sign(driftPpm) > 0 ? 'fast' : 'slow'}, ${amountOfTime(perHour)} in an hour`;
}

function pairedBy(by: Pair['by'], clap: number | null): string {
  switch (by) {
    case 'clap':
      return clap === null ? 'paired by the clap' : `paired by clap ${clap}`;
    case 'waveform':
      return 'paired by comparing their sound';
    case 'timecode':
      return 'paired by timecode';
    case 'eye':
      return 'paired by eye';
    case null:
      return 'paired in the report';
  }
}

function uncertainty(early: Rational, late: Rational): string {
  if (isZero(early) && isZero(late)) return '';
  if (equals(early, late)) return `, true to ${amountOfTime(early)} either way`;
  return `, true to ${amountOfTime(early)} earlier and ${amountOfTime(late)} later`;
}
