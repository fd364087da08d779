import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareNaturally } from '../../../server/src/core/text/naturalOrder.ts';

describe('the order of numbered names', () => {
  it('counts as people do', () => {
    const names = ['cam-a-10', 'cam-a-9', 'cam-a-09', 'cam-b-1', 'cam-a', '', 'cam-a-9b', '2'];
    expect(names.toSorted(compareNaturally)).toEqual([
      '',
      '2',
      'cam-a',
      'cam-a-09',
      'cam-a-9',
      'cam-a-9b',
      'cam-a-10',
      'cam-b-1',
    ]);
  });

  it('holds for numbers of any length', () => {
    expect(compareNaturally(`a${'9'.repeat(40)}`, `a1${'0'.repeat(40)}`)).toBeLessThan(0);
  });

  it('is an order: equal only when the same, opposite when turned, transitive', () => {
    const name = fc.string({ unit: fc.constantFrom('0', '1', '9', 'a', 'B', '-', 'é'), maxLength: 6 });
    fc.assert(
      fc.property(name, name, name, (left, middle, right) => {
        expect(Math.sign(compareNaturally(left, middle))).toBe(0 - Math.sign(compareNaturally(middle, left)));
        expect(compareNaturally(left, middle) === 0).toBe(left === middle);
        const isRising = compareNaturally(left, middle) <= 0 && compareNaturally(middle, right) <= 0;
        expect(isRising && compareNaturally(left, right) > 0).toBe(false);
      }),
    );
  });
});
