/**
 * Theil-Sen regression: the median of all pairwise slopes (Theil 1950, Sen 1968).
 *
 * A window that locked on an echo or on the wrong word is off by any amount; least squares would follow it, the median does not until
 * 29 % of the points are bad.
 */

export interface Line {
  readonly slope: number;
  readonly intercept: number;
}

/** Slope and intercept; a slope of 0 for fewer than two different abscissae. */
export function theilSen(x: readonly number[], y: readonly number[]): Line {
  const slope = median(pairwiseSlopes(x, y)) ?? 0;
  return { slope, intercept: median(y.map((value, index) => value - slope * (x[index] as number))) ?? 0 };
}

function pairwiseSlopes(x: readonly number[], y: readonly number[]): number[] {
  const slopes: number[] = [];
  for (let first = 0; first < x.length; first += 1) {
    for (let second = first + 1; second < x.length; second += 1) {
      const run = (x[second] as number) - (x[first] as number);
      if (run !== 0) slopes.push(((y[second] as number) - (y[first] as number)) / run);
    }
  }
  return slopes;
}

/**
 * The value that has half of the weight below it: pairs far apart and clear say more about a slope than near and faint ones.
 *
 * Null for no weight.
 */
export function weightedMedian(values: readonly number[], weights: readonly number[]): number | null {
  const order = values.map((_, index) => index).sort((left, right) => (values[left] as number) - (values[right] as number));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let below = 0;
  for (const index of order) {
    below += weights[index] as number;
    if (below >= total / 2 && below > 0) return values[index] as number;
  }
  return null;
}

/** Null for no values; the mean of the two middle ones for an even count. */
export function median(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? (sorted[middle] as number) : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2;
}

/** Median absolute deviation, scaled to the standard deviation of normal errors. */
export function robustDeviation(residuals: readonly number[]): number {
  const centre = median(residuals) ?? 0;
  return 1.4826 * (median(residuals.map((residual) => Math.abs(residual - centre))) ?? 0);
}
