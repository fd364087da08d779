/**
 * Taking drift out: how exact the samples between the samples are, what rounding adds, and that nothing changes from run to run.
 *
 * The truth is computed: a sine at another place is a sine.
 */

import { describe, expect, test } from 'vitest';
import { rational } from '../../../server/src/core/time/rational.ts';
import { triangularNoise } from '../../../server/src/sound/reel/dither.ts';
import { reelTiming } from '../../../server/src/sound/reel/reelTiming.ts';
import { waveFields } from '../../support/waveFields.ts';
import { piece, recordingOf, waveBytes, write } from './reels.ts';

const RATE = 48000;
const DRIFT = rational(1_000_055, 1_000_000);

function sine(hertz: number, count: number, start = 0, step = 1, level = 0.5): Float64Array {
  return Float64Array.from(
    { length: count },
    (_, index) => level * Math.sin((2 * Math.PI * hertz * (start + index * step)) / RATE),
  );
}

/** Power of the difference against the power of the truth, in decibels, away from the ends. */
function errorDb(made: ArrayLike<number>, truth: ArrayLike<number>): number {
  let error = 0;
  let power = 0;
  for (let index = 500; index < made.length - 500; index += 1) {
    error += ((made[index] as number) - (truth[index] as number)) ** 2;
    power += (truth[index] as number) ** 2;
  }
  return 10 * Math.log10(error / power);
}

describe('a resampled sine is the sine at its new place', () => {
  test.each([20, 440, 1000, 5000, 10_000, 15_000, 18_000, 20_000])('%d Hz, within -140 dB', async (hertz) => {
    const count = 60_000;
    const source = waveBytes('f64', [sine(hertz, count + 200)]);
    const { bytes } = await write(count, [piece(await recordingOf(source), count, rational(101, 2), DRIFT)]);
    expect(errorDb(waveFields(bytes).samples(0), sine(hertz, count, 50.5, 1.000055))).toBeLessThan(-140);
  });

  test('hours into a recording as at its start', async () => {
    // Five hours at 48 kHz: the place is a number with nine digits before its point.
    const far = 5 * 3600 * RATE;
    const count = 20_000;
    const samples = sine(10_000, count + 400, far - 100);
    const source = waveBytes('f64', [samples]);
    const recording = await recordingOf(source);
    const header = { ...recording.header, sampleCount: far + count + 300 };
    const bytes = {
      size: source.length,
      read: (offset: number, length: number) => {
        const start = offset - (far - 100) * 8;
        return Promise.resolve(source.subarray(start, start + length));
      },
    };
    const made = await write(count, [piece({ header, bytes }, count, rational(far * 3 + 1, 3), DRIFT)]);
    expect(errorDb(waveFields(made.bytes).samples(0), sine(10_000, count, far + 1 / 3, 1.000055))).toBeLessThan(-135);
  });

  test('at another sample rate: 44.1 kHz in a reel of 48 kHz', async () => {
    const count = 48_000;
    const truth = Float64Array.from({ length: count }, (_, index) => 0.5 * Math.sin((2 * Math.PI * 1000 * index) / 48_000));
    const samples = Float64Array.from({ length: 44_400 }, (_, index) => 0.5 * Math.sin((2 * Math.PI * 1000 * index) / 44_100));
    const recording = await recordingOf(waveBytes('f64', [samples], 44_100));
    const { bytes } = await write(count, [piece(recording, count, 0, rational(441, 480))], { layout: { sampleRate: 48_000 } });
    expect(errorDb(waveFields(bytes).samples(0), truth)).toBeLessThan(-140);
  });

  test('what would fold at half the sample rate is taken away', async () => {
    const count = 20_000;
    const tone = Float64Array.from(
      { length: 2 * count + 600 },
      (_, index) => 0.5 * Math.sin((2 * Math.PI * 30_000 * index) / 96_000),
    );
    const recording = await recordingOf(waveBytes('f64', [tone], 96_000));
    const { bytes } = await write(count, [piece(recording, count, 0, rational(2))], { layout: { sampleRate: 48_000 } });
    const made = waveFields(bytes)
      .samples(0)
      .subarray(500, count - 500);
    const power = made.reduce((sum, value) => sum + value * value, 0) / made.length;
    expect(10 * Math.log10(power / 0.125)).toBeLessThan(-130);
  });

  test('a constant stays itself, to the last bit of 24', async () => {
    const source = waveBytes('s24', [new Float64Array(9000).fill(0.25)]);
    const { bytes } = await write(8000, [
      piece(await recordingOf(source), 8000, rational(1001, 2), rational(1_000_001, 1_000_000)),
    ]);
    const levels = new Set(waveFields(bytes).samples(0).subarray(100, 7900));
    // A quarter of full scale is 2^21 steps; dither may put it one step off, never more.
    for (const level of levels) expect(Math.abs(level - 2 ** 21)).toBeLessThanOrEqual(1);
  });
});

describe('every channel goes through alike', () => {
  test('two channels of one sound stay one sound', async () => {
    const both = sine(700, 5000);
    const source = waveBytes('f32', [both, both]);
    const made = waveFields((await write(4000, [piece(await recordingOf(source), 4000, rational(201, 2), DRIFT)])).bytes);
    expect([...made.samples(0)]).toEqual([...made.samples(1)]);
  });
});

