import { describe, expect, it } from 'vitest';
import { span } from '../../../server/src/core/text/span.ts';
import { applyEdits, type TextEdit, withoutRepeats } from '../../../server/src/core/text/textEdit.ts';

const edit = (start: number, end: number, newText: string): TextEdit => ({ span: span(start, end), newText });

describe('edits made at once', () => {
  it('refer to the text as it was, in any order', () => {
    expect(applyEdits('source 10 record 20', [edit(17, 19, '21'), edit(7, 9, '9')])).toBe('source 9 record 21');
  });

  it('leave everything else as it is', () => {
    expect(applyEdits('a\r\n\tb ', [edit(4, 5, 'c')])).toBe('a\r\n\tc ');
    expect(applyEdits('same', [])).toBe('same');
  });

  it('count once when they are equal: two channels of one event ask for the same label', () => {
    expect(applyEdits('12', [edit(0, 1, '9'), edit(0, 1, '9')])).toBe('92');
  });

  it('insert, replace and delete side by side', () => {
    expect(applyEdits('abcdef', [edit(0, 0, '>'), edit(1, 2, ''), edit(2, 3, 'CC'), edit(6, 6, '<')])).toBe('>aCCdef<');
  });

  it.each([
    ['different edits that overlap', [edit(0, 2, 'x'), edit(1, 3, 'y')]],
    ['different texts for one place', [edit(0, 2, 'x'), edit(0, 2, 'y')]],
    ['two insertions at one place', [edit(2, 2, 'x'), edit(2, 2, 'y')]],
    ['an edit past the end', [edit(3, 5, 'x')]],
    ['an edit before the start', [edit(-1, 1, 'x')]],
    ['an edit that ends before it starts', [edit(3, 1, 'x')]],
  ])('are refused: %s', (_, edits) => {
    expect(applyEdits('abcd', edits)).toBeNull();
  });

  it('stand sorted by place, equal ones once', () => {
    expect(withoutRepeats([edit(5, 6, 'b'), edit(0, 1, 'a'), edit(5, 6, 'b'), edit(5, 5, 'c')])).toEqual([
      edit(0, 1, 'a'),
      edit(5, 5, 'c'),
      edit(5, 6, 'b'),
    ]);
  });
});
