/**
 * Carets must stand under the very characters of a finding, whatever the line is made of.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { textWidth } from '../../../server/src/core/report/displayWidth.ts';
import { excerptOf } from '../../../server/src/core/report/excerpt.ts';
import { buildLineIndex } from '../../../server/src/core/text/lineIndex.ts';
import { span } from '../../../server/src/core/text/span.ts';

/** The excerpt of the first `marked` in `text`, as the two lines a person sees. */
function shown(text: string, marked: string, width = 60): readonly string[] {
  const start = text.indexOf(marked);
  const excerpt = excerptOf(buildLineIndex(text), span(start, start + marked.length), width);
  return [excerpt.source, excerpt.carets];
}

describe('what stands above the carets', () => {
  test('plain text', () => {
    expect(shown('001  DECK A  C  01:00:00:00\n', '01:00:00:00')).toEqual([
      '001  DECK A  C  01:00:00:00',
      '                ^^^^^^^^^^^',
    ]);
  });

  test('tabs, before and inside', () => {
    expect(shown('\t"value":\t24.0,', '24.0')).toEqual(['    "value":    24.0,', '                ^^^^']);
    expect(shown('a\tb', '\t')).toEqual(['a   b', ' ^^^']);
  });

  test('wide characters take two columns (Unicode UAX #11: CJK ideographs and emoji are Wide)', () => {
    expect(shown('"水車小屋": 24', '24')).toEqual(['"水車小屋": 24', '            ^^']);
    expect(shown('🎬 clap', 'clap')).toEqual(['🎬 clap', '   ^^^^']);
    expect(shown('名前', '前')).toEqual(['名前', '  ^^']);
  });

  test('marks that combine take none', () => {
    expect(shown('cafe\u0301: 24', '24')).toEqual(['cafe\u0301: 24', '      ^^']);
  });

  test('control characters are shown, not sent to the terminal', () => {
    expect(shown('a\u001b[2Jb\u0000c', 'c')).toEqual(['a␛[2Jb␀c', '        ^'.slice(1)]);
    expect(shown('reverse \u202etxet', 'reverse')[0]).toBe('reverse \ufffdtxet');
  });

  test('only the first line of a span, and how many more there are', () => {
    const text = 'one\ntwo {\r\n  three\r\n}\r\n';
    const excerpt = excerptOf(buildLineIndex(text), span(text.indexOf('{'), text.indexOf('}') + 1), 60);
    expect(excerpt).toEqual({ lineNumber: 2, source: 'two {', carets: '    ^', furtherLines: 2 });
  });

  test('an empty place still has a caret: at the end of the text, of a line, in an empty text', () => {
    expect(excerptOf(buildLineIndex('ab'), span(2, 2), 60)).toMatchObject({ source: 'ab', carets: '  ^' });
    expect(excerptOf(buildLineIndex('ab\ncd'), span(2, 2), 60)).toMatchObject({ lineNumber: 1, carets: '  ^' });
    expect(excerptOf(buildLineIndex('ab'), span(1, 1), 60)).toMatchObject({ source: 'ab', carets: ' ^' });
    expect(excerptOf(buildLineIndex(''), span(0, 0), 60)).toMatchObject({ lineNumber: 1, source: '', carets: '^' });
  });

  test('a span outside the text is clamped', () => {
    expect(excerptOf(buildLineIndex('ab'), span(90, 95), 60)).toMatchObject({ source: 'ab', carets: '  ^' });
  });
});

describe('long lines', () => {
  test('are cut to a window around the carets, most of it before them', () => {
    const text = `${'x'.repeat(100)}MARK${'y'.repeat(100)}`;
    const [source = '', carets = ''] = shown(text, 'MARK', 40);
    expect(source).toBe(`…${'x'.repeat(22)}MARK${'y'.repeat(12)}…`);
    expect(source.slice(carets.indexOf('^'), carets.length)).toBe('MARK');
  });

  test('keep the start of a mark that is wider than the window', () => {
    const [source = '', carets = ''] = shown(`abc ${'M'.repeat(500)} def`, 'M'.repeat(500), 40);
    expect(source).toBe(`…${'M'.repeat(38)}…`);
    expect(carets).toBe(` ${'^'.repeat(38)}`);
  });

  test('of 50 MB cost no more than short ones: the excerpt looks at its window only', () => {
    const text = `${'🎬x'.repeat(2_000_000)}MARK${'y'.repeat(44_000_000)}`;
    const [source = '', carets = ''] = shown(text, 'MARK', 60);
    expect(textWidth(source)).toBeLessThanOrEqual(60);
    expect(carets.trim()).toBe('^^^^');
    expect(source).toContain('MARK');
  });
});

describe('for any text', () => {
  const anyCase = fc
    .tuple(fc.string({ unit: 'binary', maxLength: 200 }), fc.nat(220), fc.nat(60), fc.integer({ min: 20, max: 80 }))
    .map(([text, start, length, width]) => ({ text, start, end: start + length, width }));

  test('it fits the width, has a caret, and holds nothing a terminal would act on', () => {
    fc.assert(
      fc.property(anyCase, ({ text, start, end, width }) => {
        const excerpt = excerptOf(buildLineIndex(text), { start, end }, width);
        expect(textWidth(excerpt.source)).toBeLessThanOrEqual(width);
        expect(excerpt.carets.length).toBeLessThanOrEqual(width + 1);
        expect(excerpt.carets).toMatch(/^ *\^+( *\^+)*$/);
        expect(excerpt.source).not.toMatch(/[\p{Cc}\p{Cs}]/u);
      }),
    );
  });

  test('of plain characters, what stands over the carets is what was marked', () => {
    const plain = fc.string({ unit: fc.constantFrom(...'abcXYZ0123:;"'), minLength: 1, maxLength: 300 });
    fc.assert(
      fc.property(plain, fc.nat(), fc.integer({ min: 1, max: 12 }), (line, seed, length) => {
        const start = seed % line.length;
        const end = Math.min(line.length, start + length);
        const excerpt = excerptOf(buildLineIndex(line), { start, end }, 40);
        const first = excerpt.carets.indexOf('^');
        expect(excerpt.source.slice(first, excerpt.carets.length)).toBe(line.slice(start, end));
      }),
    );
  });
});
