/**
 * The audit: one timeline against its report, under its settings. The single entry for every edge: the editor, the
 * command line and continuous integration all call this function and cannot disagree.
 *
 * It is pure and deterministic. It never throws on any text: what can't be read becomes a finding.
 */

import type { AlignmentReport } from './alignment/model.ts';
import type { Settings } from './alignment/settings.ts';
import type { EditResult } from './formats/timelineFormat.ts';
import type { Comparison } from './rules/comparison.ts';
import type { Finding, Fix } from './rules/finding.ts';
import type { FormatId, Timeline } from './timeline/model.ts';

export interface AuditInput {
  readonly format: FormatId;
  readonly text: string;
  /** All reports that serve this timeline, in the order in which the settings name them; empty when there is none. */
  readonly reports: readonly AlignmentReport[];
  readonly settings: Settings;
}

export interface Audit {
  readonly input: AuditInput;
  readonly timeline: Timeline;
  /** Ordered by record start, then picture clip, then sound clip. */
  readonly comparisons: readonly Comparison[];
  /** In text order; those of the report's own text are not here, see `reportFindings`. */
  readonly findings: readonly Finding[];
  /** Findings that an acceptance silenced, with its reason. */
  readonly accepted: readonly { readonly finding: Finding; readonly reason: string }[];
}

export declare function audit(input: AuditInput): Audit;

/** Findings on the characters of a report or settings file itself. */
export declare function reportFindings(report: AlignmentReport, settings: Settings): readonly Finding[];

/** The edits offered for one finding, best first. Recomputed from the audit, never remembered. */
export declare function fixesFor(result: Audit, finding: Finding): readonly Fix[];

/** The characters to change for a fix. Not ok when the format cannot hold it. */
export declare function editsForFix(result: Audit, fix: Fix): EditResult;

/** The safe preferred fixes of all findings together, as one set of edits that do not overlap. */
export declare function fixAll(
  result: Audit,
  codes: readonly string[] | null,
): { readonly edits: EditResult; readonly fixes: readonly Fix[] };
