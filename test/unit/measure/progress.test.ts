/**
 * The line that says how long it will take: right to the share that is done, and only where somebody looks.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { measureProgress, timeLeft } from '../../../server/src/cli/measureProgress.ts';
import type { OutputStream } from '../../../server/src/cli/terminal.ts';
import { progressPlan } from '../../../server/src/project/measure/progress.ts';

function stream(isTerminal: boolean): OutputStream & { readonly texts: string[] } {
  const texts: string[] = [];
  return { texts, write: (text) => texts.push(text), isTerminal, columns: 60 };
}

describe('the time left', () => {
  test.each([
    [10, 0.5, 'about 10 s left  '],
    [12, 0.3, 'about 30 s left  '],
    [60, 0.25, 'about 3 min left  '],
    [3600, 0.25, 'about 3 h left  '],
    [100, 0.995, ''],
    [1, 0.001, ''],
  ])('after %d s and a share of %d is %j', (elapsed, share, expected) => {
    expect(timeLeft(elapsed, share)).toBe(expected);
  });
});

describe('the line', () => {
  test('is written on a terminal, after a second, and taken away', () => {
    let now = 0;
    const terminal = stream(true);
    const line = measureProgress(terminal, () => now);
    line.show({ share: 0.1, step: 'finding claps in DECK.wav' });
    expect(terminal.texts).toEqual([]);
    now = 10_000;
    line.show({ share: 0.25, step: 'finding claps in DECK.wav' });
    expect(terminal.texts.join('')).toContain('25 %  about 30 s left  finding claps in DECK.wav');
    line.clear();
    expect(terminal.texts.at(-1)).toBe('\r\u001b[K');
  });

  test('keeps to the width of the terminal, and shows no control characters of a name', () => {
    let now = 0;
    const terminal = stream(true);
    const line = measureProgress(terminal, () => now);
    now = 5000;
    line.show({ share: 0.5, step: `finding claps in \u001b[2J${'long'.repeat(40)}.wav` });
    const [text = ''] = terminal.texts;
    expect(text.replace('\r\u001b[K', '')).toHaveLength(59);
    expect(text).not.toContain('\u001b[2J');
  });

  test('is not written into a file', () => {
    let now = 0;
    const file = stream(false);
    const line = measureProgress(file, () => now);
    now = 5000;
    line.show({ share: 0.5, step: 'x' });
    line.clear();
    expect(file.texts).toEqual([]);
  });
});

test('shares of steps add up, whatever is told in between', () => {
  const step = fc.record({
    weight: fc.integer({ min: 1, max: 1000 }),
    told: fc.array(fc.double({ min: -1, max: 2, noNaN: true })),
  });
  fc.assert(
    fc.property(fc.array(step, { minLength: 1, maxLength: 8 }), (steps) => {
      const shares: number[] = [];
      const plan = progressPlan(({ share }) => shares.push(share));
      for (const { weight } of steps) plan.expect(weight);
      for (const { weight, told } of steps) {
        const tell = plan.begin('step', weight);
        for (const share of told) tell(share);
        tell(1);
      }
      expect(shares).toEqual(shares.toSorted((left, right) => left - right));
      expect(shares.at(-1)).toBeCloseTo(1, 9);
    }),
  );
});
