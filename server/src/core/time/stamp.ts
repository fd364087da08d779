/**
 * File time stamps: timecode of a picture's first frame, samples since midnight of a sound's first sample.
 *
 * The two meet only through real seconds. A BWF TimeReference counts samples (EBU Tech 3285, TimeReferenceLow/High), so
 * its seconds are samples / sample rate; a timecode's seconds are its frame number / exact rate. At 24000/1001 the label
 * 01:00:00:00 is therefore 172,972,800 samples at 48 kHz; 172,800,000 is the common wrong answer, 3.6 s per hour away.
 */

import type { Rate } from './rate.ts';
import { divide, multiply, type Rational, rational } from './rational.ts';

/** Seconds since midnight of frame `frame`. */
export function frameStampSeconds(frame: Rational, rate: Rate): Rational {
  return divide(frame, rate);
}

/** Seconds since midnight of sample `sample`. */
export function sampleStampSeconds(sample: Rational, sampleRate: Rate): Rational {
  return divide(sample, sampleRate);
}

/** The sample stamp at the instant of a timecode's frame; whole only where the rates allow it. */
export function frameToSampleStamp(frame: number, rate: Rate, sampleRate: Rate): Rational {
  return multiply(divide(rational(frame), rate), sampleRate);
}

/** The frame number, whole or not, at the instant of a sample stamp. */
export function sampleStampToFrame(sample: Rational, sampleRate: Rate, rate: Rate): Rational {
  return multiply(divide(sample, sampleRate), rate);
}
