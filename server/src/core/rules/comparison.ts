/**
 * One picture clip against one sound clip of its pair, over the record time they share.
 *
 * Lag is linear over the overlap, so its two ends say everything.
 */

import type { Pair } from '../alignment/model.ts';
import type { Rational } from '../time/rational.ts';
import type { TimeRange } from '../timeline/model.ts';

/** `drifts`: one end in and the other out, or one end leads and the other lags. */
export type Verdict = 'in' | 'leads' | 'lags' | 'drifts';

export interface Lag {
  /** Seconds at the start of the overlap; positive when sound is late. */
  readonly head: Rational;
  /** Seconds at the end of the overlap. */
  readonly tail: Rational;
}

export interface Comparison {
  readonly pair: Pair;
  /** Indices into the timeline's clips. */
  readonly pictureClip: number;
  readonly soundClip: number;
  readonly record: TimeRange;
  readonly lag: Lag;
  readonly verdict: Verdict;
}
