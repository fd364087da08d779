/**
 * The windowed sinc with which reels are resampled, as a table of weights.
 *
 * 64 zero crossings to either side under a Kaiser window (beta 15): flat to 0.46 of the sample rate (22 kHz at 48 kHz), more than
 * 140 dB down from 0.54 on. Weights are worked out for 4,096 places between two samples, and drawn straight between those, which adds
 * less than the last bit of 24. Each row is scaled so that its weights sum to 1: a constant stays exactly itself.
 *
 * A drifting clock moves by some millionths of a sample with each sample, so neighbouring samples use the same two rows.
 */

export interface SincKernel {
  /** Weights before the place, and as many after it. */
  readonly reach: number;
  /** Row `r` holds the `2 x reach` weights for the place `r / PHASES` after a sample; one row more than there are phases. */
  readonly weights: Float64Array;
}

export const PHASES = 4096;
export const ZERO_CROSSINGS = 64;
const BETA = 15;
/** Clocks that drift stay far below this; what it lets fold lies in the slope of the filter, beyond hearing. */
const LARGEST_DRIFTING_STEP = 1.002;

/** `step`: samples of the recording for each sample that is made. Well beyond 1 the band is narrowed with it, so that nothing folds. */
export function sincKernel(step: number): SincKernel {
  const scale = step <= LARGEST_DRIFTING_STEP ? 1 : 1 / step;
  const reach = Math.ceil(ZERO_CROSSINGS / scale);
  const taps = 2 * reach;
  const weights = new Float64Array((PHASES + 1) * taps);
  const normal = bessel(BETA);
  for (let phase = 0; phase <= PHASES; phase += 1) {
    const row = phase * taps;
    let sum = 0;
    for (let tap = 0; tap < taps; tap += 1) {
      // Tap `reach - 1` is the sample at or before the place.
      const distance = (phase / PHASES - (tap - reach + 1)) * scale;
      const share = distance / ZERO_CROSSINGS;
      const weight = Math.abs(share) >= 1 ? 0 : sinc(distance) * (bessel(BETA * Math.sqrt(1 - share * share)) / normal);
      weights[row + tap] = weight;
      sum += weight;
    }
    for (let tap = 0; tap < taps; tap += 1) weights[row + tap] = (weights[row + tap] as number) / sum;
  }
  return { reach, weights };
}

function sinc(distance: number): number {
  if (Math.abs(distance) < 1e-12) return 1;
  const angle = Math.PI * distance;
  return Math.sin(angle) / angle;
}

/** The modified Bessel function of the first kind and order 0, by its power series. */
function bessel(value: number): number {
  const quarter = (value * value) / 4;
  let term = 1;
  let sum = 1;
  for (let order = 1; term > sum * 1e-17; order += 1) {
    term *= quarter / (order * order);
    sum += term;
  }
  return sum;
}
