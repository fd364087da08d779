import { describe, expect, it } from 'vitest';
import {
  absolute,
  add,
  ceiling,
  compare,
  divide,
  equals,
  floor,
  formatExactDecimal,
  formatRational,
  isInteger,
  isZero,
  maximum,
  minimum,
  multiply,
  negate,
  ONE,
  parseDecimal,
  parseRational,
  type Rational,
  rational,
  reduce,
  round,
  sign,
  subtract,
  toNumber,
  ZERO,
} from '../../../server/src/core/time/rational.ts';

const written = (value: Rational | null): string | null => (value === null ? null : formatRational(value));

describe('making rationals', () => {
  it('keeps the denominator positive', () => {
    expect(rational(1, -2)).toEqual({ numerator: -1, denominator: 2 });
    expect(rational(-1n, -2n)).toEqual({ numerator: 1, denominator: 2 });
  });

  it('never holds minus zero', () => {
    for (const zero of [rational(-0), rational(0, -3), multiply(rational(0), rational(-5)), negate(ZERO), subtract(ONE, ONE)]) {
      expect(Object.is(zero.numerator, -0)).toBe(false);
    }
  });

  it('goes over to big integers when a number is not safe', () => {
    const large = rational(2 ** 53, 3);
    expect(typeof large.numerator).toBe('bigint');
    expect(written(large)).toBe('9007199254740992/3');
    expect(written(reduce(multiply(large, rational(3, 2 ** 20))))).toBe('8589934592');
  });

  it('refuses a zero denominator', () => {
    expect(() => rational(1, 0)).toThrow(RangeError);
    expect(() => rational(1n, 0n)).toThrow(RangeError);
    expect(() => divide(ONE, ZERO)).toThrow(RangeError);
  });
});

describe('arithmetic', () => {
  it('adds frames of different rates exactly', () => {
    // One frame of 24000/1001 and one of 25: 1001/24000 + 1/25 s.
    expect(written(add(rational(1001, 24000), rational(1, 25)))).toBe('1961/24000');
  });

  it('is exact where doubles are not', () => {
    const tenth = rational(1, 10);
    expect(equals(add(tenth, rational(2, 10)), rational(3, 10))).toBe(true);
    expect(0.1 + 0.2 === 0.3).toBe(false);
  });

  it('compares across the border of safe integers', () => {
    const just = rational(9_007_199_254_740_991n, 9_007_199_254_740_990n);
    expect(compare(just, ONE)).toBe(1);
    expect(compare(ONE, just)).toBe(-1);
    expect(compare(just, just)).toBe(0);
  });

  it('divides by a negative', () => {
    expect(written(divide(rational(1, 2), rational(-3, 4)))).toBe('-2/3');
    expect(written(divide(rational(1n, 2n), rational(-3n * 2n ** 70n, 4n)))).toBe(`-1/${3n * 2n ** 69n}`);
  });

  it.each([
    [rational(7, 2), 3n, 4n, 4n],
    [rational(-7, 2), -4n, -3n, -3n],
    [rational(5), 5n, 5n, 5n],
    [rational(-1, 3), -1n, 0n, 0n],
    [rational(2n ** 80n + 1n, 2n), 2n ** 79n, 2n ** 79n + 1n, 2n ** 79n + 1n],
  ])('%o: floor, ceiling, and a half that rounds up', (value, down, up, nearest) => {
    expect([floor(value), ceiling(value), round(value)]).toEqual([down, up, nearest]);
  });

  it('tells sign, size and order', () => {
    expect([sign(rational(-1, 9)), sign(ZERO), sign(rational(2n ** 60n))]).toEqual([-1, 0, 1]);
    expect(written(absolute(rational(-3, 7)))).toBe('3/7');
    expect(written(minimum(rational(1, 3), rational(1, 4)))).toBe('1/4');
    expect(written(maximum(rational(1, 3), rational(1, 4)))).toBe('1/3');
    expect([isZero(rational(0, 5)), isZero(rational(1, 5))]).toEqual([true, false]);
    expect([isInteger(rational(10, 5)), isInteger(rational(10, 4)), isInteger(rational(2n ** 80n, 2n))]).toEqual([
      true,
      false,
      true,
    ]);
  });
});

describe('text', () => {
  it.each([
    ['1/2', '1/2'],
    ['-6/4', '-3/2'],
    [' 24000 / 1001 ', '24000/1001'],
    ['10/5', '2'],
    ['123456789012345678901234567890', '123456789012345678901234567890'],
  ])('%j is the ratio %s', (text, expected) => {
    expect(written(parseRational(text))).toBe(expected);
  });

  it.each(['', '1/0', '1.5', '1/-2', 'x', '1/2/3', '--1'])('%j is no ratio', (text) => {
    expect(parseRational(text)).toBeNull();
  });

  it.each([
    ['0.1', '1/10'],
    ['-0', '0'],
    ['23.976', '2997/125'],
    ['1e3', '1000'],
    ['-1.9872e+06', '-1987200'],
    ['2.5E-2', '1/40'],
    ['+.5', '1/2'],
    ['5.', '5'],
    ['1001.001001001001', '1001001001001001/1000000000000'],
    ['9007199254740993', '9007199254740993'],
  ])('the decimal %s is exactly %s', (text, expected) => {
    expect(written(parseDecimal(text))).toBe(expected);
  });

  it.each(['', '.', '-', '+', 'e5', '1e', '1e401', 'NaN', 'Infinity', '0x10', '1 2', '--1', '1,5'])(
    '%j is no decimal',
    (text) => {
      expect(parseDecimal(text)).toBeNull();
    },
  );

  it.each([
    [rational(1, 8), '0.125'],
    [rational(-5, 4), '-1.25'],
    [rational(3), '3'],
    [rational(1, 10 ** 6), '0.000001'],
    [rational(123n * 10n ** 20n), '12300000000000000000000'],
    [rational(1, 3), null],
    [rational(1001, 24000), null],
  ])('%o as an exact decimal is %s', (value, expected) => {
    expect(formatExactDecimal(value)).toBe(expected);
  });

  it('renders large and small values as the nearest number', () => {
    expect(toNumber(rational(1, 4))).toBe(0.25);
    expect(toNumber(rational(10n ** 30n, 4n * 10n ** 30n))).toBe(0.25);
    expect(toNumber(rational(-(10n ** 25n), 3n * 10n ** 24n))).toBeCloseTo(-10 / 3, 12);
  });
});
