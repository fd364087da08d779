/**
 * Sound in air, against published and computed values (the sources stand beside each).
 */

import { describe, expect, it } from 'vitest';
import { metresOfAir, secondsOverAir } from '../../../server/src/core/rules/airDistance.ts';
import { compare, multiply, rational, toNumber } from '../../../server/src/core/time/rational.ts';

describe('sound over air at 20 C', () => {
  it('takes 2.914 ms a metre (ISO 9613-1:1993, formula A.5: 343.2 m/s)', () => {
    expect(toNumber(secondsOverAir(rational(1))) * 1000).toBeCloseTo(2.9138, 4);
  });

  it.each([
    // One frame in metres, computed from 343.2 m/s: 343.2 / rate.
    ['24000/1001', rational(1001, 24000), 14.3143],
    ['24', rational(1, 24), 14.3],
    ['25', rational(1, 25), 13.728],
    ['30000/1001', rational(1001, 30000), 11.4514],
    ['60', rational(1, 60), 5.72],
  ])('goes so far in one frame at %s', (_rate, frame, metres) => {
    expect(toNumber(metresOfAir(frame))).toBeCloseTo(metres, 4);
  });

  it('takes more than one frame at 60 frames a second over 20 feet, and less than one at 50 (rule of thumb of the trade; 0.3048 m a foot exactly)', () => {
    const twentyFeet = secondsOverAir(multiply(rational(20), rational(3048, 10000)));
    expect(compare(twentyFeet, rational(1, 60))).toBe(1);
    expect(compare(twentyFeet, rational(1001, 60000))).toBe(1);
    expect(compare(twentyFeet, rational(1, 50))).toBe(-1);
  });
});
