/**
 * The findings as workflow commands of GitHub Actions: annotations on the lines of a pull request.
 *
 * Form and escapes are those of the documentation 'Workflow commands for GitHub Actions' and of the toolkit's own writer: `%`, CR
 * and LF in the message; `:` and `,` too in properties. GitHub shows ten annotations of each kind for a step and says nothing of
 * the rest, so the last line counts them all.
 */

import { buildLineIndex } from '../text/lineIndex.ts';
import { type CheckedFile, type FindingCounts, type ShownSeverity, textOfFile, totalCount } from './checkedFile.ts';
import { plainPainter } from './painter.ts';
import { regionOf } from './regions.ts';
import { severitiesInWords } from './textSummary.ts';

const COMMANDS: Readonly<Record<ShownSeverity, string>> = { error: 'error', warning: 'warning', information: 'notice' };
const SHOWN_BY_GITHUB = 10;

/** The commands of one file; empty when nothing was found. */
export function renderGithubFile(file: CheckedFile): string {
  const index = buildLineIndex(textOfFile(file));
  const lines = file.findings.map(({ finding }) => {
    const { startLine, startColumn, endLine, endColumn } = regionOf(index, finding.place.span);
    // Columns are only taken for places on one line.
    const columns = startLine === endLine ? [`col=${startColumn}`, `endColumn=${endColumn}`] : [];
    const properties = [
      `file=${escapedProperty(file.path)}`,
      `line=${startLine}`,
      `endLine=${endLine}`,
      ...columns,
      `title=${escapedProperty(finding.code)}`,
    ];
    return `::${COMMANDS[finding.severity]} ${properties.join(',')}::${escapedMessage(finding.message)}\n`;
  });
  return lines.join('');
}

/** A line for the log. Not a command. */
export function renderGithubTotals(fileCount: number, counts: FindingCounts): string {
  const files = `${fileCount} ${fileCount === 1 ? 'file' : 'files'}`;
  const isCut = [counts.error, counts.warning, counts.information].some((count) => count > SHOWN_BY_GITHUB);
  const remark = isCut ? ` Only the first ${SHOWN_BY_GITHUB} of each kind are shown beside the lines; the log has all.` : '';
  const found = totalCount(counts) === 0 ? 'no findings' : severitiesInWords(counts, plainPainter);
  return `${files}: ${found}.${remark}\n`;
}

function escapedMessage(text: string): string {
  return text.replaceAll('%', '%25').replaceAll('\r', '%0D').replaceAll('\n', '%0A');
}

function escapedProperty(text: string): string {
  return escapedMessage(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}
