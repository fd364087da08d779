/**
 * The line of a finding with carets under the very characters it is about.
 *
 * Cells of a terminal are counted, not characters: tabs are spread to the next stop, wide characters take two. A line that
 * does not fit is cut to a window around the carets, marked by an ellipsis where something is left out.
 *
 * Cost: bounded by the width, however long the line is; a timeline of 50 MB may stand on one line.
 */

import { contentEnd, type LineIndex, lineAt } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';
import { displayWidth } from './displayWidth.ts';
import { visibleCharacter } from './visibleText.ts';

export interface Excerpt {
  /** From 1. */
  readonly lineNumber: number;
  /** Fit to print; no control characters, no tabs. */
  readonly source: string;
  /** Blanks, then carets. */
  readonly carets: string;
  /** How many lines the span goes on for after this one. */
  readonly furtherLines: number;
}

const TAB_STOP = 4;
const ELLIPSIS = '…';
/** Share of the free room that stays before the carets: what a number belongs to mostly stands before it. */
const ROOM_BEFORE = 2 / 3;

interface Cell {
  readonly text: string;
  readonly width: number;
  readonly isMarked: boolean;
}

/** The first line of `span`, at most `width` columns wide (20 at least). */
export function excerptOf(index: LineIndex, span: Span, width: number): Excerpt {
  const room = Math.max(20, width);
  const start = Math.min(Math.max(0, span.start), index.text.length);
  const line = lineAt(index, start);
  const lineStart = index.lineStarts[line] as number;
  const lineEnd = contentEnd(index, line);
  const markStart = Math.min(start, lineEnd);
  const markEnd = Math.min(Math.max(span.end, markStart), lineEnd);
  // A character may take no column at all, but a run of those is no line of a timeline; four for each column is plenty.
  const from = Math.max(lineStart, wholeCharacter(index.text, markStart - room * 4));
  const to = Math.min(lineEnd, wholeCharacter(index.text, markStart + room * 4));
  const cells = cellsOf(index.text, from, to, { start: markStart, end: markEnd });
  const shown = fitted(cells, room, from > lineStart, to < lineEnd);
  return {
    lineNumber: line + 1,
    source: shown
      .map((cell) => cell.text)
      .join('')
      .trimEnd(),
    carets: caretsUnder(shown),
    furtherLines: span.end > lineEnd ? lineAt(index, Math.min(span.end, index.text.length)) - line : 0,
  };
}

function cellsOf(text: string, from: number, to: number, mark: Span): readonly Cell[] {
  const cells: Cell[] = [];
  let column = 0;
  let at = from;
  for (const character of text.slice(from, to)) {
    const isMarked = at < mark.end && at + character.length > mark.start;
    const cell =
      character === '\t'
        ? { text: ' '.repeat(TAB_STOP - (column % TAB_STOP)), width: TAB_STOP - (column % TAB_STOP), isMarked }
        : printed(character, isMarked);
    cells.push(cell);
    column += cell.width;
    at += character.length;
  }
  // An empty place, such as the end of the text, still gets its caret: on the character after it, or after the last one.
  if (!cells.some((cell) => cell.isMarked && cell.width > 0)) {
    const next = cellAt(text, from, mark.start, cells);
    if (next < cells.length) cells[next] = { ...(cells[next] as Cell), isMarked: true };
    else cells.push({ text: ' ', width: 1, isMarked: true });
  }
  return cells;
}

function printed(character: string, isMarked: boolean): Cell {
  const shown = visibleCharacter(character);
  return { text: shown, width: displayWidth(shown), isMarked };
}

/** Index of the first cell at or after `offset` that takes a column. */
function cellAt(text: string, from: number, offset: number, cells: readonly Cell[]): number {
  let count = 0;
  let at = from;
  for (const character of text.slice(from, offset)) {
    count += 1;
    at += character.length;
    if (at >= offset) break;
  }
  while (count < cells.length && (cells[count] as Cell).width === 0) count += 1;
  return count;
}

/** The cells that fit into `room`, the first marked one among them, with an ellipsis on each side that was cut. */
function fitted(cells: readonly Cell[], room: number, isCutBefore: boolean, isCutAfter: boolean): readonly Cell[] {
  const total = widthOf(cells);
  if (total <= room && !isCutBefore && !isCutAfter) return cells;
  const first = cells.findIndex((cell) => cell.isMarked);
  const last = cells.findLastIndex((cell) => cell.isMarked);
  const markedWidth = widthOf(cells.slice(first, last + 1));
  const free = Math.max(0, room - 2 - markedWidth);
  let before = first;
  for (let used = 0; before > 0; before -= 1) {
    used += (cells[before - 1] as Cell).width;
    if (used > free * ROOM_BEFORE) break;
  }
  let after = before;
  for (let used = 0; after < cells.length; after += 1) {
    used += (cells[after] as Cell).width;
    if (used > room - 2) break;
  }
  const ellipsis: Cell = { text: ELLIPSIS, width: 1, isMarked: false };
  return [
    ...(before > 0 || isCutBefore ? [ellipsis] : []),
    ...cells.slice(before, after),
    ...(after < cells.length || isCutAfter ? [ellipsis] : []),
  ];
}

function caretsUnder(cells: readonly Cell[]): string {
  return cells
    .map((cell) => (cell.isMarked ? '^' : ' ').repeat(cell.width))
    .join('')
    .trimEnd();
}

function widthOf(cells: readonly Cell[]): number {
  return cells.reduce((sum, cell) => sum + cell.width, 0);
}

/** `offset`, or one less when it would split a surrogate pair. */
function wholeCharacter(text: string, offset: number): number {
  const code = text.charCodeAt(offset);
  return code >= 0xdc00 && code <= 0xdfff ? offset - 1 : offset;
}
