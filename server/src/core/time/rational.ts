/**
 * Exact numbers: the only arithmetic that times, rates and lags go through.
 *
 * A rational holds either two safe integers (fast) or two BigInts (when a product would not fit).
 * Results are not reduced on every step, because reducing costs ten times an addition; they are
 * reduced when they outgrow the fast form and when they are written down.
 *
 * Invariants
 * - The denominator is positive.
 * - Numerator and denominator are of one type; numbers are safe integers, never -0.
 * - `compare`, `equals` and `formatRational` do not depend on how far a value was reduced.
 *
 * Division by zero is a programming error and throws a RangeError: readers check for zero first.
 */

export interface Rational {
  readonly numerator: number | bigint;
  readonly denominator: number | bigint;
}

export const ZERO: Rational = { numerator: 0, denominator: 1 };
export const ONE: Rational = { numerator: 1, denominator: 1 };

/** A ratio of integers. Throws a RangeError when the denominator is zero. */
export function rational(numerator: number | bigint, denominator: number | bigint = 1): Rational {
  if (
    typeof numerator === 'number' &&
    typeof denominator === 'number' &&
    Number.isSafeInteger(numerator) &&
    Number.isSafeInteger(denominator)
  ) {
    if (denominator > 0) return { numerator: numerator + 0, denominator };
    if (denominator < 0) return { numerator: 0 - numerator, denominator: -denominator };
    throw new RangeError('a rational with denominator zero');
  }
  return fromBigInts(BigInt(numerator), BigInt(denominator));
}

export function add(left: Rational, right: Rational): Rational {
  return addFraction(left, right.numerator, right.denominator);
}

export function subtract(left: Rational, right: Rational): Rational {
  const { numerator } = right;
  return addFraction(left, typeof numerator === 'number' ? 0 - numerator : -numerator, right.denominator);
}

/** Takes the right side as two numbers, so that a subtraction does not have to make a negated rational first. */
function addFraction(left: Rational, c: number | bigint, d: number | bigint): Rational {
  const { numerator: a, denominator: b } = left;
  if (typeof a === 'number' && typeof b === 'number' && typeof c === 'number' && typeof d === 'number') {
    if (b === d) {
      const sum = a + c;
      if (Number.isSafeInteger(sum)) return { numerator: sum, denominator: b };
    } else {
      // The least common multiple keeps denominators from growing along a track.
      const divisor = greatestCommonDivisor(b, d);
      const leftFactor = d / divisor;
      const rightFactor = b / divisor;
      const denominator = b * leftFactor;
      const scaledLeft = a * leftFactor;
      const scaledRight = c * rightFactor;
      const sum = scaledLeft + scaledRight;
      if (
        Number.isSafeInteger(denominator) &&
        Number.isSafeInteger(scaledLeft) &&
        Number.isSafeInteger(scaledRight) &&
        Number.isSafeInteger(sum)
      ) {
        return { numerator: sum, denominator };
      }
    }
  }
  return fromBigInts(BigInt(a) * BigInt(d) + BigInt(c) * BigInt(b), BigInt(b) * BigInt(d));
}

export function negate(value: Rational): Rational {
  return {
    numerator: typeof value.numerator === 'number' ? 0 - value.numerator : -value.numerator,
    denominator: value.denominator,
  };
}

export function absolute(value: Rational): Rational {
  return sign(value) < 0 ? negate(value) : value;
}

export function multiply(left: Rational, right: Rational): Rational {
  const { numerator: a, denominator: b } = left;
  const { numerator: c, denominator: d } = right;
  if (typeof a === 'number' && typeof b === 'number' && typeof c === 'number' && typeof d === 'number') {
    const numerator = a * c;
    const denominator = b * d;
    if (Number.isSafeInteger(numerator) && Number.isSafeInteger(denominator)) return { numerator: numerator + 0, denominator };
  }
  return fromBigInts(BigInt(a) * BigInt(c), BigInt(b) * BigInt(d));
}

