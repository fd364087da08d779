/**
 * What a person wants to know about a checked file besides its findings: against what it was held, how much was compared, what
 * was let pass and why.
 */

import type { Duration, Tolerance } from '../alignment/settings.ts';
import { durationInSeconds, formatTolerance } from '../alignment/tolerance.ts';
import type { Verdict } from '../rules/comparison.ts';
import { amountOfTime, listInWords } from '../text/words.ts';
import { type Rate, rateLabel } from '../time/rate.ts';
import {
  type CheckedFile,
  type CheckedTimeline,
  countFindings,
  countLeftOut,
  type FindingCounts,
  type ShownSeverity,
  totalCount,
} from './checkedFile.ts';
import { type Painter, plainPainter } from './painter.ts';
import type { PlaceNames } from './placeNames.ts';
import { visibleText } from './visibleText.ts';
import { wrapText } from './wrapText.ts';

const LABEL_WIDTH = 11;

const VERDICT_WORDS: Readonly<Record<Verdict, readonly [one: string, many: string]>> = {
  in: ['in', 'in'],
  leads: ['leads', 'lead'],
  lags: ['lags', 'lag'],
  drifts: ['drifts', 'drift'],
};

interface Row {
  readonly label: string;
  readonly text: string;
  /** Painted already, and short. */
  readonly isReady?: boolean;
}

export function summaryLines(file: CheckedFile, places: PlaceNames, painter: Painter, width: number): readonly string[] {
  const counts: Row = { label: 'findings', text: countsInWords(countFindings(file), painter), isReady: true };
  const own = [counts, ...leftOutRows(file)];
  const rows = file.kind === 'timeline' ? [...timelineRows(file), ...own, ...acceptedRows(file, places)] : own;
  return rows.flatMap(({ label, text, isReady }) => {
    const room = Math.max(40, width - LABEL_WIDTH - 2);
    const [first = '', ...rest] = isReady === true ? [text] : wrapText(visibleText(text), room);
    return [labelled(label, first), ...rest.map((line) => labelled('', line))];
  });
}

/** '3 errors, 1 warning; 2 fixable with --fix', 'none'. */
export function countsInWords(counts: FindingCounts, painter: Painter): string {
  const shown = severitiesInWords(counts, painter);
  return shown === 'none' ? shown : `${shown}; ${counts.fixable === 0 ? 'none' : counts.fixable} fixable with --fix`;
}

/** '3 errors, 1 warning', 'none'. */
export function severitiesInWords(counts: FindingCounts, painter: Painter): string {
  const part = (severity: ShownSeverity, one: string, many: string): string[] =>
    counts[severity] === 0 ? [] : [painter.severity(severity, `${counts[severity]} ${counts[severity] === 1 ? one : many}`)];
  const parts = [
    ...part('error', 'error', 'errors'),
    ...part('warning', 'warning', 'warnings'),
    ...part('information', 'for information', 'for information'),
  ];
  return parts.length === 0 ? 'none' : parts.join(', ');
}

function leftOutRows(file: CheckedFile): readonly Row[] {
  if (file.leftOut === undefined) return [];
  const counts = countLeftOut(file);
  const what = totalCount(counts) === 0 ? 'nothing' : severitiesInWords(counts, plainPainter);
  return [{ label: 'baseline', text: `${what} left out` }];
}

function timelineRows(file: CheckedTimeline): readonly Row[] {
  const { timeline, comparisons, input } = file.audit;
  const { tolerance } = input.settings;
  const source = file.toleranceRemark === null ? '' : `; ${file.toleranceRemark}`;
  const rows: Row[] = [
    { label: 'report', text: file.reportReason },
    { label: 'rate', text: `${rateLabel(timeline.rate)} frames per second: ${timeline.rateReason}` },
    { label: 'tolerance', text: `${formatTolerance(tolerance)}${framesInWords(tolerance, timeline.rate)}${source}` },
    { label: 'compared', text: comparisonsInWords(file) },
  ];
  const isBlind = comparisons.length === 0 && input.reports.length > 0;
  return isBlind
    ? [...rows, { label: '', text: 'No picture of the report stands over its own sound here, so no offset was checked.' }]
    : rows;
}

function acceptedRows({ path, audit }: CheckedTimeline, places: PlaceNames): readonly Row[] {
  return audit.accepted.map(({ finding, reason }) => ({
    label: 'accepted',
    text: `${finding.code} at ${places.name(path, finding.place.span)}: ${reason}`,
  }));
}

/** How long the frames of a tolerance are; nothing for one without frames. */
function framesInWords({ lead, lag }: Tolerance, rate: Rate): string {
  const inTime = (duration: Duration): string[] =>
    duration.unit === 'f' ? [amountOfTime(durationInSeconds(duration, rate, rate))] : [];
  const lengths = [...inTime(lead), ...inTime(lag)];
  return lengths.length === 0 ? '' : ` (${lengths.join(' and ')} here)`;
}

/** '18 pictures with sound: 9 in, 3 lead'; or why there are none. */
export function comparisonsInWords({ audit }: CheckedTimeline): string {
  const counts: Record<Verdict, number> = { in: 0, leads: 0, lags: 0, drifts: 0 };
  for (const { verdict } of audit.comparisons) counts[verdict] += 1;
  const total = audit.comparisons.length;
  if (total === 0)
    return audit.input.reports.length === 0 ? 'nothing, for want of a report' : 'no picture with a sound of its pair';
  const parts = (Object.keys(counts) as Verdict[])
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => `${counts[verdict]} ${VERDICT_WORDS[verdict][counts[verdict] === 1 ? 0 : 1]}`);
  return `${total} ${total === 1 ? 'picture' : 'pictures'} with sound: ${listInWords(parts)}`;
}

function labelled(label: string, text: string): string {
  return `  ${label.padEnd(LABEL_WIDTH)}${text}`.trimEnd();
}
