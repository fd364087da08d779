import { describe, expect, it } from 'vitest';
import { span, textOf, touches } from '../../../server/src/core/text/span.ts';

describe('spans', () => {
  it('are half-open', () => {
    expect(textOf('01:00:00:00', span(3, 5))).toBe('00');
    expect(textOf('01:00:00:00', span(4, 4))).toBe('');
  });

  it('are touched by carets at both ends', () => {
    const place = span(2, 4);
    expect([1, 2, 3, 4, 5].map((offset) => touches(place, offset))).toEqual([false, true, true, true, false]);
  });
});
