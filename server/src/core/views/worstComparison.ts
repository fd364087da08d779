/**
 * Of all that one clip is compared with, what a person should hear first.
 *
 * Leads come before drifts and drifts before lags: sound that is early is noticed soonest. Of two alike, the larger lag.
 */

import type { Comparison, Verdict } from '../rules/comparison.ts';
import type { AuditContext } from '../rules/context.ts';
import { absolute, compare, maximum, type Rational } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';

/** Everything the clip was compared with; empty for clips that are neither picture nor sound. */
export function comparisonsOf(context: AuditContext, clip: Clip): readonly Comparison[] {
  if (clip.role === 'sound') return context.comparisonsBySoundClip().get(clip.index) ?? [];
  if (clip.role !== 'picture') return [];
  return context.comparisons.filter((comparison) => comparison.pictureClip === clip.index);
}

const GRAVITY: Readonly<Record<Verdict, number>> = { in: 0, lags: 1, drifts: 2, leads: 3 };

/** Null when there is none. */
export function worstOf(comparisons: readonly Comparison[]): Comparison | null {
  let worst: Comparison | null = null;
  for (const comparison of comparisons) {
    const step = worst === null ? 1 : GRAVITY[comparison.verdict] - GRAVITY[worst.verdict];
    if (step > 0 || (step === 0 && worst !== null && compare(sizeOf(comparison), sizeOf(worst)) > 0)) worst = comparison;
  }
  return worst;
}

function sizeOf({ lag }: Comparison): Rational {
  return maximum(absolute(lag.head), absolute(lag.tail));
}
