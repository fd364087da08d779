/**
 * Lines and columns of offsets.
 *
 * Core code keeps UTF-16 offsets because JavaScript strings do; people and clients want lines and columns, clients also in
 * UTF-8 or UTF-32 units. This file is the only one that knows the difference, so it is the one to open when a squiggle
 * lands one character off.
 *
 * Invariants
 * - Line starts rise strictly and begin with 0.
 * - CR LF ends one line, not two; a lone CR ends a line too (old EDL exports have them).
 * - Every offset in 0..text.length has one position and the round trip is exact, with two exceptions: inside a surrogate pair
 *   the answer is the pair's start in UTF-8 and UTF-32; between CR and LF it is the end of the line, since no column lies there.
 *
 * Cost: building is one pass; a lookup is a binary search plus a scan of one line for UTF-8 and UTF-32.
 */

/** Columns as a reader counts them. */
export type ColumnUnit = 'utf-8' | 'utf-16' | 'utf-32';

/** Line and column, both from 0. */
export interface Position {
  readonly line: number;
  readonly column: number;
}

export interface LineIndex {
  readonly text: string;
  readonly lineStarts: Uint32Array;
}

export function buildLineIndex(text: string): LineIndex {
  let starts = new Uint32Array(1024);
  let count = 1;
  const push = (offset: number): void => {
    if (count === starts.length) {
      const larger = new Uint32Array(starts.length * 2);
      larger.set(starts);
      starts = larger;
    }
    starts[count] = offset;
    count += 1;
  };
  if (text.includes('\r')) {
    for (let offset = 0; offset < text.length; offset += 1) {
      const code = text.charCodeAt(offset);
      if (code === 10 || (code === 13 && text.charCodeAt(offset + 1) !== 10)) push(offset + 1);
    }
  } else {
    // indexOf searches at memory speed, which a loop over charCodeAt does not.
    for (let offset = text.indexOf('\n'); offset !== -1; offset = text.indexOf('\n', offset + 1)) push(offset + 1);
  }
  return { text, lineStarts: starts.slice(0, count) };
}

/** The line, from 0, that holds `offset`. */
export function lineAt(index: LineIndex, offset: number): number {
  return lineBetween(index, offset, 0, index.lineStarts.length - 1);
}

/** The same, looked for from `near` on in growing steps: quick where that line is not far, and never wrong. */
export function lineNear(index: LineIndex, offset: number, near: number): number {
  const { lineStarts } = index;
  const last = lineStarts.length - 1;
  let low = near;
  let high = near;
  if ((lineStarts[near] as number) <= offset) {
    for (let step = 1; high < last; step *= 2) {
      high = Math.min(last, high + step);
      if ((lineStarts[high] as number) > offset) break;
      low = high;
    }
  } else {
    for (let step = 1; low > 0; step *= 2) {
      high = low;
      low = Math.max(0, low - step);
      if ((lineStarts[low] as number) <= offset) break;
    }
  }
  return lineBetween(index, offset, low, high);
}

function lineBetween({ lineStarts }: LineIndex, offset: number, first: number, last: number): number {
  let low = first;
  let high = last;
  while (low < high) {
    const middle = (low + high + 1) >>> 1;
    if ((lineStarts[middle] as number) <= offset) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The position of `offset`; offsets outside the text are clamped, since a span may be older than the text. */
export function positionAt(index: LineIndex, offset: number, unit: ColumnUnit = 'utf-16'): Position {
  const clamped = outsideLineBreak(index.text, Math.min(Math.max(0, offset), index.text.length));
  const line = lineAt(index, clamped);
  const start = index.lineStarts[line] as number;
  if (unit === 'utf-16') return { line, column: clamped - start };
  let column = 0;
  let at = start;
  while (at < clamped) {
    const code = index.text.codePointAt(at) as number;
    const width = code > 0xffff ? 2 : 1;
    if (at + width > clamped) break;
    column += unit === 'utf-32' ? 1 : utf8Length(code);
    at += width;
  }
  return { line, column };
}

/** The offset itself; between CR and LF, where no column lies, the end of the line before them. */
export function outsideLineBreak(text: string, offset: number): number {
  return offset > 0 && text.charCodeAt(offset) === 10 && text.charCodeAt(offset - 1) === 13 ? offset - 1 : offset;
}

/** The offset of a position; lines and columns past the end are clamped to the end of the text or line. */
export function offsetAt(index: LineIndex, position: Position, unit: ColumnUnit = 'utf-16'): number {
  if (position.line < 0) return 0;
  if (position.line >= index.lineStarts.length) return index.text.length;
  const start = index.lineStarts[position.line] as number;
  const end = contentEnd(index, position.line);
  if (unit === 'utf-16') return Math.min(start + Math.max(0, position.column), end);
  let column = 0;
  let at = start;
  while (at < end) {
    const code = index.text.codePointAt(at) as number;
    const size = unit === 'utf-32' ? 1 : utf8Length(code);
    if (column + size > position.column) break;
    column += size;
    at += code > 0xffff ? 2 : 1;
  }
  return at;
}

/** Where the line's text ends, its line break left out. */
export function contentEnd(index: LineIndex, line: number): number {
  const start = index.lineStarts[line] as number;
  let end = line + 1 < index.lineStarts.length ? (index.lineStarts[line + 1] as number) : index.text.length;
  if (line + 1 < index.lineStarts.length) {
    end -= 1;
    if (end > start && index.text.charCodeAt(end) === 10 && index.text.charCodeAt(end - 1) === 13) end -= 1;
  }
  return end;
}

/** Bytes of one code point in UTF-8. */
export function utf8Length(code: number): number {
  if (code < 0x80) return 1;
  if (code < 0x800) return 2;
  return code < 0x10000 ? 3 : 4;
}
