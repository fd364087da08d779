/**
 * A second opinion on where two sounds agree: plain products and sums, nothing shared with the engine.
 */

/**
 * Samples by which `later` is late against `reference`, whose first sample is held against `later[at]`, among lags of up to `reach`
 * either way.
 *
 * The sum of products is taken for each whole lag, and a parabola through the three highest gives the part of a sample. `likeness` is
 * the correlation coefficient at the best whole lag, 1 for alike.
 */
export function lagBetween(
  reference: ArrayLike<number>,
  later: ArrayLike<number>,
  at: number,
  reach: number,
): { readonly lag: number; readonly likeness: number } {
  const { length } = reference;
  const products: number[] = [];
  for (let lag = -reach; lag <= reach; lag += 1) {
    let sum = 0;
    for (let index = 0; index < length; index += 1) sum += (reference[index] as number) * (later[at + index + lag] ?? 0);
    products.push(sum);
  }
  const best = products.indexOf(Math.max(...products));
  const middle = products[best] as number;
  const before = products[best - 1] ?? middle;
  const after = products[best + 1] ?? middle;
  const bend = before - 2 * middle + after;
  const part = bend === 0 ? 0 : (before - after) / (2 * bend);
  const likeness = middle / Math.sqrt(energy(reference, 0, length) * energy(later, at + best - reach, length));
  return { lag: best - reach + part, likeness };
}

function energy(signal: ArrayLike<number>, at: number, length: number): number {
  let sum = 0;
  for (let index = 0; index < length; index += 1) sum += (signal[at + index] ?? 0) ** 2;
  return sum;
}
