/**
 * What the audit says: a finding is one thing wrong at one place, with everything a renderer or editor needs to show it.
 *
 * Findings stay structured until the last step, because only structured ones can carry a fix.
 */

import type { Change } from '../formats/timelineFormat.ts';
import type { Span } from '../text/span.ts';
import type { Rational } from '../time/rational.ts';

/** The public codes, in the order in which documentation lists them. Never renumbered, never reused. */
export const FINDING_CODES = [
  'sound-leads',
  'sound-lags',
  'sound-drifts',
  'sound-doubled',
  'wrong-recording',
  'unmeasured',
  'no-sound',
  'scratch-live',
  'rate-mismatch',
  'sample-rate-mismatch',
  'speed-mismatch',
  'drop-frame',
  'off-grid',
  'length-mismatch',
  'record-overlap',
  'outside-media',
  'short-handles',
  'media-ambiguous',
  'unreadable',
  'old-schema',
  'report-invalid',
  'accepted-unused',
] as const;

export type FindingCode = (typeof FINDING_CODES)[number];

export type Severity = 'error' | 'warning' | 'information' | 'off';

/** A place in one of the files of an audit. `file` null means the timeline itself. */
export interface Place {
  readonly file: string | null;
  readonly span: Span;
}

export interface RelatedPlace extends Place {
  readonly message: string;
}

export interface Finding {
  readonly code: FindingCode;
  readonly severity: Exclude<Severity, 'off'>;
  /** What is wrong, by how much, in which units, the likely cause, and what to do. */
  readonly message: string;
  readonly place: Place;
  readonly related: readonly RelatedPlace[];
  /** Keys of the report's entries, where the finding is about them. */
  readonly picture: string | null;
  readonly sound: string | null;
  /** Seconds; positive lags. */
  readonly lag: { readonly head: Rational; readonly tail: Rational } | null;
  /** The known cause that fits, as a phrase; null when none does. */
  readonly cause: string | null;
  /** Indices of the timeline's clips this is about, the one the finding stands on first. */
  readonly clips: readonly number[];
}

export interface Fix {
  /** What moves and by how much: 'Slip DECK_0012.wav 1 frame later'. */
  readonly title: string;
  /** Safe fixes keep the clip's place and length and stay inside the media; only these join 'fix all'. */
  readonly isSafe: boolean;
  readonly isPreferred: boolean;
  readonly changes: readonly Change[];
}
