/** The speed of sound against ISO 9613-1:1993, formula A.5 (as quoted elsewhere); the figures are computed from it. */

import { describe, expect, test } from 'vitest';
import { airDelaySeconds, speedOfSound } from '../../../server/src/sound/air.ts';

const FOOT = 0.3048;

describe('the speed of sound', () => {
  test.each([
    [0, 331.286],
    [10, 337.296],
    [20, 343.2],
    [30, 349.005],
  ])('at %d degrees Celsius is %d m/s', (celsius, expected) => {
    expect(speedOfSound(celsius)).toBeCloseTo(expected, 3);
  });

  // The handbook formula 331.3 sqrt(1 + T/273.15) never differs by more than 0.0151 m/s from -10 to 40 degrees (computed).
  test('agrees with the handbook formula', () => {
    for (let celsius = -10; celsius <= 40; celsius += 1) {
      expect(Math.abs(speedOfSound(celsius) - 331.3 * Math.sqrt(1 + celsius / 273.15))).toBeLessThan(0.0152);
    }
  });

  test('there is none below absolute zero', () => {
    expect(() => speedOfSound(-300)).toThrow(RangeError);
  });
});

describe('the way through the air', () => {
  test.each([
    [1, 20, 2.9138],
    [1, 0, 3.0185],
    [FOOT, 20, 0.8881],
    [20 * FOOT, 20, 17.7622],
  ])('%d m at %d degrees take %d ms', (metres, celsius, expected) => {
    expect(airDelaySeconds(metres, celsius) * 1000).toBeCloseTo(expected, 3);
  });

  test('is that at 20 degrees where nobody says', () => {
    expect(airDelaySeconds(6)).toBe(6 / 343.2);
  });

  // A waveform match of a recorder 1 ft away with a camera 50 ft away is wrong by 49 ft of air (computed).
  test('49 ft are 43.5175 ms', () => {
    expect((airDelaySeconds(50 * FOOT) - airDelaySeconds(FOOT)) * 1000).toBeCloseTo(43.5175, 3);
  });
});
