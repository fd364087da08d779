/**
 * The findings for a person at a terminal: what is wrong, the characters it stands on, what belongs to it, what to do.
 *
 * Everything from a file is made fit to print first. Colour only repeats what the words say.
 */

import { formatTolerance, toleranceInSeconds } from '../alignment/tolerance.ts';
import type { Verdict } from '../rules/comparison.ts';
import { amountOfTime } from '../rules/words.ts';
import { buildLineIndex, type LineIndex, positionAt } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';
import { rateLabel } from '../time/rate.ts';
import { rational } from '../time/rational.ts';
import {
  type CheckedFile,
  type CheckedTimeline,
  countFindings,
  type FindingCounts,
  type ReportedFinding,
  type ShownSeverity,
  textOfFile,
} from './checkedFile.ts';
import { excerptOf } from './excerpt.ts';
import { type Painter, plainPainter } from './painter.ts';
import { visibleText } from './visibleText.ts';
import { wrapText } from './wrapText.ts';

export interface TextOptions {
  /** Columns to keep to. */
  readonly width: number;
  readonly painter: Painter;
  /** Texts of files that findings point into but that are not among the files shown, by path. */
  readonly otherTexts: ReadonlyMap<string, string>;
}

export const PLAIN_TEXT: TextOptions = { width: 120, painter: plainPainter, otherTexts: new Map() };

const FORMAT_TITLES = {
  otio: 'OTIO JSON',
  xml: 'neutral timeline XML',
  edl: 'edit decision list',
  alignment: 'alignment report',
  settings: 'settings',
} as const;

const VERDICT_WORDS: Readonly<Record<Verdict, readonly [string, string]>> = {
  in: ['in', 'in'],
  leads: ['leads', 'lead'],
  lags: ['lags', 'lag'],
  drifts: ['drifts', 'drift'],
};

const LABEL_WIDTH = 11;

