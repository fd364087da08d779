/**
 * Measured numbers as exact decimals, with no more digits than the measurement carries.
 */

import { parseDecimal, type Rational, ZERO } from '../../core/time/rational.ts';

/** `value` rounded to `places` decimals; 0 when it is no number. */
export function decimalOf(value: number, places: number): Rational {
  if (!Number.isFinite(value)) return ZERO;
  return parseDecimal(value.toFixed(places)) ?? ZERO;
}

/** `value` to a tenth of its uncertainty's first digit: 12.037 known to 0.4 is 12.04. */
export function significantDecimal(value: number, uncertainty: number): Rational {
  if (!(uncertainty > 0)) return decimalOf(value, 6);
  return decimalOf(value, Math.max(0, Math.min(6, 1 - Math.floor(Math.log10(uncertainty)))));
}

/** Rounded away from 0, since an uncertainty must not shrink on paper. */
export function roundedUp(value: number, places: number): Rational {
  const scale = 10 ** places;
  return decimalOf(Math.ceil(value * scale - 1e-9) / scale, places);
}
