/**
 * Small helpers of the text renderer: wrapping, and making text from files fit to print.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { visibleText } from '../../../server/src/core/report/visibleText.ts';
import { wrapText } from '../../../server/src/core/report/wrapText.ts';

describe('wrapping', () => {
  test('breaks at spaces and keeps a word that is too long whole', () => {
    expect(wrapText('sound is heard before its picture', 16)).toEqual(['sound is heard', 'before its', 'picture']);
    expect(wrapText('a recording-with-a-long-name b', 10)).toEqual(['a', 'recording-with-a-long-name', 'b']);
    expect(wrapText('', 10)).toEqual(['']);
  });

  test('loses no word', () => {
    fc.assert(
      fc.property(fc.array(fc.stringMatching(/^[a-z水]{1,8}$/)), fc.integer({ min: 1, max: 30 }), (words, width) => {
        expect(wrapText(words.join(' '), width).join(' ')).toBe(words.join(' '));
      }),
    );
  });
});

describe('text from files', () => {
  test('keeps to its line and can command no terminal', () => {
    expect(visibleText('two\nlines\tand \u001b[31mred')).toBe('two␊lines␉and ␛[31mred');
    expect(visibleText('\u007f\u0085\u2028\u202e\ud800')).toBe('␡\ufffd\ufffd\ufffd\ufffd');
  });

  test('is left as it is otherwise', () => {
    expect(visibleText('Mühlrad 水車 🎬')).toBe('Mühlrad 水車 🎬');
  });
});
