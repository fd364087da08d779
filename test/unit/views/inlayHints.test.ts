/** Hints after compared clips. At 25 frames per second one frame is 40 ms (1/25 s). */

import { describe, expect, it } from 'vitest';
import { rational } from '../../../server/src/core/time/rational.ts';
import { type HintChoice, inlayHintsIn } from '../../../server/src/core/views/inlayHints.ts';
import { lagLabel } from '../../../server/src/core/views/lagLabel.ts';
import { auditMarked, readMarks, SMALL_EDL, SMALL_REPORT, withMarks } from '../../support/marked.ts';

function hinted(marked: string, choice: HintChoice, report: string | null = SMALL_REPORT): string {
  const { text, ranges } = readMarks(marked);
  const range = ranges[0] ?? { start: 0, end: text.length };
  const hints = inlayHintsIn(auditMarked('edl', text, report), range, choice);
  return withMarks(
    text,
    hints.map(({ offset, label }) => [{ start: offset, end: offset }, label]),
  );
}

const linesWithHints = (text: string): readonly string[] =>
  text.split('\n').flatMap((line) => {
    const hint = /^(\d+).*⟦\|(.*)⟧$/.exec(line);
    return hint === null ? [] : [`${hint[1]}: ${hint[2]}`];
  });

describe('inlay hints', () => {
  it('stand at the end of the event whose sound is out', () => {
    expect(linesWithHints(hinted(SMALL_EDL, 'problems'))).toEqual(['004: leads 40 ms, 1 f', '006: lags 80 ms, 2 f']);
  });

  it('stand after every compared clip when all are asked for', () => {
    expect(linesWithHints(hinted(SMALL_EDL, 'all'))).toEqual(['002: exact', '004: leads 40 ms, 1 f', '006: lags 80 ms, 2 f']);
  });

  it('are none when off, and none without a report', () => {
    expect(hinted(SMALL_EDL, 'off')).toBe(SMALL_EDL);
    expect(hinted(SMALL_EDL, 'all', null)).toBe(SMALL_EDL);
  });

  it('are those of the range that is asked about', () => {
    const marked = SMALL_EDL.replace('005 ', '⟦005 ').replace('007 ', '⟧007 ');
    expect(linesWithHints(hinted(marked, 'all'))).toEqual(['006: lags 80 ms, 2 f']);
  });

  it('say that some were left out', () => {
    const event = (number: number): string =>
      `${String(number).padStart(6, '0')}  DECK1    A     C        00:00:10:01 00:00:12:01 01:00:00:00 01:00:02:00\n`;
    const text = `${SMALL_EDL}${Array.from({ length: 2001 }, (_, at) => event(at + 100)).join('')}`;
    const hints = inlayHintsIn(auditMarked('edl', text), { start: 0, end: text.length }, 'problems');
    expect(hints).toHaveLength(2001);
    expect(hints.at(-1)).toMatchObject({ label: 'and 3 more clips without a hint: ask for a shorter range', clip: null });
  });
});

describe('a lag in few characters', () => {
  const label = (head: readonly [number, number], tail: readonly [number, number], verdict: 'in' | 'drifts'): string =>
    lagLabel({ lag: { head: rational(...head), tail: rational(...tail) }, verdict }, rational(24));

  it('counts parts of a frame to the hundredth (12.5 ms x 24 = 0.30 frames)', () => {
    expect(label([1, 80], [1, 80], 'in')).toBe('lags 12.5 ms, 0.30 f');
    expect(label([-1, 24], [-1, 24], 'in')).toBe('leads 41.7 ms, 1 f');
    expect(label([1, 100_000], [1, 100_000], 'in')).toBe('lags 0.01 ms, under 0.01 f');
  });

  it('names both ends of a drift', () => {
    expect(label([-1, 1000], [1, 50], 'drifts')).toBe('drifts, leads 1 ms to lags 20 ms');
    expect(label([0, 1], [1, 50], 'drifts')).toBe('drifts, exact to lags 20 ms');
  });
});
