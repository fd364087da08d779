/**
 * The findings for a person at a terminal: what is wrong, the characters it stands on, what belongs to it, what to do.
 *
 * Everything from a file is made fit to print first. Colour only repeats what the words say.
 */

import type { BaselineEntry } from '../review/baseline.ts';
import type { Fix } from '../rules/finding.ts';
import { listInWords } from '../text/words.ts';
import { type CheckedFile, type FindingCounts, type ReportedFinding, textOfFile, totalCount } from './checkedFile.ts';
import { clipPlaces } from './clipPlaces.ts';
import { excerptOf } from './excerpt.ts';
import type { Painter } from './painter.ts';
import { type PlaceNames, placeNames } from './placeNames.ts';
import { countsInWords, severitiesInWords, summaryLines } from './textSummary.ts';
import { visibleText } from './visibleText.ts';
import { wrapText } from './wrapText.ts';

export interface TextOptions {
  /** Columns to keep to. */
  readonly width: number;
  readonly painter: Painter;
  /** Texts of other files that findings point into, by path. */
  readonly otherTexts: ReadonlyMap<string, string>;
}

const FORMAT_TITLES = {
  otio: 'OTIO JSON',
  xml: 'neutral timeline XML',
  edl: 'edit decision list',
  cpl: 'composition playlist',
  alignment: 'alignment report',
  settings: 'settings',
} as const;

/** Room for the margin with the line number. */
const MARGIN = 10;
const REMARK_WIDTH = 8;

/** One file with its findings and its summary. */
export function renderTextFile(file: CheckedFile, options: TextOptions): string {
  const { painter, width } = options;
  const places = placeNames(new Map([...options.otherTexts, [file.path, textOfFile(file)]]));
  const format = file.kind === 'timeline' ? file.audit.timeline.format : file.format;
  const lines = [`${painter.strong(visibleText(file.path))} (${FORMAT_TITLES[format]})`];
  if (file.kind === 'timeline') lines.push(...fixedLines(file.fixed, options));
  lines.push('');
  const clipAt = file.kind === 'timeline' ? clipPlaces(file.audit.timeline) : () => null;
  for (const reported of file.findings) {
    const clip = clipAt(reported.finding.clips[0]);
    lines.push(...findingLines(file, reported, clip, places, options), '');
  }
  return `${[...lines, ...summaryLines(file, places, painter, width)].join('\n')}\n`;
}

/** One line about all the files of a run. */
export function renderTextTotals(fileCount: number, counts: FindingCounts, painter: Painter): string {
  return `${fileCount} files: ${countsInWords(counts, painter)}\n`;
}

/** What a baseline did to a run. */
export interface BaselineSummary {
  /** As the person typed it. */
  readonly path: string;
  readonly leftOut: FindingCounts;
  /** Entries that no longer occur, with how often they are missing. */
  readonly gone: readonly BaselineEntry[];
}

/** What was left out, and what the baseline need not hold any more. */
export function renderTextBaseline({ path, leftOut, gone }: BaselineSummary, painter: Painter): string {
  const count = totalCount(leftOut);
  const what = count === 0 ? 'no finding' : `${count} ${count === 1 ? 'finding' : 'findings'}`;
  const parts = count === 0 ? '' : ` (${severitiesInWords(leftOut, painter)})`;
  const lines = [`Baseline ${visibleText(path)}: ${what} left out${parts}.`];
  if (gone.length > 0) {
    lines.push(
      'No longer found, so the baseline can be written again without them:',
      ...gone.map((entry) => `  ${goneText(entry)}`),
    );
  }
  return `${lines.join('\n')}\n`;
}

/** `cut.edl: sound-leads on 'door, latch' [DECK_0001.wav]`, one line. */
export function goneText({ file, code, clips, on, count }: BaselineEntry): string {
  const about = clips.length > 0 ? ` on ${listInWords(clips)}` : on === null || on === '' ? '' : ` at '${on}'`;
  return visibleText(`${file}: ${code}${about}${count > 1 ? `, ${count} times` : ''}`);
}

function fixedLines(fixed: readonly Fix[], options: TextOptions): readonly string[] {
  if (fixed.length === 0) return [];
  return [
    ...fixed.flatMap(({ title }) => remark('fixed', title, options)),
    ...remark('', 'Written into the file. Keep the version from before, and check the cut by eye and ear.', options),
  ];
}

function findingLines(
  file: CheckedFile,
  reported: ReportedFinding,
  clip: string | null,
  places: PlaceNames,
  options: TextOptions,
): readonly string[] {
  const { finding, fix, isFixable } = reported;
  const { painter } = options;
  const place = painter.place(places.name(file.path, finding.place.span));
  const lines = [
    `${place}: ${painter.severity(finding.severity, finding.severity)} ${painter.strong(finding.code)}`,
    ...wrapText(visibleText(finding.message), Math.max(40, options.width - 2)).map((line) => `  ${line}`),
    ...excerptLines(file, reported, places, options),
  ];
  if (clip !== null) lines.push(...remark('clip', clip, options));
  if (finding.cause !== null && !finding.message.includes(finding.cause)) lines.push(...remark('cause', finding.cause, options));
  for (const { file: otherFile, span, message } of finding.related) {
    lines.push(...remark('see', `${places.name(otherFile ?? file.path, span)}: ${message}`, options));
  }
  if (fix !== null) {
    const how = isFixable ? 'With --fix.' : 'In the editor only, as it needs a look.';
    lines.push(...remark('fix', `${fix.title}. ${how}`, options));
  }
  return lines;
}

function excerptLines(
  file: CheckedFile,
  { finding }: ReportedFinding,
  places: PlaceNames,
  options: TextOptions,
): readonly string[] {
  const index = places.indexOf(file.path);
  if (index === null) return [];
  const { lineNumber, source, carets, furtherLines } = excerptOf(index, finding.place.span, options.width - MARGIN);
  const number = String(lineNumber);
  const further = furtherLines === 0 ? '' : ` and ${furtherLines} more ${furtherLines === 1 ? 'line' : 'lines'}`;
  const { painter } = options;
  return [
    `  ${painter.faint(`${number} |`)} ${source}`.trimEnd(),
    `  ${painter.faint(`${' '.repeat(number.length)} |`)} ${painter.severity(finding.severity, carets)}${further}`,
  ];
}

function remark(label: string, text: string, { painter, width }: TextOptions): readonly string[] {
  const [first = '', ...rest] = wrapText(visibleText(text), Math.max(40, width - REMARK_WIDTH));
  return [`  ${painter.faint(label.padEnd(5))} ${first}`, ...rest.map((line) => ' '.repeat(REMARK_WIDTH) + line)];
}
