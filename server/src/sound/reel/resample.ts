/**
 * Samples at places between the samples of a recording: the innermost loop of taking out drift.
 */

import { PHASES, type SincKernel } from './sincKernel.ts';

/**
 * Fills `output` with `count` values at the places `fraction`, `fraction + step`, ... after `input[kernel.reach - 1]`.
 *
 * `fraction` lies from 0 up to 1. `input` has to hold `kernel.reach - 1` samples before the first place and `kernel.reach` after the
 * last. Places are kept as a whole number and a rest below 1, so that they are as fine at the end of the block as at its start.
 */
export function resampleBlock(
  input: Float64Array,
  kernel: SincKernel,
  fraction: number,
  step: number,
  output: Float64Array,
  count: number,
): void {
  const { weights, reach } = kernel;
  const taps = 2 * reach;
  for (let index = 0; index < count; index += 1) {
    const place = fraction + index * step;
    const whole = Math.floor(place);
    const phase = (place - whole) * PHASES;
    const row = Math.floor(phase);
    const share = phase - row;
    let near = row * taps;
    let next = near + taps;
    let sum = 0;
    let slope = 0;
    // Two at a time: the length is even, and a chain of additions is what a processor waits for.
    let sumOdd = 0;
    let slopeOdd = 0;
    for (let at = whole, end = whole + taps; at < end; at += 2, near += 2, next += 2) {
      const value = input[at] as number;
      const weight = weights[near] as number;
      sum += weight * value;
      slope += ((weights[next] as number) - weight) * value;
      const odd = input[at + 1] as number;
      const oddWeight = weights[near + 1] as number;
      sumOdd += oddWeight * odd;
      slopeOdd += ((weights[next + 1] as number) - oddWeight) * odd;
    }
    output[index] = sum + sumOdd + share * (slope + slopeOdd);
  }
}
