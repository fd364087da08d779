/**
 * From what a person chose at the clap desk to the place of a sound on its picture: exact, and said with its limits.
 *
 * Three things are chosen: the frame in which the eye sees the hands meet, the edge of the clap in the recording, and how far the sound
 * is nudged from where the rule puts it. Whatever was not chosen stays as the report has it. The rule is that of `placeClap`: sound
 * on the latest instant at which the hands can have met, so that it can lag but not lead. Who nudges against it is told how far
 * the sound may lead then.
 */

import type { Pair } from '../../core/alignment/model.ts';
import type { Rate } from '../../core/time/rate.ts';
import {
  add,
  compare,
  divide,
  isZero,
  multiply,
  ONE,
  type Rational,
  rational,
  reduce,
  subtract,
  ZERO,
} from '../../core/time/rational.ts';
import { contactInterval, type FrameReading, type Placement, placeClap } from '../clapLog/contactInterval.ts';

/** What the report says of the pair. */
export interface StandingPair extends Pick<Pair, 'frame' | 'sample' | 'uncertaintyEarly' | 'uncertaintyLate' | 'by'> {
  /** True where its sample is the edge of a clap. A pair by waveform or timecode may tie any sample to any frame. */
  readonly isEdge: boolean;
}

/** A frame picked by eye; counts from the first of the file (0). */
export interface SeenFrame {
  readonly frame: Rational;
  readonly reading: FrameReading;
  /** Null when unknown: the widest interval that any shutter allows. */
  readonly shutterDegrees: Rational | null;
}

export interface DeskEdge {
  readonly sample: Rational;
  /** In samples: how far the true edge may lie to either side. */
  readonly uncertainty: Rational;
  /** By the clap finder or the report; false where a person put it. */
  readonly isFound: boolean;
}

export interface DeskChoice {
  /** Null: the report has no such pair yet. */
  readonly standing: StandingPair | null;
  /** Null: the report's frame. */
  readonly seen: SeenFrame | null;
  /** Null: the report's sample. */
  readonly edge: DeskEdge | null;
  /** Samples that the edge was moved by hand; positive is later in the recording, and so heard earlier. */
  readonly edgeMoved: Rational;
  /** Frames that the sound was moved by hand; positive is heard later. */
  readonly nudge: Rational;
}

export interface DeskPlacement extends Placement {
  readonly by: Pair['by'];
  /** False where the report tells no uncertainty and no frame was seen: nothing is known about it then, and both sides are 0. */
  readonly isDoubtKnown: boolean;
  /** Seconds that the sound is heard later than the rule or the report puts it; negative is earlier. */
  readonly movedByHand: Rational;
}

/** Null as long as nothing says where the sound belongs: no pair in the report, and no frame or no edge chosen. */
export function placementOf(choice: DeskChoice, rate: Rate, sampleRate: Rate): DeskPlacement | null {
  const base = basePlacement(choice, rate, sampleRate);
  if (base === null) return null;
  const movedByHand = reduce(subtract(divide(choice.nudge, rate), divide(choice.edgeMoved, sampleRate)));
  const isDoubtKnown =
    (choice.seen !== null && missingIn(choice) === null) || !isZero(base.uncertaintyEarly) || !isZero(base.uncertaintyLate);
  return {
    frame: reduce(add(base.frame, choice.nudge)),
    sample: reduce(add(base.sample, choice.edgeMoved)),
    uncertaintyEarly: isDoubtKnown ? notNegative(subtract(base.uncertaintyEarly, movedByHand)) : ZERO,
    uncertaintyLate: isDoubtKnown ? notNegative(add(base.uncertaintyLate, movedByHand)) : ZERO,
    isDoubtKnown,
    by: originOf(choice),
    movedByHand,
  };
}

