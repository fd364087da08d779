import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildLineIndex, type ColumnUnit, positionAt } from '../../../server/src/core/text/lineIndex.ts';
import { rangesOf, spanOf } from '../../../server/src/lsp/positions.ts';

const hardText = fc
  .array(fc.constantFrom('a', '7', '\n', '\r', '\r\n', 'é', '你', '🎬'), { maxLength: 40 })
  .map((pieces) => pieces.join(''));
const unit = fc.constantFrom<ColumnUnit>('utf-8', 'utf-16', 'utf-32');

describe('ranges of many spans', () => {
  it('are those that each offset has on its own', () => {
    fc.assert(
      fc.property(hardText, fc.array(fc.tuple(fc.nat(60), fc.nat(60)), { maxLength: 12 }), unit, (text, pairs, columns) => {
        const index = buildLineIndex(text);
        const spans = pairs.map(([one, other]) => ({ start: Math.min(one, other), end: Math.max(one, other) }));
        const alone = (offset: number) => {
          const { line, column } = positionAt(index, offset, columns);
          return { line, character: column };
        };
        expect(rangesOf(index, spans, columns)).toEqual(
          spans.map(({ start, end }) => ({ start: alone(start), end: alone(end) })),
        );
      }),
      { numRuns: 2000 },
    );
  });

  it('come back as the same spans, apart from places inside a line break or a surrogate pair', () => {
    fc.assert(
      fc.property(hardText, fc.nat(60), fc.nat(60), unit, (text, one, other, columns) => {
        const isPlain = (offset: number): boolean => !/^(\r\n|\ud83c\udfac)/.test(text.slice(offset - 1, offset + 1));
        const [start, end] = [Math.min(one, other, text.length), Math.min(Math.max(one, other), text.length)];
        fc.pre((start === 0 || isPlain(start)) && (end === 0 || isPlain(end)));
        const index = buildLineIndex(text);
        const [range] = rangesOf(index, [{ start, end }], columns);
        expect(range && spanOf(index, range, columns)).toEqual({ start, end });
      }),
      { numRuns: 2000 },
    );
  });

  it('stay inside the text when a span is older than it', () => {
    expect(rangesOf(buildLineIndex('ab'), [{ start: -5, end: 900 }], 'utf-16')).toEqual([
      { start: { line: 0, character: 0 }, end: { line: 0, character: 2 } },
    ]);
  });
});
