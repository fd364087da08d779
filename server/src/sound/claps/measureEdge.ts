/**
 * The leading edge of a strike, to the sample.
 *
 * Our definition: the first sample at which the sound reaches 10 % of the peak of its first arrival. ISO 3382-1:2009 A.3.4 places
 * the start of an impulse response where it is clear of the background yet 20 dB below its maximum, which is the same tenth; we
 * take the maximum of the first arrival only, because an echo may be louder than the sound itself and must not move the edge.
 *
 * DC, hum and rumble are removed by subtracting a slow average of the samples before. Where the room's noise reaches above
 * the tenth, the threshold is lifted over the noise, and the edge may be late by part of the rise: the uncertainty says so.
 */

export interface Edge {
  readonly sample: number;
  readonly crossing: number;
  readonly uncertainty: number;
  readonly peak: number;
  readonly peakSample: number;
  /** Root mean square before the edge, after removal of DC and rumble. */
  readonly noise: number;
  /** Samples from the edge until 70 % of the peak is first reached. */
  readonly riseSamples: number;
}

const TENTH = 0.1;
/** The peak of a first arrival is looked for this long after its start; the floor's reflection is rarely sooner. */
const FIRST_ARRIVAL_SECONDS = 0.003;
/** Silence of this length before a sample means that an earlier excursion did not belong to it. */
const GAP_SECONDS = 0.0008;
/** Gaussian noise passes this multiple of its deviation once in some 15,000 samples. */
const CLEAR_OF_NOISE = 4;

/**
 * The edge of the strike that begins somewhere in `from` to `to` of `samples`; 30 ms before `from` serve as background.
 */
export function measureEdge(samples: Float32Array, from: number, to: number, sampleRate: number): Edge {
  const lead = Math.round(0.03 * sampleRate);
  const start = Math.max(0, from - lead);
  const arrival = Math.round(FIRST_ARRIVAL_SECONDS * sampleRate);
  const end = Math.min(samples.length, to + arrival);
  const steady = withoutRumble(samples, start, end, sampleRate);
  const noiseEnd = Math.max(1, from - start - Math.round(0.002 * sampleRate));
  const noise = rootMeanSquare(steady, 0, noiseEnd);
  const noisePeak = largest(steady, Math.max(0, noiseEnd - lead), noiseEnd).value;

  // Begin with the loudest of the window, then narrow it to the first arrival.
  const first = from - start;
  let peak = largest(steady, first, to - start).value;
  let edge = first;
  for (let round = 0; round < 3; round += 1) {
    const threshold = Math.max(TENTH * peak, Math.min(CLEAR_OF_NOISE * noise, 0.5 * peak));
    edge = firstAbove(steady, first, threshold);
    const arrived = largest(steady, edge, Math.min(steady.length, edge + arrival));
    if (arrived.value === peak) break;
    peak = arrived.value;
  }
  const limit = Math.max(TENTH * peak, Math.min(Math.max(CLEAR_OF_NOISE * noise, 1.1 * noisePeak), 0.5 * peak));
  edge = walkBack(steady, firstAbove(steady, first, limit), limit, Math.round(GAP_SECONDS * sampleRate));
  const peakAt = largest(steady, edge, Math.min(steady.length, edge + arrival));
  const high = firstAbove(steady, edge, 0.7 * peakAt.value);
  const riseSamples = Math.max(1, high - edge);
  const now = Math.abs(steady[edge] as number);
  const before = edge > 0 ? Math.min(limit, Math.abs(steady[edge - 1] as number)) : 0;
  const crossing = now > before ? edge - 1 + (limit - before) / (now - before) : edge;
  const lifted = Math.max(0, limit / peakAt.value - TENTH);
  return {
    sample: start + edge,
    crossing: start + crossing,
    uncertainty: 1 + riseSamples * Math.min(1, lifted + noise / Math.max(peakAt.value, 1e-12)),
    peak: peakAt.value,
    peakSample: start + peakAt.index,
    noise,
    riseSamples,
  };
}

/** One pole at 60 Hz, started on the mean of the first 5 ms so that DC leaves no step. */
function withoutRumble(samples: Float32Array, start: number, end: number, sampleRate: number): Float32Array {
  const output = new Float32Array(Math.max(0, end - start));
  const amount = 1 - Math.exp((-2 * Math.PI * 60) / sampleRate);
  const settle = Math.min(output.length, Math.round(0.005 * sampleRate));
  let slow = 0;
  for (let index = 0; index < settle; index += 1) slow += samples[start + index] as number;
  slow = settle > 0 ? slow / settle : 0;
  for (let index = 0; index < output.length; index += 1) {
    const value = samples[start + index] as number;
    output[index] = value - slow;
    slow += amount * (value - slow);
  }
  return output;
}

function firstAbove(values: Float32Array, from: number, threshold: number): number {
  for (let index = from; index < values.length; index += 1) if (Math.abs(values[index] as number) >= threshold) return index;
  return Math.min(from, values.length - 1);
}

/** Earlier samples above the threshold belong to the same rise as long as no gap lies between. */
function walkBack(values: Float32Array, from: number, threshold: number, gap: number): number {
  let edge = from;
  for (let index = from - 1; index >= Math.max(0, edge - gap); index -= 1) {
    if (Math.abs(values[index] as number) >= threshold) edge = index;
  }
  return edge;
}

function largest(values: Float32Array, from: number, to: number): { readonly value: number; readonly index: number } {
  let value = 0;
  let index = from;
  for (let at = Math.max(0, from); at < Math.min(values.length, to); at += 1) {
    const magnitude = Math.abs(values[at] as number);
    if (magnitude > value) {
      value = magnitude;
      index = at;
    }
  }
  return { value, index };
}

function rootMeanSquare(values: Float32Array, from: number, to: number): number {
  let sum = 0;
  for (let index = from; index < to; index += 1) sum += (values[index] as number) ** 2;
  return Math.sqrt(sum / Math.max(1, to - from));
}
