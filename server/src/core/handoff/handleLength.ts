/**
 * How long handles are, in whole frames.
 *
 * Rooms ask for seconds and mean seconds of timecode: five seconds are 125 frames at 25 and 120 at 23.976 (common practice, facility
 * delivery sheets). A length that is no whole number of frames is rounded up, since a handle too long hurts nobody.
 */

import type { Duration } from '../alignment/settings.ts';
import { countToSeconds, nominalFramesPerSecond, type Rate } from '../time/rate.ts';
import { ceiling, divide, multiply, type Rational, rational } from '../time/rational.ts';

export interface HandleLength {
  readonly frames: number;
  readonly seconds: Rational;
}

/** Where samples are asked for, they are taken for those of the usual rate (common practice). */
const USUAL_SAMPLE_RATE = rational(48000);

export function handleLength(asked: Duration, rate: Rate): HandleLength {
  const frames = Number(ceiling(framesOf(asked, rate)));
  return { frames, seconds: countToSeconds(rational(frames), rate) };
}

function framesOf({ value, unit }: Duration, rate: Rate): Rational {
  switch (unit) {
    case 's':
      return multiply(value, rational(nominalFramesPerSecond(rate)));
    case 'ms':
      return multiply(divide(value, rational(1000)), rational(nominalFramesPerSecond(rate)));
    case 'f':
      return value;
    case 'smp':
      return multiply(divide(value, USUAL_SAMPLE_RATE), rate);
  }
}
