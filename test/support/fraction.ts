/**
 * Fractions of two BigInts, written for the tests only: an independent formulation to hold the project's own rationals
 * against. Slow and plain on purpose.
 */

export type Fraction = readonly [numerator: bigint, denominator: bigint];

export function fraction(numerator: bigint | number, denominator: bigint | number = 1): Fraction {
  const n = BigInt(numerator);
  const d = BigInt(denominator);
  const divisor = gcd(n < 0n ? -n : n, d < 0n ? -d : d) || 1n;
  return d < 0n ? [-n / divisor, -d / divisor] : [n / divisor, d / divisor];
}

export function plus([a, b]: Fraction, [c, d]: Fraction): Fraction {
  return fraction(a * d + c * b, b * d);
}

export function minus(left: Fraction, [c, d]: Fraction): Fraction {
  return plus(left, [-c, d]);
}

export function times([a, b]: Fraction, [c, d]: Fraction): Fraction {
  return fraction(a * c, b * d);
}

export function over(left: Fraction, [c, d]: Fraction): Fraction {
  return times(left, fraction(d, c));
}

export function less([a, b]: Fraction, [c, d]: Fraction): boolean {
  return a * d < c * b;
}

/** 'num/den' or an integer: the form of the JSON output. */
export function fractionText([n, d]: Fraction): string {
  return d === 1n ? String(n) : `${n}/${d}`;
}

function gcd(left: bigint, right: bigint): bigint {
  return right === 0n ? left : gcd(right, left % right);
}
