/**
 * Sound takes its time through air: about 2.9 ms per metre.
 *
 * A scratch match aligns to what the camera heard, late by the way from the source to the camera against the picture. Whoever knows
 * the distance can have it taken out.
 */

/**
 * Metres per second in dry air at `celsius` degrees: 343.2 sqrt((T + 273.15) / 293.15), ISO 9613-1:1993 formula A.5.
 *
 * Throws a RangeError below absolute zero.
 */
export function speedOfSound(celsius = 20): number {
  const kelvin = celsius + 273.15;
  if (!(kelvin > 0)) throw new RangeError(`no air is as cold as ${celsius} degrees Celsius`);
  return 343.2 * Math.sqrt(kelvin / 293.15);
}

/** Seconds that sound takes for `metres` at `celsius` degrees. */
export function airDelaySeconds(metres: number, celsius = 20): number {
  return metres / speedOfSound(celsius);
}
