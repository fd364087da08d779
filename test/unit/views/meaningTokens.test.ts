import { describe, expect, it } from 'vitest';
import { meaningTokensIn } from '../../../server/src/core/views/meaningTokens.ts';
import { auditMarked, readMarks, SMALL_EDL, withMarks } from '../../support/marked.ts';

function coloured(marked: string): readonly string[] {
  const { text, ranges } = readMarks(marked);
  const tokens = meaningTokensIn(auditMarked('edl', text), ranges[0] ?? { start: 0, end: text.length });
  const shown = withMarks(
    text,
    tokens.map(({ span, meaning }) => [span, meaning]),
  );
  return shown.match(/⟦[^⟧]*⟧/g) ?? [];
}

describe('tokens by meaning', () => {
  it('colour the number and the name of each sound that something is known of', () => {
    expect(coloured(SMALL_EDL)).toEqual([
      '⟦DECK1|in⟧',
      '⟦00:00:10:00|in⟧',
      '⟦00:00:20:01|leads⟧',
      '⟦EARLY|leads⟧',
      '⟦DECK1|lags⟧',
      '⟦00:00:29:23|lags⟧',
      '⟦OTHER|unmeasured⟧',
      '⟦00:00:29:23|unmeasured⟧',
    ]);
  });

  it('are those of the range that is asked about', () => {
    expect(coloured(SMALL_EDL.replace('004 ', '⟦004 ').replace('005 ', '⟧005 '))).toEqual([
      '⟦00:00:20:01|leads⟧',
      '⟦EARLY|leads⟧',
    ]);
  });
});
