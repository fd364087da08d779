/**
 * Fractions for working out what the samples must show.
 *
 * The program under test has exact arithmetic of its own. The expected lags of the samples must not come from it, so this is
 * another formulation: always BigInt, always reduced, nothing fast. If both agree, neither is likely to be wrong.
 *
 * Invariant: the denominator is positive and the fraction stands in lowest terms.
 */

export interface Fraction {
  readonly over: bigint;
  readonly under: bigint;
}

/** `over / under` in lowest terms; `under` must not be zero. */
export function fraction(over: bigint | number, under: bigint | number = 1): Fraction {
  const top = BigInt(over);
  const bottom = BigInt(under);
  if (bottom === 0n) throw new RangeError('a fraction over zero');
  const common = largestCommonFactor(top, bottom) * (bottom < 0n ? -1n : 1n);
  return { over: top / common, under: bottom / common };
}

export function plus(left: Fraction, right: Fraction): Fraction {
  return fraction(left.over * right.under + right.over * left.under, left.under * right.under);
}

export function minus(left: Fraction, right: Fraction): Fraction {
  return fraction(left.over * right.under - right.over * left.under, left.under * right.under);
}

export function times(left: Fraction, right: Fraction): Fraction {
  return fraction(left.over * right.over, left.under * right.under);
}

export function over(left: Fraction, right: Fraction): Fraction {
  return fraction(left.over * right.under, left.under * right.over);
}

export function isLess(left: Fraction, right: Fraction): boolean {
  return left.over * right.under < right.over * left.under;
}

/** The largest whole number that is not above the fraction. */
export function wholePart(value: Fraction): bigint {
  const remainder = ((value.over % value.under) + value.under) % value.under;
  return (value.over - remainder) / value.under;
}

/** The fraction as a whole number. Throws when it is not one: the scenario would not fit every format. */
export function whole(value: Fraction, what: string): bigint {
  if (value.under !== 1n) throw new RangeError(`${what} is not whole: ${written(value)}`);
  return value.over;
}

/** `over/under`, or the integer alone: the form of rationals in the JSON output. */
export function written(value: Fraction): string {
  return value.under === 1n ? value.over.toString() : `${value.over}/${value.under}`;
}

/** The exact value of a plain decimal such as `1675000.25` or `-55`. */
export function fromDecimal(text: string): Fraction {
  const [whole = '', decimals = ''] = text.split('.');
  return fraction(BigInt(whole + decimals), 10n ** BigInt(decimals.length));
}

function largestCommonFactor(left: bigint, right: bigint): bigint {
  let a = left < 0n ? -left : left;
  let b = right < 0n ? -right : right;
  while (b > 0n) [a, b] = [b, a % b];
  return a === 0n ? 1n : a;
}
