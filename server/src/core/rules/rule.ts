/**
 * What every finding code is made of. One file per code exports one `Rule`; `allRules.ts` lists them.
 *
 * A rule looks at the audit's context and yields drafts; the audit adds severity, acceptance and order. A rule that can put
 * something right also offers fixes, recomputed from the context each time they are asked for, so that no state is kept.
 */

import type { AuditContext } from './context.ts';
import type { Finding, FindingCode, Fix, Severity } from './finding.ts';

export interface Rule {
  readonly code: FindingCode;
  readonly defaultSeverity: Severity;
  readonly documentation: RuleDocumentation;
  readonly check: (context: AuditContext) => Iterable<FindingDraft>;
  /** Best first; empty when nothing can be offered. */
  readonly fixes?: (context: AuditContext, finding: Finding) => readonly Fix[];
  /** Fixes that reach past the finding, such as every clip of its recording. Never part of 'fix all'. */
  readonly groupFixes?: (context: AuditContext, finding: Finding) => readonly Fix[];
  /** Shown faded, as something that can go. */
  readonly isUnnecessary?: boolean;
  /** Shown struck through, as something of an older time. */
  readonly isDeprecated?: boolean;
}

/** Whole sentences, for the page of the code and for `explain`. */
export interface RuleDocumentation {
  readonly title: string;
  readonly what: string;
  readonly why: string;
  readonly whatToDo: string;
  /** Where its numbers come from: standard and clause, 'common practice', or 'from memory'. */
  readonly sources: readonly string[];
}

export interface FindingDraft extends Omit<Finding, 'code' | 'severity'> {
  /** Lowered one step: the violation is smaller than what the report's own uncertainty allows to tell. */
  readonly isLowered?: boolean;
  /** For codes that carry their own severity, such as the problems of a report. */
  readonly severity?: Finding['severity'];
}

/** A draft about clips of the timeline, with everything optional left empty. */
export function draft(required: Pick<FindingDraft, 'message' | 'place'> & Partial<FindingDraft>): FindingDraft {
  return { related: [], picture: null, sound: null, lag: null, cause: null, clips: [], ...required };
}
