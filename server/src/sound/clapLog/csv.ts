/**
 * Comma-separated values as spreadsheets write them (RFC 4180), with places for messages.
 *
 * Commas, semicolons and tabs are all in use; the header row decides. Never throws: a quote that is not closed ends with the file
 * and is said.
 */

export interface CsvTable {
  /** Cells by row; quotes resolved, white space around cells removed. Empty rows are left out. */
  readonly rows: readonly CsvRow[];
  readonly problems: readonly CsvProblem[];
}

export interface CsvRow {
  /** Line of the file on which the row begins, counted from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

export interface CsvProblem {
  readonly line: number;
  readonly message: string;
}

export function parseCsv(text: string): CsvTable {
  const body = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const separator = separatorOf(body);
  const rows: CsvRow[] = [];
  const problems: CsvProblem[] = [];
  let cells: string[] = [];
  let cell = '';
  let isQuoted = false;
  let wasQuoted = false;
  let line = 1;
  let rowLine = 1;
  const endCell = (): void => {
    cells.push(wasQuoted ? cell : cell.trim());
    cell = '';
    wasQuoted = false;
  };
  const endRow = (): void => {
    endCell();
    if (cells.some((value) => value !== '')) rows.push({ line: rowLine, cells });
    cells = [];
    rowLine = line;
  };
  for (let index = 0; index < body.length; index += 1) {
    const letter = body[index] as string;
    if (isQuoted) {
      if (letter === '"' && body[index + 1] === '"') {
        cell += '"';
        index += 1;
      } else if (letter === '"') isQuoted = false;
      else {
        if (letter === '\n') line += 1;
        cell += letter;
      }
      continue;
    }
    if (letter === '"' && cell.trim() === '') {
      isQuoted = true;
      wasQuoted = true;
      cell = '';
    } else if (letter === separator) endCell();
    else if (letter === '\n' || letter === '\r') {
      if (letter === '\r' && body[index + 1] === '\n') index += 1;
      line += 1;
      endRow();
    } else if (!(wasQuoted && /\s/.test(letter))) cell += letter;
  }
  if (isQuoted) problems.push({ line: rowLine, message: 'A quoted cell that begins in this row is never closed.' });
  endRow();
  return { rows, problems };
}

function separatorOf(text: string): string {
  const header = text.split(/\r?\n|\r/).find((line) => line.trim() !== '') ?? '';
  const counts = [',', ';', '\t'].map((separator) => ({ separator, count: header.split(separator).length }));
  return counts.reduce((best, candidate) => (candidate.count > best.count ? candidate : best)).separator;
}
