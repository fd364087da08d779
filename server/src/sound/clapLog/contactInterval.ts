/**
 * When the hands met, by what the eye saw in which frame.
 *
 * A picture shows the time in which its shutter was open and nothing of the rest, so a frame read by eye names an interval. Which one
 * depends on what was seen, and on the shutter: with period T and exposure e, counted from the start of the frame named.
 *
 * The sound is then placed on the latest instant of the interval: heard there it can be late against the picture, by up to the
 * width of the interval, but never early. If it cannot be exact, let sound lag by about one frame at most (common practice; consistent
 * with the asymmetry in ITU-R BT.1359-1).
 */

import type { Rate } from '../../core/time/rate.ts';
import {
  add,
  compare,
  divide,
  multiply,
  negate,
  ONE,
  type Rational,
  rational,
  subtract,
  ZERO,
} from '../../core/time/rational.ts';

/** What was seen in the frame named. */
export type FrameReading =
  /** The frame during which the hands meet: contact between its start and the next one's. The plain reading of a clap log. */
  | 'contact'
  /** The first frame in which the hands or sticks are fully closed. */
  | 'first-closed'
  /** The first frame that shows them closed at all. */
  | 'first-showing-closed'
  /** The frame in which they are a blur from open to closed. */
  | 'blur'
  /** The first sharp closed frame after a sharp open one. */
  | 'sharp-closed';

export const FRAME_READINGS: readonly FrameReading[] = [
  'contact',
  'first-closed',
  'first-showing-closed',
  'blur',
  'sharp-closed',
];

/** In seconds from the start of the frame named. */
export interface ContactInterval {
  readonly earliest: Rational;
  readonly latest: Rational;
}

/** A full turn of the shutter, in degrees. */
const FULL_TURN = rational(360);

/**
 * The interval for a reading; `shutterDegrees` null when unknown, which takes the widest interval that any shutter allows.
 *
 * The four readings with exposure e and period T: (-T, 0], (e - T, e], (0, e], (e - T, 0]. Exposure is angle / 360 / rate (trade formula).
 */
export function contactInterval(reading: FrameReading, rate: Rate, shutterDegrees: Rational | null): ContactInterval {
  const period = divide(ONE, rate);
  const exposure = shutterDegrees === null ? null : multiply(divide(shutterDegrees, FULL_TURN), period);
  switch (reading) {
    case 'contact':
      return { earliest: ZERO, latest: period };
    case 'first-closed':
      return { earliest: negate(period), latest: ZERO };
    case 'first-showing-closed':
      return { earliest: exposure === null ? negate(period) : subtract(exposure, period), latest: exposure ?? period };
    case 'blur':
      return { earliest: ZERO, latest: exposure ?? period };
    case 'sharp-closed':
      return { earliest: exposure === null ? negate(period) : subtract(exposure, period), latest: ZERO };
  }
}

/** True for a shutter angle that exists: above 0, up to 360 degrees. */
export function isShutterAngle(degrees: Rational): boolean {
  return compare(degrees, ZERO) > 0 && compare(degrees, FULL_TURN) <= 0;
}

/** Where a sound belongs on a picture, in the words of the alignment report. */
export interface Placement {
  /** The start of this picture frame, fractions allowed, ... */
  readonly frame: Rational;
  /** ... is the instant of this sample. */
  readonly sample: Rational;
  /** Seconds, not negative: the true instant of the sound may lie this much earlier or later than `sample` says. */
  readonly uncertaintyEarly: Rational;
  readonly uncertaintyLate: Rational;
}

/**
 * Places the edge of a clap on the frame read by eye, so that the sound can lag but not lead.
 *
 * The edge is put on the latest instant of the contact. Had the hands met at the earliest, the sound of that picture instant would lie
 * later in the recording by the width of the interval: that is the late uncertainty. The edge's own uncertainty, in seconds, widens
 * both sides.
 */
export function placeClap(
  frame: Rational,
  interval: ContactInterval,
  rate: Rate,
  edgeSample: Rational,
  edgeUncertainty: Rational,
): Placement {
  return {
    frame: add(frame, multiply(interval.latest, rate)),
    sample: edgeSample,
    uncertaintyEarly: edgeUncertainty,
    uncertaintyLate: add(subtract(interval.latest, interval.earliest), edgeUncertainty),
  };
}
