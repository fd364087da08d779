/**
 * Triangular noise of two steps from peak to peak, for rounding without distortion.
 *
 * The sum of two even distributions over one step makes the error's mean and power independent of the sound (common practice; the
 * theory is S. P. Lipshitz, R. A. Wannamaker and J. Vanderkooy, 'Quantization and Dither', 1992, from memory). The noise comes from
 * a generator with a fixed start, so that the same recording gives the same reel, bit for bit, on every machine.
 */

/** Marsaglia's xorshift with 32 bits (13, 17, 5), from memory; a long enough period for any reel, and two cheap draws a sample. */
export function triangularNoise(seed: number): () => number {
  let state = (seed ^ 0x9e3779b9) | 0 || 1;
  const next = (): number => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return state * 2 ** -32;
  };
  // Two draws from -1/2 up to 1/2.
  return () => next() + next();
}
