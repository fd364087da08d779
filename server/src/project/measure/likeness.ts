/**
 * How alike a stretch of scratch is to the sound around its place: the plain normalised correlation, for people to look at.
 *
 * Deliberately not the engine's way of finding a place: no transforms, no weights, only rho(l) = sum x[n] y[n+l] / sqrt(sum x^2
 * sum y^2) over differences of neighbouring samples, which take out rumble. A picture that shows the same peak is a second
 * opinion. Cost: some fifty million products for one curve.
 */

export interface Likeness {
  /** One value for each lag from `-reach` to `reach`; -1 to 1. */
  readonly values: Float64Array;
  /** Lag of the largest magnitude, to a fraction of a sample. */
  readonly peak: number;
}

/** `sound` begins `reach` samples before `scratch` and ends as many after it. */
export function likeness(scratch: Float32Array, sound: Float32Array, reach: number): Likeness {
  const x = differences(scratch);
  const y = differences(sound);
  const lags = 2 * reach + 1;
  const values = new Float64Array(lags);
  const energyOfX = energy(x, 0, x.length);
  let energyOfY = energy(y, 0, x.length);
  for (let lag = 0; lag < lags; lag += 1) {
    let sum = 0;
    for (let index = 0; index < x.length; index += 1) sum += (x[index] as number) * (y[index + lag] as number);
    const size = Math.sqrt(energyOfX * energyOfY);
    values[lag] = size > 0 ? sum / size : 0;
    energyOfY += (y[lag + x.length] ?? 0) ** 2 - (y[lag] as number) ** 2;
  }
  return { values, peak: topOf(values) - reach };
}

function differences(samples: Float32Array): Float32Array {
  return samples.subarray(1).map((value, index) => value - (samples[index] as number));
}

function energy(values: Float32Array, from: number, to: number): number {
  let sum = 0;
  for (let index = from; index < to; index += 1) sum += (values[index] as number) ** 2;
  return sum;
}

/** Place of the largest magnitude; the parabola through three samples (Smith, Spectral Audio Signal Processing). */
function topOf(values: Float64Array): number {
  let best = 0;
  for (let index = 1; index < values.length; index += 1) {
    if (Math.abs(values[index] as number) > Math.abs(values[best] as number)) best = index;
  }
  const [before, middle, after] = [values[best - 1], values[best], values[best + 1]];
  if (before === undefined || middle === undefined || after === undefined) return best;
  const bend = before - 2 * middle + after;
  return bend === 0 ? best : best + (before - after) / (2 * bend);
}
