/**
 * Tables as comma-separated values (RFC 4180), for spreadsheets and programs.
 *
 * A byte order mark stands in front, since spreadsheets take a file without one for something else than UTF-8. A cell that a spreadsheet
 * would run as a formula gets an apostrophe in front: names of clips come from other people.
 */

import { visibleText } from '../visibleText.ts';

export type CsvCell = string | number;

export function csvTable(header: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  return `\ufeff${[header, ...rows].map((row) => `${row.map(cellText).join(',')}\r\n`).join('')}`;
}

function cellText(cell: CsvCell): string {
  if (typeof cell === 'number') return String(cell);
  const shown = visibleText(cell);
  const safe = /^\s*[=+\-@]/.test(shown) ? `'${shown}` : shown;
  return /[",]|^\s|\s$/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
