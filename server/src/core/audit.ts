/**
 * The audit: one timeline against its report, under its settings. The single entry for every edge: the editor, the
 * command line and continuous integration all call this function and cannot disagree.
 *
 * It is pure and deterministic. It never throws on any text: what can't be read becomes a finding.
 */

import { sharedPictureRate } from './alignment/lookup.ts';
import type { AlignmentReport } from './alignment/model.ts';
import type { Settings } from './alignment/settings.ts';
import { formatFor } from './formats/formatFor.ts';
import type { EditResult, Reread } from './formats/timelineFormat.ts';
import { type AcceptedFinding, settleAcceptances } from './rules/acceptance.ts';
import { allRules, ruleFor } from './rules/allRules.ts';
import type { Comparison } from './rules/comparison.ts';
import { type AuditContext, buildContext, contextAfterEdit, withTables } from './rules/context.ts';
import { FINDING_CODES, type Finding, type FindingCode, type Fix, type Severity } from './rules/finding.ts';
import { comparisonsAfter, contextNear, inTimeline, shiftFinding } from './rules/nearContext.ts';
import { problemDrafts } from './rules/reportInvalid.ts';
import type { FindingDraft } from './rules/rule.ts';
import { type DifferingRange, differingRange } from './text/differingRange.ts';
import { type TextEdit, withoutRepeats } from './text/textEdit.ts';
import type { FormatId, Timeline } from './timeline/model.ts';

export interface AuditInput {
  readonly format: FormatId;
  readonly text: string;
  /** All reports that serve this timeline, in the order in which the settings name them; empty when there is none. */
  readonly reports: readonly AlignmentReport[];
  readonly settings: Settings;
  /** What the asset map beside a composition playlist says; see `ReadOptions`. */
  readonly assetNames?: ReadonlyMap<string, string> | null;
}

export interface Audit {
  readonly input: AuditInput;
  readonly timeline: Timeline;
  /** Ordered by record start, then picture clip, then sound clip. */
  readonly comparisons: readonly Comparison[];
  /** In text order; those of a report's own text are not here, see `reportFindings`. */
  readonly findings: readonly Finding[];
  /** Findings that an acceptance silenced, with its reason. */
  readonly accepted: readonly AcceptedFinding[];
  /** What the rules saw; fixes and hovers are worked out from it. */
  readonly context: AuditContext;
  /** The audit that this one was told from by an edit of one clip; null for one that looked at everything. */
  readonly base: AuditBase | null;
}

export interface AuditBase {
  readonly audit: Audit;
  /** What of its text has changed. */
  readonly changed: DifferingRange;
}

/** Reads and checks a timeline. */
export function audit(input: AuditInput): Audit {
  return check(input, readWhole(input), null);
}

/**
 * The audit of `input`, helped by an earlier audit of the same document. Equal to `audit(input)`; quicker when only a few
 * characters of one clip changed since then, or since the audit that one was helped by: as while somebody types.
 */
export function auditAgain(previous: Audit, input: AuditInput): Audit {
  const before = previous.input;
  const isComparable =
    before.format === input.format &&
    before.settings === input.settings &&
    before.assetNames === input.assetNames &&
    haveSameItems(before.reports, input.reports);
  if (!isComparable) return audit(input);
  const { base } = previous;
  const again = base === null ? null : auditEdited(base.audit, input, base.changed);
  return again ?? auditEdited(asBase(previous), input, null) ?? audit(input);
}

/** Null when the texts differ by more than one clip. */
function auditEdited(base: Audit, input: AuditInput, near: DifferingRange | null): Audit | null {
  const changed = differingRange(base.input.text, input.text, near);
  if (changed.start === changed.endBefore && changed.start === changed.endAfter) return base;
  const reread = formatFor(input.format).reread?.(base.timeline, base.input.text, input.text, changed) ?? null;
  if (reread === null) return null;
  return checkNear({ audit: base, changed }, input, reread) ?? check(input, { ...reread.timeline }, base.context);
}

