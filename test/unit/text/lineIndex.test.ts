import { describe, expect, it } from 'vitest';
import {
  buildLineIndex,
  type ColumnUnit,
  contentEnd,
  lineAt,
  lineNear,
  offsetAt,
  positionAt,
} from '../../../server/src/core/text/lineIndex.ts';

const UNITS: readonly ColumnUnit[] = ['utf-8', 'utf-16', 'utf-32'];

function starts(text: string): readonly number[] {
  return [...buildLineIndex(text).lineStarts];
}

describe('where lines start', () => {
  it.each([
    ['', [0]],
    ['one line', [0]],
    ['a\nb\n', [0, 2, 4]],
    ['a\r\nb\r\n', [0, 3, 6]],
    ['a\rb\rc', [0, 2, 4]],
    ['a\r\nb\rc\nd', [0, 3, 5, 7]],
    ['\r\r\n\n', [0, 1, 3, 4]],
    // A lone CR at the very end, as old lists have it.
    ['a\r', [0, 2]],
  ])('%j: %j', (text, expected) => {
    expect(starts(text)).toEqual(expected);
  });

  it('grows with the text', () => {
    const text = 'x\n'.repeat(5000);
    const lineStarts = starts(text);
    expect(lineStarts).toHaveLength(5001);
    expect(lineStarts[4999]).toBe(9998);
  });

  it('finds the line of an offset, the break belonging to the line it ends', () => {
    const index = buildLineIndex('ab\ncd\r\nef');
    expect([0, 2, 3, 5, 6, 7, 9].map((offset) => lineAt(index, offset))).toEqual([0, 0, 1, 1, 1, 2, 2]);
  });

  it('ends a line before its break', () => {
    const index = buildLineIndex('ab\ncd\r\nef\rg');
    expect([0, 1, 2, 3].map((line) => contentEnd(index, line))).toEqual([2, 5, 9, 11]);
  });
});

describe('columns in three units', () => {
  // é is 2 bytes, € 3, 𝄞 4 bytes and two UTF-16 units (RFC 3629; The Unicode Standard, D91).
  const index = buildLineIndex('aé€𝄞b\nz');

  it.each([
    [0, [0, 0, 0]],
    [1, [1, 1, 1]],
    [2, [3, 2, 2]],
    [3, [6, 3, 3]],
    [5, [10, 5, 4]],
    [6, [11, 6, 5]],
  ])('offset %i is column %j', (offset, columns) => {
    expect(UNITS.map((unit) => positionAt(index, offset, unit).column)).toEqual(columns);
    expect(UNITS.map((unit, at) => offsetAt(index, { line: 0, column: columns[at] as number }, unit))).toEqual([
      offset,
      offset,
      offset,
    ]);
  });

  it('answers the start of a pair from inside it, in units that know no halves', () => {
    expect(positionAt(index, 4, 'utf-16')).toEqual({ line: 0, column: 4 });
    expect(positionAt(index, 4, 'utf-8')).toEqual({ line: 0, column: 6 });
    expect(positionAt(index, 4, 'utf-32')).toEqual({ line: 0, column: 3 });
  });

  it('a column inside a character is its start', () => {
    expect(offsetAt(index, { line: 0, column: 2 }, 'utf-8')).toBe(1);
    expect(offsetAt(index, { line: 0, column: 8 }, 'utf-8')).toBe(3);
  });

  it('between CR and LF there is no column: the end of the line is the answer', () => {
    const broken = buildLineIndex('ab\r\ncd');
    expect(positionAt(broken, 3)).toEqual({ line: 0, column: 2 });
    expect(positionAt(broken, 4)).toEqual({ line: 1, column: 0 });
  });

  it('clamps what lies outside, since a span may be older than the text', () => {
    expect(positionAt(index, -5)).toEqual({ line: 0, column: 0 });
    expect(positionAt(index, 500)).toEqual({ line: 1, column: 1 });
    expect(offsetAt(index, { line: -1, column: 3 })).toBe(0);
    expect(offsetAt(index, { line: 9, column: 0 })).toBe(8);
    for (const unit of UNITS) {
      expect(offsetAt(index, { line: 0, column: 500 }, unit)).toBe(6);
      expect(offsetAt(index, { line: 0, column: -1 }, unit)).toBe(0);
    }
  });
});

describe('a line looked for from another', () => {
  const text = 'one\n\ntwo\r\nthree\rfour\n'.repeat(7);
  const index = buildLineIndex(text);

  it('is the line that holds the offset, wherever the search starts', () => {
    for (let offset = 0; offset <= text.length; offset += 1) {
      for (let near = 0; near < index.lineStarts.length; near += 1) {
        expect(lineNear(index, offset, near)).toBe(lineAt(index, offset));
      }
    }
  });

  it('is the only one there is in a text of one line', () => {
    const single = buildLineIndex('one');
    expect([0, 2, 3].map((offset) => lineNear(single, offset, 0))).toEqual([0, 0, 0]);
  });
});
