/**
 * What every bench is made of: a ratio with its limit, medians of turns taken in one process.
 *
 * Ratios, not times: a machine that is half as fast is so for both sides.
 */

export interface BenchResult {
  readonly ratio: number;
  /** The figures behind the ratio, for people. */
  readonly detail: string;
}

export interface Bench {
  readonly name: string;
  /** The greatest ratio that passes. */
  readonly limit: number;
  readonly unit: string;
  readonly run: () => Promise<BenchResult>;
}

/** The first rounds compile; a person's editor has been running for a while. */
const WARM_UP = 3;
const ROUNDS = 9;

/** Both pieces of work by turns, so that a busy machine is busy for both. */
export function compareMedians(measured: () => unknown, base: () => unknown, detail: string): BenchResult {
  const times: { readonly own: number[]; readonly other: number[] } = { own: [], other: [] };
  for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
    const own = timeOf(measured);
    const other = timeOf(base);
    if (round < WARM_UP) continue;
    times.own.push(own);
    times.other.push(other);
  }
  const own = median(times.own);
  const other = median(times.other);
  return { ratio: own / other, detail: `${detail}, ${own.toFixed(1)} ms / ${other.toFixed(1)} ms` };
}

/** Milliseconds. */
export function timeOf(work: () => unknown): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

export function median(values: readonly number[]): number {
  const ordered = [...values].sort((left, right) => left - right);
  return ordered[Math.floor(ordered.length / 2)] ?? Number.NaN;
}

/** The smallest of the values that is not below `share` of them. */
export function percentile(values: readonly number[], share: number): number {
  const ordered = [...values].sort((left, right) => left - right);
  return ordered[Math.max(0, Math.ceil(ordered.length * share) - 1)] ?? Number.NaN;
}
