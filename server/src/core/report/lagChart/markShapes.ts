/**
 * The shape of each verdict, so that none is told by colour alone: a dot is in, a triangle points the way sound is off
 * (down: leads, up: lags), a diamond drifts.
 *
 * Corners are given around 0,0 for a mark of size 1; a dot has none.
 */

import type { Verdict } from '../../rules/comparison.ts';

export type Corners = readonly (readonly [x: number, y: number])[];

export const MARK_CORNERS: Readonly<Record<Verdict, Corners>> = {
  in: [],
  leads: [
    [-0.6, -0.45],
    [0.6, -0.45],
    [0, 0.65],
  ],
  lags: [
    [-0.6, 0.45],
    [0, -0.65],
    [0.6, 0.45],
  ],
  drifts: [
    [0, -0.7],
    [0.62, 0],
    [0, 0.7],
    [-0.62, 0],
  ],
};

/** Radius of the dot of a mark of size 1. */
export const DOT_RADIUS = 0.34;
/** As large as marks are drawn where there is room. */
export const MARK_SIZE = 11;

/** What a mark is called in a legend. */
export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = { in: 'in', leads: 'leads', lags: 'lags', drifts: 'drifts' };
