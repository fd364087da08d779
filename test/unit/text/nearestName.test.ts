import { describe, expect, it } from 'vitest';
import { nearestName } from '../../../server/src/core/text/nearestName.ts';

describe('the word somebody most likely meant', () => {
  it.each([
    ['tolerence', ['tolerance', 'handles'], 'tolerance'],
    ['driftPPM', ['driftPpm', 'clap'], 'driftPpm'],
    ['cam-a-7', ['cam-a-07', 'cam-b-07'], 'cam-a-07'],
    // Two letters swapped are one slip.
    ['cilp', ['clip', 'code'], 'clip'],
    // The beginning of one word only.
    ['warn', ['error', 'warning', 'off'], 'warning'],
    ['sound-l', ['sound-leads', 'sound-lags'], null],
    ['colour', ['grid', 'rules'], null],
    ['', ['grid'], null],
    ['x', [], null],
  ])('%s among %j is %s', (written, candidates, expected) => {
    expect(nearestName(written, candidates)).toBe(expected);
  });

  it('takes the first of equally near ones, and any iterable once', () => {
    expect(nearestName('deck-1x', ['deck-12', 'deck-13'])).toBe('deck-12');
    expect(nearestName('deck-1x', new Set(['deck-13', 'deck-12']).values())).toBe('deck-13');
  });

  it('does not compare words of no use', () => {
    expect(nearestName('a'.repeat(10_000), ['a'.repeat(10_000)])).toBeNull();
  });
});
