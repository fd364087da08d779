/**
 * The top of a correlation, finer than its samples.
 *
 * The parabola through three samples (Smith, Spectral Audio Signal Processing) is off by up to 0.12 sample on a critically sampled
 * peak, so it only starts the search; the end is the maximum of the band-limited correlation itself, evaluated between samples from
 * its spectrum.
 */

export interface ParabolicPeak {
  /** Distance of the top from the middle sample, in samples, between -0.5 and 0.5 for a true maximum. */
  readonly place: number;
  readonly height: number;
}

/** The top of the parabola through three neighbouring samples: p = (a - c) / (2 (a - 2b + c)), height b - (a - c) p / 4. */
export function parabolicPeak(before: number, middle: number, after: number): ParabolicPeak {
  const bend = before - 2 * middle + after;
  if (bend === 0) return { place: 0, height: middle };
  const place = (before - after) / (2 * bend);
  return { place, height: middle - ((before - after) * place) / 4 };
}

/**
 * Value at lag `lag`, whole or not, of the correlation whose half spectrum is `spectrum` in the ordered layout of fourier.ts.
 *
 * Scaled like the inverse transform of fourier.ts. Costs one pass over the bins from `lowBin` up to `highBin`.
 */
export function correlationAt(spectrum: Float32Array, lag: number, lowBin: number, highBin: number): number {
  const angle = (2 * Math.PI * lag) / spectrum.length;
  const turnReal = Math.cos(angle);
  const turnImaginary = Math.sin(angle);
  let real = Math.cos(angle * lowBin);
  let imaginary = Math.sin(angle * lowBin);
  let sum = 0;
  for (let bin = lowBin; bin < highBin; bin += 1) {
    sum += (spectrum[2 * bin] as number) * real - (spectrum[2 * bin + 1] as number) * imaginary;
    const next = real * turnReal - imaginary * turnImaginary;
    imaginary = real * turnImaginary + imaginary * turnReal;
    real = next;
  }
  return 2 * sum;
}

/** The lag near `start` at which the magnitude of the correlation is largest: three rounds of ever narrower parabolas. */
export function refineLag(spectrum: Float32Array, start: number, lowBin: number, highBin: number): number {
  let lag = start;
  let step = 0.4;
  for (let round = 0; round < 4; round += 1) {
    const middle = correlationAt(spectrum, lag, lowBin, highBin);
    const sign = middle < 0 ? -1 : 1;
    const before = sign * correlationAt(spectrum, lag - step, lowBin, highBin);
    const after = sign * correlationAt(spectrum, lag + step, lowBin, highBin);
    const { place } = parabolicPeak(before, sign * middle, after);
    if (!Number.isFinite(place)) return lag;
    lag += step * Math.max(-1, Math.min(1, place));
    step *= round === 0 ? 0.5 : 0.3;
  }
  return lag;
}