/** Throws a RangeError when `right` is zero. */
export function divide(left: Rational, right: Rational): Rational {
  const { numerator: c, denominator: d } = right;
  if (isZero(right)) throw new RangeError('a rational divided by zero');
  const inverted: Rational =
    sign(right) > 0
      ? { numerator: d, denominator: c }
      : typeof c === 'number'
        ? { numerator: -d, denominator: -c }
        : { numerator: -(d as bigint), denominator: -c };
  return multiply(left, inverted);
}

/** Negative, zero or positive as `left` is smaller than, equal to or greater than `right`. */
export function compare(left: Rational, right: Rational): -1 | 0 | 1 {
  if (left === right) return 0;
  const { numerator: a, denominator: b } = left;
  const { numerator: c, denominator: d } = right;
  if (typeof a === 'number' && typeof b === 'number' && typeof c === 'number' && typeof d === 'number') {
    if (b === d) return a < c ? -1 : a > c ? 1 : 0;
    const scaledLeft = a * d;
    const scaledRight = c * b;
    if (Number.isSafeInteger(scaledLeft) && Number.isSafeInteger(scaledRight)) {
      return scaledLeft < scaledRight ? -1 : scaledLeft > scaledRight ? 1 : 0;
    }
  }
  const scaledLeft = BigInt(a) * BigInt(d);
  const scaledRight = BigInt(c) * BigInt(b);
  return scaledLeft < scaledRight ? -1 : scaledLeft > scaledRight ? 1 : 0;
}

export function equals(left: Rational, right: Rational): boolean {
  return compare(left, right) === 0;
}

export function isZero(value: Rational): boolean {
  return value.numerator === 0 || value.numerator === 0n;
}

/** True for exactly one, however far it was reduced. */
export function isOne(value: Rational): boolean {
  return value.numerator === value.denominator;
}

export function sign(value: Rational): -1 | 0 | 1 {
  return value.numerator > 0 ? 1 : value.numerator < 0 ? -1 : 0;
}

export function minimum(left: Rational, right: Rational): Rational {
  return compare(left, right) <= 0 ? left : right;
}

export function maximum(left: Rational, right: Rational): Rational {
  return compare(left, right) >= 0 ? left : right;
}

/** True when the value is a whole number. */
export function isInteger(value: Rational): boolean {
  const { numerator, denominator } = value;
  return typeof numerator === 'number' ? numerator % (denominator as number) === 0 : numerator % (denominator as bigint) === 0n;
}

/** The greatest whole number not above `value`. */
export function floor(value: Rational): bigint {
  const numerator = BigInt(value.numerator);
  const denominator = BigInt(value.denominator);
  const quotient = numerator / denominator;
  return numerator < 0n && quotient * denominator !== numerator ? quotient - 1n : quotient;
}

/** The smallest whole number not below `value`. */
export function ceiling(value: Rational): bigint {
  return -floor(negate(value));
}

/** The nearest whole number; a half goes up. */
export function round(value: Rational): bigint {
  return floor(add(value, { numerator: 1, denominator: 2 }));
}

/** The same value in lowest terms, in the small form where it fits. */
export function reduce(value: Rational): Rational {
  const { numerator, denominator } = value;
  if (typeof numerator === 'number') {
    const divisor = greatestCommonDivisor(Math.abs(numerator), denominator as number);
    return divisor === 1 ? value : { numerator: numerator / divisor + 0, denominator: (denominator as number) / divisor };
  }
  return fromBigInts(numerator, denominator as bigint);
}

/** For rendering only: the nearest double. Never compare or accumulate the result. */
export function toNumber(value: Rational): number {
  const { numerator, denominator } = value;
  if (typeof numerator === 'number') return numerator / (denominator as number);
  const whole = numerator / (denominator as bigint);
  const rest = numerator % (denominator as bigint);
  const scale = 1n << 60n;
  return Number(whole) + Number((rest * scale) / (denominator as bigint)) / Number(scale);
}

/** `num/den` in lowest terms, or an integer: the form of every rational in the JSON output. */
export function formatRational(value: Rational): string {
  const { numerator, denominator } = reduce(value);
  return denominator === 1 || denominator === 1n ? String(numerator) : `${numerator}/${denominator}`;
}

