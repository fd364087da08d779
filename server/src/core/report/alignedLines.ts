/**
 * A table as lines of text, its columns parted by two blanks and as wide as their widest cell. Cells must be fit to be printed.
 */

import { textWidth } from './displayWidth.ts';

export function alignedLines(rows: readonly (readonly string[])[]): readonly string[] {
  const widths: number[] = [];
  for (const row of rows) {
    for (const [column, cell] of row.entries()) widths[column] = Math.max(widths[column] ?? 0, textWidth(cell));
  }
  return rows.map((row) =>
    row
      .map((cell, column) => `${cell}${' '.repeat((widths[column] ?? 0) - textWidth(cell))}`)
      .join('  ')
      .trimEnd(),
  );
}
