/**
 * Places of findings as programs take them: lines and columns from 1, columns in UTF-16 units, the end just after the last character.
 */

import { type LineIndex, positionAt } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';

export interface Region {
  readonly startLine: number;
  readonly startColumn: number;
  readonly endLine: number;
  readonly endColumn: number;
}

export function regionOf(index: LineIndex, { start, end }: Span): Region {
  const from = positionAt(index, start);
  const to = positionAt(index, Math.max(start, end));
  return { startLine: from.line + 1, startColumn: from.column + 1, endLine: to.line + 1, endColumn: to.column + 1 };
}
