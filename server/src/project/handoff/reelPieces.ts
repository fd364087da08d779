/**
 * The pieces of a reel with their timing settled: copied where that stays true, resampled where drift would carry them away.
 */

import type { PlannedPiece, PlannedReel } from '../../core/handoff/reelPlan.ts';
import { ceiling, divide, isOne, type Rational, rational, subtract } from '../../core/time/rational.ts';
import type { ReelPiece, ReelRecording } from '../../sound/reel/reel.ts';
import { type ReelTiming, reelTiming } from '../../sound/reel/reelTiming.ts';

export interface TimedPiece extends ReelTiming {
  readonly planned: PlannedPiece;
  /** Reel samples at its head and tail for which the recording holds nothing. */
  readonly silentHead: number;
  readonly silentTail: number;
}

/** `countOf`: samples in the recording of a piece. */
export function timedPieces(
  { pieces }: PlannedReel,
  thresholdSamples: Rational,
  countOf: (piece: PlannedPiece) => number,
): readonly TimedPiece[] {
  return pieces.map((planned) => {
    const timing = reelTiming(planned.from, planned.step, planned.count, thresholdSamples);
    const head = firstAtOrAfter(timing, 0, planned.count);
    const end = firstAtOrAfter(timing, countOf(planned), planned.count);
    return { ...timing, planned, silentHead: head, silentTail: planned.count - Math.max(head, end) };
  });
}

export function reelPiece({ planned, from, step }: TimedPiece, recording: ReelRecording): ReelPiece {
  return { recording, at: planned.at, count: planned.count, from, step };
}

/** How many reel samples of the piece lie before sample `place` of the recording. */
function firstAtOrAfter({ from, step }: ReelTiming, place: number, count: number): number {
  const distance = subtract(rational(place), from);
  const samples = isOne(step) ? distance : divide(distance, step);
  return Math.min(count, Math.max(0, Number(ceiling(samples))));
}

/** Resampling costs about this many times what copying does. */
const RESAMPLING_COST = 40;

/** How much work a reel is, in samples copied. */
export function workOf({ pieces, sampleCount }: PlannedReel, thresholdSamples: Rational): number {
  return pieces.reduce((sum, { from, step, count }) => {
    return sum + (reelTiming(from, step, count, thresholdSamples).isResampled ? (RESAMPLING_COST - 1) * count : 0);
  }, sampleCount);
}
