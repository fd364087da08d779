/**
 * The findings with one line each, for programs that read compilers' output line by line: an editor's problem matcher, a quickfix list,
 * grep. `path:line:column: severity code: message`, from 1, columns in UTF-16 units; the message is whole, however long.
 *
 * What says against which report a timeline was held, and how much was compared, is a line without a place, so that no such program
 * takes it for a finding. Never in colour. The manifest's problem matcher `$afterclap-lines` depends on this form.
 */

import { type CheckedFile, countFindings, type FindingCounts, textOfFile } from './checkedFile.ts';
import { plainPainter } from './painter.ts';
import { placeNames } from './placeNames.ts';
import { comparisonsInWords, countsInWords } from './textSummary.ts';
import { visibleText } from './visibleText.ts';

/** The findings of one file, and a line about it. */
export function renderLinesFile(file: CheckedFile): string {
  const places = placeNames(new Map([[file.path, textOfFile(file)]]));
  const findings = file.findings.map(
    ({ finding: { place, severity, code, message } }) =>
      `${places.name(file.path, place.span)}: ${severity} ${code}: ${visibleText(message)}`,
  );
  const parts = [`Findings: ${countsInWords(countFindings(file), plainPainter)}.`];
  if (file.kind === 'timeline') {
    const { accepted } = file.audit;
    if (accepted.length > 0) parts.push(`Accepted: ${accepted.length}.`);
    parts.push(`Compared: ${comparisonsInWords(file)}.`, `Report: ${file.reportReason}`);
  }
  return `${[...findings, visibleText(`${file.path}: ${parts.join(' ')}`)].join('\n')}\n`;
}

/** One line about all the files of a run. */
export function renderLinesTotals(fileCount: number, counts: FindingCounts): string {
  return `${fileCount} ${fileCount === 1 ? 'file' : 'files'}: ${countsInWords(counts, plainPainter)}\n`;
}