describe('rounding', () => {
  test('keeps the bits of the recording', async () => {
    for (const kind of ['s16', 's24', 's32'] as const) {
      const source = waveBytes(kind, [sine(1000, 3000)]);
      const { bytes } = await write(2000, [piece(await recordingOf(source), 2000, rational(1, 2), DRIFT)]);
      expect(waveFields(bytes).bits).toBe(waveFields(source).bits);
    }
  });

  test('adds the noise of triangular dither and no more: a variance of a quarter step (1/6 of dither, 1/12 of rounding; theory)', async () => {
    const count = 200_000;
    const source = waveBytes('s16', [sine(997, count + 300, 0, 1, 0.3)]);
    const input = waveFields(source).samples(0);
    const { bytes } = await write(count, [
      piece(await recordingOf(source), count, rational(100), rational(1_000_001, 1_000_000)),
    ]);
    const made = waveFields(bytes).samples(0);
    // The same piece in double precision is the truth the rounding is held against.
    const exact = await recordingOf(waveBytes('f64', [input.map((value) => value / 32768)]));
    const truth = waveFields(
      (await write(count, [piece(exact, count, rational(100), rational(1_000_001, 1_000_000))])).bytes,
    ).samples(0);
    let mean = 0;
    let power = 0;
    for (let index = 0; index < count; index += 1) {
      const error = (made[index] as number) - (truth[index] as number) * 32768;
      mean += error / count;
      power += (error * error) / count;
    }
    expect(Math.abs(mean)).toBeLessThan(0.01);
    expect(power).toBeCloseTo(0.25, 2);
  });

  test('silence stays silence', async () => {
    const source = waveBytes('s24', [new Float64Array(3000)]);
    const { bytes } = await write(2000, [piece(await recordingOf(source), 2000, rational(1, 2), DRIFT)]);
    expect(
      waveFields(bytes)
        .samples(0)
        .every((value) => value === 0),
    ).toBe(true);
  });

  test('what swings past full scale is held there and counted', async () => {
    // Full-scale steps ring under any band limit.
    const square = Float64Array.from({ length: 4000 }, (_, index) => (index % 40 < 20 ? 0.9999999 : -1));
    const { outcome, bytes } = await write(3000, [
      piece(await recordingOf(waveBytes('s24', [square])), 3000, rational(1, 2), DRIFT),
    ]);
    expect(outcome.kind).toBe('written');
    expect((outcome as { clippedCount: number }).clippedCount).toBeGreaterThan(100);
    expect(Math.max(...waveFields(bytes).samples(0))).toBe(2 ** 23 - 1);
    expect(Math.min(...waveFields(bytes).samples(0))).toBe(-(2 ** 23));
  });

  test('gives the same bytes every time', async () => {
    const source = waveBytes('s24', [sine(333, 30_000)]);
    const once = await write(20_000, [piece(await recordingOf(source), 20_000, rational(1, 3), DRIFT)]);
    const again = await write(20_000, [piece(await recordingOf(source), 20_000, rational(1, 3), DRIFT)]);
    expect(Buffer.from(once.bytes).equals(Buffer.from(again.bytes))).toBe(true);
  });

  test('the noise is triangular over two steps, without a trend from one draw to the next', () => {
    const noise = triangularNoise(1);
    const draws = Array.from({ length: 100_000 }, noise);
    const moment = (power: number): number => draws.reduce((sum, value) => sum + value ** power, 0) / draws.length;
    expect(Math.max(...draws.map(Math.abs))).toBeLessThanOrEqual(1);
    expect(Math.abs(moment(1))).toBeLessThan(0.01);
    expect(moment(2)).toBeCloseTo(1 / 6, 2);
    expect(moment(4)).toBeCloseTo(1 / 15, 2);
    const next = draws.slice(1).reduce((sum, value, index) => sum + value * (draws[index] as number), 0) / draws.length;
    expect(Math.abs(next)).toBeLessThan(0.005);
  });
});

describe('when drift is taken out', () => {
  const one = rational(1);
  const exactly = (from: number, ppm: number, count: number, threshold = one) =>
    reelTiming(rational(from), rational(1_000_000 + ppm, 1_000_000), count, threshold);

  test('no drift: copied from the nearest sample, at most half a sample off', () => {
    expect(reelTiming(rational(1001, 4), one, 48_000, one)).toMatchObject({ from: rational(250), isResampled: false });
    const { largestError } = reelTiming(rational(1001, 4), one, 48_000, one);
    expect(Number(largestError.numerator) / Number(largestError.denominator)).toBe(0.25);
  });

  test('at the threshold it stays in, laid in the middle; beyond it is taken out', () => {
    // 1 ppm over 1,000,001 samples is one sample.
    const at = exactly(100, 1, 1_000_001);
    expect(at.isResampled).toBe(false);
    expect(Number(at.largestError.numerator) / Number(at.largestError.denominator)).toBeLessThanOrEqual(1);
    expect(exactly(100, 1, 1_000_002)).toMatchObject({ isResampled: true, from: rational(100) });
    expect(exactly(100, -1, 1_000_002).isResampled).toBe(true);
    expect(exactly(100, 1, 1_000_002, rational(48)).isResampled).toBe(false);
  });

  test('a large threshold puts half of the drift before and half after', () => {
    const { from } = exactly(1000, 20, 1_000_001, rational(1000));
    expect(from).toEqual(rational(1010));
  });
});