/** Every file with its findings and summary; one line about all of them when there are several. */
export function renderText(files: readonly CheckedFile[], options: TextOptions): string {
  const places = placeFinder(files, options.otherTexts);
  const blocks = files.map((file) => fileBlock(file, places, options));
  if (files.length > 1) blocks.push([`${files.length} files: ${countsInWords(countFindings(files), options.painter)}`]);
  return `${blocks.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

function fileBlock(file: CheckedFile, places: PlaceFinder, options: TextOptions): readonly string[] {
  const format = file.kind === 'timeline' ? file.audit.timeline.format : file.format;
  const lines = [`${options.painter.strong(visibleText(file.path))} (${FORMAT_TITLES[format]})`, ''];
  for (const reported of file.findings) lines.push(...findingLines(file, reported, places, options), '');
  return [
    ...lines,
    ...(file.kind === 'timeline'
      ? summaryLines(file, places, options)
      : [labelled('findings', countsInWords(countFindings([file]), options.painter))]),
  ];
}

function findingLines(
  file: CheckedFile,
  { finding, fix, isFixable }: ReportedFinding,
  places: PlaceFinder,
  options: TextOptions,
): readonly string[] {
  const { painter, width } = options;
  const index = places.indexOf(file.path) as LineIndex;
  const excerpt = excerptOf(index, finding.place.span, width - 10);
  const number = String(excerpt.lineNumber);
  const margin = ' '.repeat(number.length);
  const further =
    excerpt.furtherLines === 0 ? '' : ` and ${excerpt.furtherLines} more line${excerpt.furtherLines === 1 ? '' : 's'}`;
  const lines = [
    `${painter.place(places.name(file.path, finding.place.span))}: ${painter.severity(finding.severity, finding.severity)} ${painter.strong(finding.code)}`,
    ...indented(finding.message, width),
    `  ${painter.faint(`${number} |`)} ${excerpt.source}`,
    `  ${painter.faint(`${margin} |`)} ${painter.severity(finding.severity, excerpt.carets)}${further}`,
  ];
  if (finding.cause !== null && !finding.message.includes(finding.cause)) lines.push(...remark('cause', finding.cause, options));
  for (const { file: otherFile, span, message } of finding.related) {
    lines.push(...remark('see', `${places.name(otherFile ?? file.path, span)}: ${message}`, options));
  }
  if (fix !== null)
    lines.push(
      ...remark('fix', isFixable ? `${fix.title} (--fix does this)` : `${fix.title} (in the editor, not by --fix)`, options),
    );
  return lines;
}

function summaryLines(file: CheckedTimeline, places: PlaceFinder, { painter, width }: TextOptions): readonly string[] {
  const { timeline, comparisons, accepted, input } = file.audit;
  const { tolerance } = input.settings;
  const exact = toleranceInSeconds(tolerance, timeline.rate, rational(48000));
  const inTime = `${amountOfTime(exact.lead)} and ${amountOfTime(exact.lag)} here`;
  const reports = input.reports.map((report) => visibleText(report.file)).join(', ');
  const rows: [string, string][] = [
    ['report', reports === '' ? `none: ${file.reportReason}` : `${reports} (${file.reportReason})`],
    ['rate', `${rateLabel(timeline.rate)} frames per second (${timeline.rateReason})`],
    ['tolerance', `${formatTolerance(tolerance)} (${inTime})`],
    ['compared', comparisonsInWords(file)],
    ['findings', countsInWords(countFindings([file]), painter)],
  ];
  for (const { finding, reason } of accepted) {
    rows.push(['accepted', `${finding.code} at ${places.name(file.path, finding.place.span)}: ${reason}`]);
  }
  if (comparisons.length === 0 && accepted.length === 0 && input.reports.length > 0) {
    rows.push(['note', 'no picture of the report stands over its sound here, so no offset was checked']);
  }
  return rows.flatMap(([label, text]) => {
    const [first = '', ...rest] =
      label === 'findings' ? [text] : wrapText(visibleText(text), Math.max(40, width - LABEL_WIDTH - 2));
    return [labelled(label, first), ...rest.map((line) => labelled('', line))];
  });
}

function comparisonsInWords({ audit }: CheckedTimeline): string {
  const counts: Record<Verdict, number> = { in: 0, leads: 0, lags: 0, drifts: 0 };
  for (const { verdict } of audit.comparisons) counts[verdict] += 1;
  const total = audit.comparisons.length;
  if (total === 0) return 'nothing';
  const parts = (Object.keys(counts) as Verdict[]).map(
    (verdict) => `${counts[verdict]} ${VERDICT_WORDS[verdict][counts[verdict] === 1 ? 0 : 1]}`,
  );
  return `${total} time${total === 1 ? '' : 's'} picture with sound: ${parts.join(', ')}`;
}

function countsInWords(counts: FindingCounts, painter: Painter): string {
  const part = (severity: ShownSeverity, one: string, many: string): string[] =>
    counts[severity] === 0 ? [] : [painter.severity(severity, `${counts[severity]} ${counts[severity] === 1 ? one : many}`)];
  const parts = [
    ...part('error', 'error', 'errors'),
    ...part('warning', 'warning', 'warnings'),
    ...part('information', 'for information', 'for information'),
  ];
  if (parts.length === 0) return 'none';
  return `${parts.join(', ')}; ${counts.fixable === 0 ? 'none' : counts.fixable} fixable with --fix`;
}

function indented(text: string, width: number): readonly string[] {
  return wrapText(visibleText(text), Math.max(40, width - 2)).map((line) => `  ${line}`);
}

function remark(label: string, text: string, { painter, width }: TextOptions): readonly string[] {
  const [first = '', ...rest] = wrapText(visibleText(text), Math.max(40, width - 8));
  return [`  ${painter.faint(label.padEnd(5))} ${first}`, ...rest.map((line) => `        ${line}`)];
}

function labelled(label: string, text: string): string {
  return `  ${label.padEnd(LABEL_WIDTH)}${text}`.trimEnd();
}

interface PlaceFinder {
  readonly indexOf: (path: string) => LineIndex | null;
  /** `path:line:column`, from 1; the path alone when the text is not at hand. */
  readonly name: (path: string, span: Span) => string;
}

function placeFinder(files: readonly CheckedFile[], otherTexts: ReadonlyMap<string, string>): PlaceFinder {
  const texts = new Map([...otherTexts, ...files.map((file) => [file.path, textOfFile(file)] as const)]);
  const indices = new Map<string, LineIndex>();
  const indexOf = (path: string): LineIndex | null => {
    const known = indices.get(path);
    if (known !== undefined) return known;
    const text = texts.get(path);
    if (text === undefined) return null;
    const index = buildLineIndex(text);
    indices.set(path, index);
    return index;
  };
  const name = (path: string, span: Span): string => {
    const index = indexOf(path);
    if (index === null) return visibleText(path);
    const { line, column } = positionAt(index, span.start);
    return `${visibleText(path)}:${line + 1}:${column + 1}`;
  };
  return { indexOf, name };
}