/** A frame seen and an edge heard make a place together; one alone leaves the report's, unless the report has the other. */
function basePlacement({ standing, seen, edge }: DeskChoice, rate: Rate, sampleRate: Rate): Placement | null {
  const standingClap = standing?.isEdge === true ? standing : null;
  const heard = edge ?? (standingClap === null ? null : standingEdge(standingClap));
  if (seen !== null && heard !== null) {
    const interval = contactInterval(seen.reading, rate, seen.shutterDegrees);
    return placeClap(seen.frame, interval, rate, heard.sample, divide(heard.uncertainty, sampleRate));
  }
  if (standing === null) return null;
  const { frame, uncertaintyEarly, uncertaintyLate } = standing;
  return {
    frame,
    sample: standingClap === null ? standing.sample : (edge?.sample ?? standing.sample),
    uncertaintyEarly,
    uncertaintyLate,
  };
}

/** What is still to be chosen before there is a place, or before what was chosen makes another; null when nothing is. */
export function missingIn({ standing, seen, edge }: DeskChoice): 'frame' | 'edge' | null {
  const hasStandingEdge = standing?.isEdge === true;
  if (seen !== null) return edge !== null || hasStandingEdge ? null : 'edge';
  if (standing === null) return 'frame';
  return edge !== null && !hasStandingEdge ? 'frame' : null;
}

/** The report tells one uncertainty for eye and edge together; of an edge alone no more is known than its sample. */
function standingEdge({ sample }: StandingPair): DeskEdge {
  return { sample, uncertainty: ONE, isFound: true };
}

function originOf(choice: DeskChoice): Pair['by'] {
  const { standing, seen, edge } = choice;
  const isMoved = compare(choice.nudge, ZERO) !== 0 || compare(choice.edgeMoved, ZERO) !== 0;
  if (seen === null) return isMoved || (edge !== null && !edge.isFound) ? 'eye' : (standing?.by ?? null);
  const isEdgeFound = (edge?.isFound ?? true) && compare(choice.edgeMoved, ZERO) === 0;
  return isEdgeFound ? 'clap' : 'eye';
}

/** Seconds that the sound is heard later by `placement` than by `standing`, at the clap; negative is earlier. */
export function heardLater(
  standing: Pick<StandingPair, 'frame' | 'sample'>,
  placement: Pick<Placement, 'frame' | 'sample'>,
  rate: Rate,
  sampleRate: Rate,
  driftPpm: Rational,
): Rational {
  const inSound = divide(subtract(placement.sample, standing.sample), sampleRate);
  const inPicture = divide(subtract(placement.frame, standing.frame), rate);
  return reduce(subtract(inPicture, divide(inSound, slopeOf(driftPpm))));
}

/** Sound seconds per picture second. */
export function slopeOf(driftPpm: Rational): Rational {
  return add(ONE, divide(driftPpm, MILLION));
}

/** The sample heard at the start of picture frame `frame`: the line of the report, core/alignment/pairLine.ts, in frames and samples. */
export function sampleAtFrame(
  frame: Rational,
  placement: Pick<Placement, 'frame' | 'sample'>,
  rate: Rate,
  sampleRate: Rate,
  driftPpm: Rational,
): Rational {
  const seconds = multiply(divide(subtract(frame, placement.frame), rate), slopeOf(driftPpm));
  return reduce(add(placement.sample, multiply(seconds, sampleRate)));
}

/** The picture frame, with its fraction, at which `sample` is heard. */
export function frameAtSample(
  sample: Rational,
  placement: Pick<Placement, 'frame' | 'sample'>,
  rate: Rate,
  sampleRate: Rate,
  driftPpm: Rational,
): Rational {
  const seconds = divide(divide(subtract(sample, placement.sample), sampleRate), slopeOf(driftPpm));
  return reduce(add(placement.frame, multiply(seconds, rate)));
}

const MILLION = rational(1_000_000);

function notNegative(value: Rational): Rational {
  return compare(value, ZERO) < 0 ? ZERO : reduce(value);
}
