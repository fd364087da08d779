/**
 * Offsets to the client's positions and back: the only file that knows how the client counts.
 *
 * Core speaks UTF-16 offsets. The client chose UTF-8, UTF-16 or UTF-32 columns when it connected. If a squiggle lands one
 * character off, look here.
 *
 * Cost: in UTF-16 a column is a difference of two offsets, and a line is looked for from the line of the span before it, which
 * in most runs is near. In the other units columns are counted: all spans of a run in one walk over the text in offset order,
 * so that a file that is one line of ten megabytes is scanned once and not once per finding.
 */

import type { Position, Range } from 'vscode-languageserver';
import {
  type ColumnUnit,
  type LineIndex,
  lineAt,
  lineNear,
  offsetAt,
  outsideLineBreak,
  utf8Length,
} from '../core/text/lineIndex.ts';
import type { Span } from '../core/text/span.ts';

/** UTF-16 offset of a client's position; clamped to the text, since positions are untrusted. */
export function offsetOf(index: LineIndex, position: Position, unit: ColumnUnit): number {
  return offsetAt(index, { line: position.line, column: position.character }, unit);
}

/** UTF-16 span of a client's range; a range written back to front is turned round. */
export function spanOf(index: LineIndex, range: Range, unit: ColumnUnit): Span {
  const start = offsetOf(index, range.start, unit);
  const end = offsetOf(index, range.end, unit);
  return start <= end ? { start, end } : { start: end, end: start };
}

/** The client's range of one span. For several spans of one text, use `rangesOf`. */
export function rangeOf(index: LineIndex, span: Span, unit: ColumnUnit): Range {
  return rangesOf(index, [span], unit)[0] as Range;
}

/** The client's ranges of many spans, in the order given. Spans outside the text are clamped. */
export function rangesOf(index: LineIndex, spans: readonly Span[], unit: ColumnUnit): readonly Range[] {
  return unit === 'utf-16' ? rangesByLine(index, spans) : rangesByCounting(index, spans, unit);
}

function rangesByLine(index: LineIndex, spans: readonly Span[]): readonly Range[] {
  const { text, lineStarts } = index;
  let near = 0;
  const positionOf = (offset: number): Position => {
    const clamped = Math.min(Math.max(0, offset), text.length);
    near = lineNear(index, clamped, near);
    // Reading the character before it everywhere costs more than all the rest; a line break is all this is about.
    const isBreak = near + 1 < lineStarts.length && clamped + 1 === lineStarts[near + 1];
    return { line: near, character: (isBreak ? outsideLineBreak(text, clamped) : clamped) - (lineStarts[near] as number) };
  };
  return spans.map(({ start, end }) => {
    const head = positionOf(start);
    if (end <= start) return { start: head, end: head };
    const startLine = near;
    const tail = positionOf(end);
    near = startLine;
    return { start: head, end: tail };
  });
}

function rangesByCounting(index: LineIndex, spans: readonly Span[], unit: 'utf-8' | 'utf-32'): readonly Range[] {
  const place = (offset: number): number => outsideLineBreak(index.text, Math.min(Math.max(0, offset), index.text.length));
  const offsets = new Float64Array(spans.length * 2);
  for (const [at, { start, end }] of spans.entries()) {
    offsets[2 * at] = place(start);
    offsets[2 * at + 1] = place(Math.max(start, end));
  }
  const ordered = offsets.slice().sort();
  const positions = new Map<number, Position>();
  const walk = createWalk(index, unit);
  for (const offset of ordered) if (!positions.has(offset)) positions.set(offset, walk(offset));
  return spans.map((_, at) => ({
    start: positions.get(offsets[2 * at] as number) as Position,
    end: positions.get(offsets[2 * at + 1] as number) as Position,
  }));
}

/** Answers rising offsets; goes on from where the last answer stood when that is on the same line. */
function createWalk(index: LineIndex, unit: 'utf-8' | 'utf-32'): (offset: number) => Position {
  const { text, lineStarts } = index;
  let line = -1;
  let at = 0;
  let column = 0;
  return (offset) => {
    const isSameLine = line >= 0 && (line + 1 >= lineStarts.length || offset < (lineStarts[line + 1] as number));
    if (!isSameLine) {
      line = lineAt(index, offset);
      at = lineStarts[line] as number;
      column = 0;
    }
    while (at < offset) {
      const code = text.codePointAt(at) as number;
      const width = code > 0xffff ? 2 : 1;
      if (at + width > offset) break;
      column += unit === 'utf-32' ? 1 : utf8Length(code);
      at += width;
    }
    return { line, character: column };
  };
}
