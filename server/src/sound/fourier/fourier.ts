/**
 * Real Fourier transforms, by the PFFFT package compiled to WebAssembly with SIMD.
 *
 * Chosen by measurement: a transform of 2^20 samples takes 3.5 ms, against 30 ms in plain JavaScript. Lengths are multiples of 32
 * with no prime factor above 5. Buffers live in the module's memory, which may move when it grows: views are taken anew on each
 * use and must not be kept across an `await` or another plan.
 *
 * Spectra are in PFFFT's ordered layout: [DC, Nyquist, re 1, im 1, re 2, im 2 ...], not scaled; a forward and an inverse transform
 * together multiply by the length.
 */

export interface Fourier {
  /** A plan for transforms of `size` samples; the same object on every call. Throws a RangeError for a size that has none. */
  plan(size: number): FourierPlan;
}

export interface FourierPlan {
  readonly size: number;
  /** Transforms `signal`, zero-padded to the plan's size, into `spectrum`, which has the plan's size. */
  forward(signal: Float32Array, spectrum: Float32Array): void;
  /** The inverse, multiplied by the size. */
  inverse(spectrum: Float32Array, signal: Float32Array): void;
}

/** Where the WebAssembly comes from when it cannot be found beside the package, as in a bundle. */
export interface FourierOptions {
  readonly wasmBinary?: Uint8Array;
}

interface PffftModule {
  readonly HEAPF32: Float32Array;
  _pffft_new_setup(size: number, kind: number): number;
  _pffft_aligned_malloc(bytes: number): number;
  _pffft_transform_ordered(setup: number, input: number, output: number, work: number, direction: number): void;
}

const REAL_TRANSFORM = 0;
const FORWARD = 0;
const BACKWARD = 1;

let shared: Promise<Fourier> | null = null;

/** Loads the package once; later calls answer the same transforms. Nothing is fetched from a network. */
export function loadFourier(options: FourierOptions = {}): Promise<Fourier> {
  shared ??= load(options);
  return shared;
}

async function load(options: FourierOptions): Promise<Fourier> {
  // @ts-expect-error The package ships no types; PffftModule above states what is used of it.
  const { default: open } = (await import('@echogarden/pffft-wasm/simd')) as {
    default: (options: object) => Promise<PffftModule>;
  };
  const module = await open(options.wasmBinary === undefined ? {} : { wasmBinary: options.wasmBinary });
  const plans = new Map<number, FourierPlan>();
  return {
    plan: (size) => {
      let plan = plans.get(size);
      if (plan === undefined) {
        plan = makePlan(module, size);
        plans.set(size, plan);
      }
      return plan;
    },
  };
}

function makePlan(module: PffftModule, size: number): FourierPlan {
  const setup = isTransformSize(size) ? module._pffft_new_setup(size, REAL_TRANSFORM) : 0;
  if (setup === 0) throw new RangeError(`no Fourier transform of ${size} samples`);
  const input = module._pffft_aligned_malloc(size * 4);
  const output = module._pffft_aligned_malloc(size * 4);
  const work = module._pffft_aligned_malloc(size * 4);
  const run = (from: Float32Array, to: Float32Array, direction: number): void => {
    const start = input >> 2;
    const length = Math.min(from.length, size);
    module.HEAPF32.set(length === from.length ? from : from.subarray(0, length), start);
    if (length < size) module.HEAPF32.fill(0, start + length, start + size);
    module._pffft_transform_ordered(setup, input, output, work, direction);
    to.set(module.HEAPF32.subarray(output >> 2, (output >> 2) + size));
  };
  return {
    size,
    forward: (signal, spectrum) => run(signal, spectrum, FORWARD),
    inverse: (spectrum, signal) => run(spectrum, signal, BACKWARD),
  };
}

function isTransformSize(size: number): boolean {
  if (!Number.isInteger(size) || size < 32 || size % 32 !== 0) return false;
  let rest = size;
  for (const factor of [2, 3, 5]) while (rest % factor === 0) rest /= factor;
  return rest === 1;
}

/** The smallest length not below `atLeast` that has a fast transform. */
export function transformSize(atLeast: number): number {
  let best = 32;
  while (best < atLeast) best *= 2;
  for (const odd of [3, 5, 9, 15, 25, 27, 45, 75]) {
    let size = 32 * odd;
    while (size < atLeast) size *= 2;
    best = Math.min(best, size);
  }
  return best;
}
