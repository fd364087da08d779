/**
 * The settings of a project (`afterclap.json`) as the engine uses them.
 *
 * These decide findings, in the editor as in continuous integration. Nothing here decides display.
 */

import type { FindingCode, Severity } from '../rules/finding.ts';
import type { Span } from '../text/span.ts';
import type { Rate } from '../time/rate.ts';
import type { Rational } from '../time/rational.ts';
import type { FileProblem } from './model.ts';

/** A length of time in the unit the person wrote: exact once a rate is known. */
export interface Duration {
  readonly value: Rational;
  /** `f`: frames of the timeline; `smp`: samples of the sound in question. */
  readonly unit: 'ms' | 's' | 'f' | 'smp';
}

export interface Tolerance {
  /** The named tolerance this is, or null for one of the project's own. */
  readonly name: string | null;
  /** How much sound may lead its picture. Not negative. */
  readonly lead: Duration;
  /** How much sound may lag its picture. Not negative. */
  readonly lag: Duration;
}

/** The steps in which a fix may land. */
export type Grid = 'sample' | '1f' | '1/10f' | '1/80f' | '1/100f';

export interface SettingsAcceptance {
  readonly code: string;
  /** Clip name it is limited to; null for every clip. */
  readonly clip: string | null;
  readonly reason: string;
  readonly span: Span;
}

export interface Settings {
  /** Where they come from, as shown to people; null for the defaults. */
  readonly file: string | null;
  readonly alignment: readonly { readonly path: string; readonly span: Span }[] | null;
  readonly tolerance: Tolerance;
  /** Null: each clip keeps to whole counts of the unit it is written in. */
  readonly grid: Grid | null;
  readonly edlRate: Rate | null;
  readonly handles: Duration | null;
  readonly severities: Readonly<Partial<Record<FindingCode, Severity>>>;
  readonly acceptances: readonly SettingsAcceptance[];
  readonly problems: readonly FileProblem[];
}
