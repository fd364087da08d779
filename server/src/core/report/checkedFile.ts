/**
 * What every renderer is fed: the files of one run with their findings, still structured.
 *
 * A timeline comes with its whole audit. Reports and settings files are entries of their own, because their findings stand on
 * their own characters. Paths are those a person would type from where the run was started.
 */

import { type Audit, editsForFix } from '../audit.ts';
import { ruleFor } from '../rules/allRules.ts';
import type { Finding, Fix } from '../rules/finding.ts';

export type CheckedFile = CheckedTimeline | CheckedSideFile;

export interface ReportedFinding {
  readonly finding: Finding;
  /** The best thing to do about it, when the program can; null when it cannot. */
  readonly fix: Fix | null;
  /** True when `fix` is safe, so that `--fix` makes it. */
  readonly isFixable: boolean;
}

export interface CheckedTimeline {
  readonly kind: 'timeline';
  readonly path: string;
  readonly audit: Audit;
  readonly findings: readonly ReportedFinding[];
  /** Which reports were used and why, or why none was; a sentence for people. */
  readonly reportReason: string;
  /** Where the tolerance comes from when it is not the settings', as a phrase. */
  readonly toleranceRemark: string | null;
  /** What `--fix` has put right in this run; the audit is of the text after it. */
  readonly fixed: readonly Fix[];
  /** Findings the baseline has, which are not in `findings`; absent without a baseline. */
  readonly leftOut?: readonly ReportedFinding[];
}

export interface CheckedSideFile {
  readonly kind: 'side';
  readonly format: 'alignment' | 'settings';
  readonly path: string;
  readonly text: string;
  readonly findings: readonly ReportedFinding[];
  /** As in a timeline. */
  readonly leftOut?: readonly ReportedFinding[];
}

export const SEVERITIES = ['error', 'warning', 'information'] as const;

export type ShownSeverity = (typeof SEVERITIES)[number];

/** How many findings there are of each severity, and how many `--fix` would put right. */
export interface FindingCounts extends Readonly<Record<ShownSeverity, number>> {
  readonly fixable: number;
}

/** A timeline ready to be shown, without the findings that stand in other files; fixes are asked for here, once. */
export function checkedTimeline(
  path: string,
  audit: Audit,
  remarks: Pick<CheckedTimeline, 'reportReason' | 'toleranceRemark' | 'fixed'>,
): CheckedTimeline {
  const own = audit.findings.filter(({ place }) => place.file === null);
  return { kind: 'timeline', path, audit, findings: own.map((finding) => withFix(audit, finding)), ...remarks };
}

/** Findings on a report or settings file; none of them is put right by a program. */
export function checkedSideFile(
  format: CheckedSideFile['format'],
  path: string,
  text: string,
  findings: readonly Finding[],
): CheckedSideFile {
  return { kind: 'side', format, path, text, findings: findings.map((finding) => ({ finding, fix: null, isFixable: false })) };
}

export function textOfFile(file: CheckedFile): string {
  return file.kind === 'timeline' ? file.audit.input.text : file.text;
}

export const NO_FINDINGS: FindingCounts = { error: 0, warning: 0, information: 0, fixable: 0 };

export function countFindings(file: CheckedFile): FindingCounts {
  return countReported(file.findings);
}

/** The findings of a file that the baseline has; none without a baseline. */
export function countLeftOut(file: CheckedFile): FindingCounts {
  return countReported(file.leftOut ?? []);
}

export function totalCount({ error, warning, information }: FindingCounts): number {
  return error + warning + information;
}

function countReported(findings: readonly ReportedFinding[]): FindingCounts {
  const counts = { ...NO_FINDINGS };
  for (const { finding, isFixable } of findings) {
    counts[finding.severity] += 1;
    if (isFixable) counts.fixable += 1;
  }
  return counts;
}

export function addCounts(left: FindingCounts, right: FindingCounts): FindingCounts {
  return {
    error: left.error + right.error,
    warning: left.warning + right.warning,
    information: left.information + right.information,
    fixable: left.fixable + right.fixable,
  };
}

/** What would put this finding right; neither acceptances nor fixes that reach past it. */
function withFix(audit: Audit, finding: Finding): ReportedFinding {
  const fixes = (ruleFor(finding.code).fixes?.(audit.context, finding) ?? []).filter((fix) => editsForFix(audit, fix).ok);
  const safe = fixes.find((fix) => fix.isSafe && fix.isPreferred);
  return { finding, fix: safe ?? fixes[0] ?? null, isFixable: safe !== undefined };
}
