/**
 * The lag chart as plain data: every comparison of an audit with its exact numbers and the words that read them out.
 *
 * Whoever draws needs no knowledge of time, reports or tolerances: rationals come as strings ('num/den', seconds), names once
 * in tables with indices to them, and every number that a person reads is worded here. Drawing may turn the strings into
 * floats; judging may not, and need not, since verdicts stand in the data.
 *
 * Invariants
 * - Indices are into the chart's own tables; `clips[i].index` leads back to the timeline.
 * - `comparisons` are in the audit's order: record start, then picture clip, then sound clip.
 * - `empty` is null exactly when there is a comparison.
 */

import type { Verdict } from '../rules/comparison.ts';
import type { Finding } from '../rules/finding.ts';

export interface LagChart {
  /** The timeline's own name; may be empty. */
  readonly name: string;
  /** Frames per second. */
  readonly rate: string;
  readonly isDropFrame: boolean;
  /** Record timecode of the timeline's first instant, in frames; null when the file does not tell. */
  readonly startFrame: string | null;
  readonly duration: string;
  /** '18 comparisons: 9 in, 4 lead, 4 lag, 1 drifts. 3 enabled clips are compared with nothing.' */
  readonly summary: string;
  /** Why there is nothing to draw, in sentences; null when there is. */
  readonly empty: string | null;
  /** Tracks that hold a compared clip, in the timeline's order. */
  readonly tracks: readonly ChartTrack[];
  /** Compared clips, in text order. */
  readonly clips: readonly ChartClip[];
  readonly pairs: readonly ChartPair[];
  readonly comparisons: readonly ChartComparison[];
}

interface ChartTrack {
  readonly name: string;
  readonly kind: 'picture' | 'sound' | 'other';
}

interface ChartClip {
  /** Index into the timeline's clips. */
  readonly index: number;
  readonly track: number;
  /** Never empty: a clip without a name goes by its media. */
  readonly name: string;
  /** Record seconds. */
  readonly start: string;
  readonly end: string;
}

export interface ChartPair {
  /** Keys of the report's entries. */
  readonly picture: string;
  readonly sound: string;
  /** Seconds, not negative: the true lag may be this much smaller (`early`) or greater (`late`) than `head` and `tail` say. */
  readonly early: string;
  readonly late: string;
  /** Seconds, not negative: how far this sound may lead and lag. */
  readonly lead: string;
  readonly lag: string;
  /** How the pair came about and how sure it is. */
  readonly words: string;
  /** 'Allowed: leads by up to 1 ms, lags by up to 41.7 ms.' */
  readonly limits: string;
}

/** How grave a comparison is: as its finding in the list of problems; `none` where nothing is reported. */
export type ChartSeverity = Finding['severity'] | 'none';

export interface ChartComparison {
  readonly pair: number;
  readonly picture: number;
  readonly sound: number;
  /** Record seconds of the overlap. */
  readonly start: string;
  readonly end: string;
  /** Seconds of lag; positive when sound is late. */
  readonly head: string;
  readonly tail: string;
  readonly verdict: Verdict;
  readonly severity: ChartSeverity;
  /** True when a person accepted the finding. */
  readonly isAccepted: boolean;
  /** 'leads by 41.7 ms, 1 frame, 2002 samples'. */
  readonly words: string;
  /** 'leads 41.7 ms': for beside a mark. */
  readonly short: string;
  /** '01:00:10:00 to 01:00:20:00'. */
  readonly at: string;
  /** Likely cause, doubt, reason of an acceptance: sentences, empty when there is nothing more to say. */
  readonly remarks: string;
}