/** Reads `num/den` or an integer; null for anything else, a zero denominator included. */
export function parseRational(text: string): Rational | null {
  const match = /^\s*(-?\d+)(?:\s*\/\s*(\d+))?\s*$/.exec(text);
  if (match === null) return null;
  const denominator = BigInt(match[2] ?? '1');
  if (denominator === 0n) return null;
  return fromBigInts(BigInt(match[1] as string), denominator);
}

/**
 * A decimal, taken as exactly the number written: `0.1` is one tenth.
 *
 * Accepts the JSON number grammar and a leading `+` or bare point. Null for anything else,
 * and for exponents beyond 400, which no media position needs and which would cost memory.
 */
export function parseDecimal(text: string): Rational | null {
  const small = parseSmallInteger(text);
  if (small !== null) return { numerator: small, denominator: 1 };
  const match = /^([+-]?)(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d+))?$/.exec(text);
  if (match === null) return null;
  const whole = match[2] ?? '';
  const fraction = match[3] ?? '';
  if (whole.length + fraction.length === 0) return null;
  const exponent = Number(match[4] ?? '0') - fraction.length;
  if (Math.abs(exponent) > 400) return null;
  let numerator = BigInt(whole + fraction);
  if (match[1] === '-') numerator = -numerator;
  return exponent >= 0 ? fromBigInts(numerator * 10n ** BigInt(exponent), 1n) : fromBigInts(numerator, 10n ** BigInt(-exponent));
}

/**
 * The shortest decimal that reads back as exactly `value`, or null when none exists
 * (one third, say). Used by fixes, which must write what they mean.
 */
export function formatExactDecimal(value: Rational): string | null {
  const lowest = reduce(value);
  let denominator = BigInt(lowest.denominator);
  let twos = 0;
  let fives = 0;
  while (denominator % 2n === 0n) {
    denominator /= 2n;
    twos += 1;
  }
  while (denominator % 5n === 0n) {
    denominator /= 5n;
    fives += 1;
  }
  if (denominator !== 1n) return null;
  const places = Math.max(twos, fives);
  const scaled = (BigInt(lowest.numerator) * 10n ** BigInt(places)) / BigInt(lowest.denominator);
  const digits = (scaled < 0n ? -scaled : scaled).toString().padStart(places + 1, '0');
  const text = places === 0 ? digits : `${digits.slice(0, -places)}.${digits.slice(-places)}`;
  return scaled < 0n ? `-${text}` : text;
}

function parseSmallInteger(text: string): number | null {
  const length = text.length;
  if (length === 0 || length > 15) return null;
  let index = 0;
  let isNegative = false;
  if (text.charCodeAt(0) === 45) {
    if (length === 1) return null;
    isNegative = true;
    index = 1;
  }
  let value = 0;
  for (; index < length; index += 1) {
    const digit = text.charCodeAt(index) - 48;
    if (digit < 0 || digit > 9) return null;
    value = value * 10 + digit;
  }
  return isNegative ? 0 - value : value;
}

function greatestCommonDivisor(left: number, right: number): number {
  let a = left;
  let b = right;
  while (b !== 0) {
    const rest = a % b;
    a = b;
    b = rest;
  }
  return a;
}

function fromBigInts(numerator: bigint, denominator: bigint): Rational {
  if (denominator === 0n) throw new RangeError('a rational with denominator zero');
  let a = numerator < 0n ? -numerator : numerator;
  let b = denominator < 0n ? -denominator : denominator;
  while (b !== 0n) {
    const rest = a % b;
    a = b;
    b = rest;
  }
  const divisor = denominator < 0n ? -a : a;
  const reducedNumerator = numerator / divisor;
  const reducedDenominator = denominator / divisor;
  const limit = BigInt(Number.MAX_SAFE_INTEGER);
  return reducedNumerator <= limit && reducedNumerator >= -limit && reducedDenominator <= limit
    ? { numerator: Number(reducedNumerator), denominator: Number(reducedDenominator) }
    : { numerator: reducedNumerator, denominator: reducedDenominator };
}