/** With everything worked out, so that nothing is kept of the audit it was helped by. */
function asBase(previous: Audit): Audit {
  if (previous.base === null) return previous;
  const timeline = { ...previous.timeline };
  const { text, settings, reports, alignment, clips, overlaps, comparisons } = previous.context;
  const context = withTables({ text, timeline, settings, reports, alignment, clips, overlaps, comparisons });
  return { ...previous, timeline, context, base: null };
}

function readWhole(input: AuditInput): Timeline {
  return formatFor(input.format).read(input.text, {
    edlRate: input.settings.edlRate,
    sharedPictureRate: sharedPictureRate(input.reports),
    assetNames: input.assetNames ?? null,
  });
}

function check(input: AuditInput, timeline: Timeline, previous: AuditContext | null): Audit {
  const context = buildContext(input.text, timeline, input.reports, input.settings, previous);
  const found = [
    ...findingsIn(context),
    ...problemDrafts(context.alignment.problems).flatMap((drafted) => asFinding('report-invalid', drafted, input.settings)),
  ];
  return settled(input, context, found, null);
}

/** Checks what an edit of one clip can have changed; null when that may be anything. */
function checkNear(base: AuditBase, input: AuditInput, reread: Reread): Audit | null {
  const { audit: before } = base;
  const near = contextNear(before.context, input.text, reread);
  if (near === null) return null;
  const comparisons = comparisonsAfter(before.context, near, reread.clip.index);
  const context = contextAfterEdit(before.context, input.text, reread.timeline, comparisons);
  const kept = [...before.findings, ...before.accepted.map(({ finding }) => finding)].filter(
    (finding) => finding.code !== 'accepted-unused' && !finding.clips.some((clip) => near.affected.has(clip)),
  );
  const found = [
    ...kept.map((finding) => shiftFinding(finding, reread.shift)),
    ...findingsIn(near.context).flatMap((finding) => inTimeline(near, finding) ?? []),
  ];
  return settled(input, context, found, base);
}

function findingsIn(context: AuditContext): readonly Finding[] {
  const found: Finding[] = [];
  for (const rule of allRules) {
    if (severityOf(rule.code, null, context.settings) === 'off') continue;
    for (const drafted of rule.check(context)) found.push(...asFinding(rule.code, drafted, context.settings));
  }
  return found;
}

function settled(input: AuditInput, context: AuditContext, found: readonly Finding[], base: AuditBase | null): Audit {
  const { timeline, comparisons } = context;
  const { findings, accepted, unused } = settleAcceptances(context, inTextOrder(withoutTwins(found)));
  const all = [...findings, ...unused.flatMap((drafted) => asFinding('accepted-unused', drafted, input.settings))];
  return { input, timeline, comparisons, findings: inTextOrder(all), accepted, context, base };
}

/** Findings on the characters of a report or settings file itself. */
export function reportFindings(file: Pick<AlignmentReport, 'problems'>, settings: Settings): readonly Finding[] {
  return inTextOrder(problemDrafts(file.problems).flatMap((drafted) => asFinding('report-invalid', drafted, settings)));
}

/** The edits offered for one finding, best first. Recomputed from the audit, never remembered. */
export function fixesFor(result: Audit, finding: Finding): readonly Fix[] {
  const rule = ruleFor(finding.code);
  const offered = [...(rule.fixes?.(result.context, finding) ?? []), ...(rule.groupFixes?.(result.context, finding) ?? [])];
  const accept = acceptFix(finding);
  return (accept === null ? offered : [...offered, accept]).filter((fix) => editsForFix(result, fix).ok);
}

/** True when a safe fix puts this finding right. */
export function isFixable(result: Audit, finding: Finding): boolean {
  const fixes = ruleFor(finding.code).fixes?.(result.context, finding) ?? [];
  return fixes.some((fix) => fix.isSafe && editsForFix(result, fix).ok);
}

/** The characters to change for a fix. Not ok when the format cannot hold it. */
export function editsForFix(result: Audit, fix: Fix): EditResult {
  const format = formatFor(result.input.format);
  const edits: TextEdit[] = [];
  for (const change of fix.changes) {
    const one = format.editsFor(result.input.text, result.timeline, change);
    if (!one.ok) return one;
    edits.push(...one.edits);
  }
  return { ok: true, edits: withoutRepeats(edits) };
}

