/**
 * The air between a microphone and a clap, as time and as distance.
 *
 * 343.2 m/s: dry air at 20 C (ISO 9613-1:1993, formula A.5), 2.914 ms a metre. Ten degrees change it by 2 %, which is less
 * than anybody knows the distance by.
 */

import { divide, multiply, type Rational, rational } from '../time/rational.ts';

/** Metres a second. */
const SPEED_OF_SOUND = rational(3432, 10);

/** Metres that sound travels in `seconds`. */
export function metresOfAir(seconds: Rational): Rational {
  return multiply(seconds, SPEED_OF_SOUND);
}

/** Seconds that sound takes over `metres`. */
export function secondsOverAir(metres: Rational): Rational {
  return divide(metres, SPEED_OF_SOUND);
}
