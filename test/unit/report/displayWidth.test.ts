/**
 * Columns of a terminal, against Unicode UAX #11 (East Asian Width): published classes of single characters.
 */

import { describe, expect, test } from 'vitest';
import { displayWidth, textWidth } from '../../../server/src/core/report/displayWidth.ts';

describe('columns', () => {
  test.each([
    ['A', 1, 'Na: LATIN CAPITAL LETTER A'],
    ['é', 1, 'N: LATIN SMALL LETTER E WITH ACUTE'],
    ['¢', 1, 'Na: CENT SIGN'],
    ['…', 1, 'A: ambiguous, narrow outside East Asian settings'],
    ['Ж', 1, 'A: CYRILLIC'],
    ['水', 2, 'W: CJK unified ideograph'],
    ['カ', 2, 'W: KATAKANA LETTER KA'],
    ['ｶ', 1, 'H: HALFWIDTH KATAKANA LETTER KA'],
    ['한', 2, 'W: HANGUL SYLLABLE'],
    ['Ａ', 2, 'F: FULLWIDTH LATIN CAPITAL LETTER A'],
    ['￥', 2, 'F: FULLWIDTH YEN SIGN'],
    ['、', 2, 'W: IDEOGRAPHIC COMMA'],
    ['🎬', 2, 'W: CLAPPER BOARD, emoji presentation'],
    ['\u0301', 0, 'combining acute accent (Mn)'],
    ['\u200d', 0, 'zero width joiner (Cf)'],
  ])('%s takes %i (%s)', (character, width) => {
    expect(displayWidth(character)).toBe(width);
  });

  test('of a text are those of its characters', () => {
    expect(textWidth('')).toBe(0);
    expect(textWidth('水車 mill')).toBe(9);
  });
});