/**
 * The safe preferred fixes of all findings together, as one set of edits that do not overlap. `codes` limits it to some
 * finding codes; null means all. A fix that meets one already taken on the same characters waits for the next run.
 */
export function fixAll(
  result: Audit,
  codes: readonly FindingCode[] | null,
): { readonly edits: readonly TextEdit[]; readonly fixes: readonly Fix[] } {
  const taken = new Map<number, TextEdit>();
  const fixes: Fix[] = [];
  for (const finding of result.findings) {
    if (codes !== null && !codes.includes(finding.code)) continue;
    const fix = ruleFor(finding.code)
      .fixes?.(result.context, finding)
      .find((offered) => offered.isSafe && offered.isPreferred);
    if (fix === undefined) continue;
    const edits = editsForFix(result, fix);
    if (!edits.ok || edits.edits.length === 0) continue;
    const isNew = edits.edits.some((edit) => !taken.has(edit.span.start));
    if (!isNew || edits.edits.some((edit) => clashes(taken.get(edit.span.start), edit))) continue;
    for (const edit of edits.edits) taken.set(edit.span.start, edit);
    fixes.push(fix);
  }
  return { edits: withoutRepeats([...taken.values()]), fixes };
}

function haveSameItems<Item>(left: readonly Item[], right: readonly Item[]): boolean {
  return left.length === right.length && left.every((item, index) => item === right[index]);
}

function clashes(taken: TextEdit | undefined, edit: TextEdit): boolean {
  return taken !== undefined && (taken.span.end !== edit.span.end || taken.newText !== edit.newText);
}

/** A person writes the reason in the text: an acceptance without one would be a switch nobody remembers. */
function acceptFix(finding: Finding): Fix | null {
  const clip = finding.clips[0];
  if (clip === undefined || finding.place.file !== null || finding.code === 'accepted-unused') return null;
  return {
    title: `Accept this ${finding.code} here, with a reason to be written`,
    isSafe: false,
    isPreferred: false,
    changes: [{ kind: 'accept', clip, code: finding.code, reason: 'write the reason here' }],
  };
}

function asFinding(code: FindingCode, drafted: FindingDraft, settings: Settings): readonly Finding[] {
  const { isLowered, severity: own, ...rest } = drafted;
  const severity = severityOf(code, own ?? null, settings);
  if (severity === 'off') return [];
  return [{ code, ...rest, severity: isLowered === true ? lowered(severity) : severity }];
}

/**
 * The project's word, else the rule's. A draft that is less than its rule (a note among errors) is never raised by the
 * project's word, only lowered.
 */
function severityOf(code: FindingCode, own: Finding['severity'] | null, settings: Settings): Severity {
  const chosen = settings.severities[code];
  if (chosen === 'off') return 'off';
  if (own === null) return chosen ?? ruleFor(code).defaultSeverity;
  return chosen !== undefined && SEVERITY_ORDER.indexOf(chosen) < SEVERITY_ORDER.indexOf(own) ? chosen : own;
}

const SEVERITY_ORDER: readonly Severity[] = ['off', 'information', 'warning', 'error'];

function lowered(severity: Finding['severity']): Finding['severity'] {
  return severity === 'error' ? 'warning' : 'information';
}

/** One EDL line on two channels gives the same finding twice; a person needs it once. */
function withoutTwins(findings: readonly Finding[]): readonly Finding[] {
  const seen = new Set<string>();
  return findings.filter((finding) => {
    const key = `${finding.code} ${finding.place.file ?? ''} ${finding.place.span.start} ${finding.message}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

function inTextOrder(findings: readonly Finding[]): readonly Finding[] {
  return [...findings].sort(
    (left, right) =>
      inOrder(left.place.file ?? '', right.place.file ?? '') ||
      left.place.span.start - right.place.span.start ||
      left.place.span.end - right.place.span.end ||
      FINDING_CODES.indexOf(left.code) - FINDING_CODES.indexOf(right.code) ||
      inOrder(left.message, right.message) ||
      (left.clips[0] ?? 0) - (right.clips[0] ?? 0),
  );
}

function inOrder(left: string, right: string): number {
  return left === right ? 0 : left < right ? -1 : 1;
}
