/**
 * The findings as one JSON object, for programs. The form is public and versioned: members keep their names, order and
 * meaning; new ones may be added.
 *
 * Rationals are `num/den` in lowest terms or an integer, in seconds. Lines and columns count from 1, columns in UTF-16 units.
 */

import type { Comparison } from '../rules/comparison.ts';
import { buildLineIndex, type LineIndex, positionAt } from '../text/lineIndex.ts';
import { formatRational, type Rational } from '../time/rational.ts';
import { type CheckedFile, type CheckedTimeline, type ReportedFinding, textOfFile, totalCount } from './checkedFile.ts';
import type { BaselineSummary } from './renderText.ts';

/** Rises when a member changes its meaning or goes. */
const JSON_VERSION = 1;

/** The whole document, with a line break at its end. */
export function renderJson(members: readonly JsonFile[], baseline: BaselineSummary | null): string {
  const last = baseline === null ? {} : { baseline: baselineMember(baseline) };
  return `${JSON.stringify({ version: JSON_VERSION, files: members, ...last }, null, 2)}\n`;
}

function baselineMember({ path, leftOut, gone }: BaselineSummary): object {
  return { path, leftOut: totalCount(leftOut), gone };
}

/** What the document holds about one file. Made as soon as the file is checked, so that its timeline need not be kept. */
export type JsonFile = object;

export function jsonFile(file: CheckedFile): JsonFile {
  const index = buildLineIndex(textOfFile(file));
  const findings = file.findings.map((reported) => findingMember(reported, index));
  const leftOut = file.leftOut === undefined ? {} : { leftOut: file.leftOut.length };
  if (file.kind === 'side') {
    return { path: file.path, format: file.format, rate: null, alignment: null, findings, pairs: [], ...leftOut };
  }
  const { timeline, comparisons, accepted } = file.audit;
  return {
    path: file.path,
    format: timeline.format,
    rate: formatRational(timeline.rate),
    ...alignmentMembers(file),
    findings,
    pairs: comparisons.map((comparison) => pairMember(comparison, file)),
    ...(accepted.length === 0 ? {} : { accepted: accepted.map(({ finding, reason }) => acceptedMember(finding, reason, index)) }),
    ...leftOut,
  };
}

/** One report is the rule; where several serve a timeline, the first stands alone and all of them in a list. */
function alignmentMembers({ audit }: CheckedTimeline): object {
  const [first, ...others] = audit.input.reports.map(({ file }) => file);
  return { alignment: first ?? null, ...(first === undefined || others.length === 0 ? {} : { alignments: [first, ...others] }) };
}

function findingMember({ finding, isFixable }: ReportedFinding, index: LineIndex): object {
  return {
    code: finding.code,
    severity: finding.severity,
    message: finding.message,
    range: rangeMember(finding, index),
    picture: finding.picture,
    sound: finding.sound,
    lag: finding.lag === null ? null : lagMember(finding.lag),
    cause: finding.cause,
    fixable: isFixable,
  };
}

function acceptedMember(finding: ReportedFinding['finding'], reason: string, index: LineIndex): object {
  return { code: finding.code, reason, range: rangeMember(finding, index) };
}

function pairMember({ pair, pictureClip, soundClip, record, lag, verdict }: Comparison, { audit }: CheckedTimeline): object {
  const { clips } = audit.timeline;
  return {
    picture: pair.picture.key,
    sound: pair.sound.key,
    pictureClip: clips[pictureClip]?.name ?? '',
    soundClip: clips[soundClip]?.name ?? '',
    record: { start: formatRational(record.start), end: formatRational(record.end) },
    lag: lagMember(lag),
    verdict,
  };
}

function lagMember(lag: { readonly head: Rational; readonly tail: Rational }): object {
  return { head: formatRational(lag.head), tail: formatRational(lag.tail) };
}

function rangeMember({ place }: ReportedFinding['finding'], index: LineIndex): object {
  return { start: placeMember(index, place.span.start), end: placeMember(index, place.span.end) };
}

function placeMember(index: LineIndex, offset: number): object {
  const { line, column } = positionAt(index, offset);
  return { line: line + 1, column: column + 1 };
}
