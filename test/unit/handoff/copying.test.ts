/**
 * Where no drift is corrected a reel is its recording, bit for bit: null tests against the source, in every form a recorder writes.
 */

import { describe, expect, test } from 'vitest';
import { rational } from '../../../server/src/core/time/rational.ts';
import { waveFields } from '../../support/waveFields.ts';
import { seededRandom } from '../sound/synthesis/random.ts';
import { whiteNoise } from '../sound/synthesis/signal.ts';
import type { SampleKind } from '../sound/waveBytes.ts';
import { piece, recordingOf, waveBytes, wideWaveBytes, write } from './reels.ts';

/** More than one block of a megabyte in every form but the smallest. */
const LENGTH = 400_001;
const noise = [1, 2, 3].map((seed) => whiteNoise(seededRandom(`copy ${seed}`), LENGTH, 0.2));

/** The reel less the recording moved by `offset`, sample by sample: the loudest that is left. */
function residue(reel: Uint8Array, recording: Uint8Array, offset: number): number {
  const [made, source] = [waveFields(reel), waveFields(recording)];
  let worst = 0;
  for (let channel = 0; channel < source.channels; channel += 1) {
    const [out, input] = [made.samples(channel), source.samples(channel)];
    for (let index = 0; index < out.length; index += 1) {
      const silence = source.bits === 8 ? 128 : 0;
      worst = Math.max(worst, Math.abs((out[index] as number) - (input[index + offset] ?? silence)));
    }
  }
  return worst;
}

describe('a null test leaves nothing', () => {
  test.each<[SampleKind, number]>([
    ['u8', 1],
    ['s16', 2],
    ['s24', 1],
    ['s24', 3],
    ['s32', 2],
    ['f32', 2],
    ['f64', 1],
  ])('%s with %d channels', async (kind, channels) => {
    const source = waveBytes(kind, noise.slice(0, channels));
    for (const [from, count] of [
      [12_345, 300_000],
      [-4_321, 400_000],
      [350_000, 150_000],
      [0, LENGTH],
    ] as const) {
      const { outcome, bytes } = await write(count, [piece(await recordingOf(source), count, from)]);
      expect(outcome).toEqual({ kind: 'written', clippedCount: 0 });
      expect(waveFields(bytes).samples(0).length).toBe(count);
      expect(residue(bytes, source, from)).toBe(0);
    }
  });

  test('24 valid bits in containers of 32', async () => {
    const source = wideWaveBytes(noise.slice(0, 2));
    const { bytes } = await write(1000, [piece(await recordingOf(source), 1000, 77)]);
    const made = waveFields(bytes);
    expect([made.tag, made.bits, made.body('fmt ').readUInt16LE(18)]).toEqual([0xfffe, 32, 24]);
    expect(residue(bytes, source, 77)).toBe(0);
  });
});

describe('silence', () => {
  test('stands for what the recording does not hold, exactly', async () => {
    const source = waveBytes('s24', [noise[0] as Float64Array]);
    const made = waveFields((await write(3000, [piece(await recordingOf(source), 3000, LENGTH - 1000)])).bytes).samples(0);
    expect(made.subarray(1000).every((value) => value === 0)).toBe(true);
    const early = waveFields((await write(3000, [piece(await recordingOf(source), 3000, -2000)])).bytes).samples(0);
    expect(early.subarray(0, 2000).every((value) => value === 0)).toBe(true);
    const never = waveFields((await write(3000, [piece(await recordingOf(source), 3000, LENGTH + 5)])).bytes).samples(0);
    expect(never.every((value) => value === 0)).toBe(true);
  });

  test('is 128 where samples are unsigned', async () => {
    const source = waveBytes('u8', [noise[0] as Float64Array]);
    const made = waveFields((await write(40, [piece(await recordingOf(source), 40, -20)])).bytes).samples(0);
    expect([...made.subarray(0, 20)]).toEqual(new Array(20).fill(128));
  });

  test('lies between pieces, which begin and end on their samples', async () => {
    const ones = waveBytes('s16', [new Float64Array(1000).fill(0.5)]);
    const recording = await recordingOf(ones);
    const pieces = [
      { ...piece(recording, 10, 0), at: 5 },
      { ...piece(recording, 10, 500), at: 20 },
    ];
    const made = waveFields((await write(40, pieces)).bytes).samples(0);
    const sounding = [...made].map((value) => (value === 0 ? 0 : 1)).join('');
    expect(sounding).toBe(`${'0'.repeat(5)}${'1'.repeat(10)}${'0'.repeat(5)}${'1'.repeat(10)}${'0'.repeat(10)}`);
  });
});

describe('recordings of several forms in one reel', () => {
  test('16 bits become 24 without losing or gaining anything; a channel that is not there is silent', async () => {
    const mono = waveBytes('s16', [noise[0] as Float64Array]);
    const recording = await recordingOf(mono);
    const layout = { format: { encoding: 'integer', validBits: 24, containerBytes: 3 } as const, channelCount: 2 };
    const { outcome, bytes } = await write(5000, [piece(recording, 5000, 100)], { layout });
    expect(outcome).toEqual({ kind: 'written', clippedCount: 0 });
    const source = waveFields(mono).samples(0);
    expect([...waveFields(bytes).samples(0)]).toEqual([...source.subarray(100, 5100)].map((value) => value * 256));
    expect(
      waveFields(bytes)
        .samples(1)
        .every((value) => value === 0),
    ).toBe(true);
  });

  test('24 bits become float exactly', async () => {
    const source = waveBytes('s24', [noise[0] as Float64Array]);
    const layout = { format: { encoding: 'float', validBits: 32, containerBytes: 4 } as const };
    const { bytes } = await write(5000, [piece(await recordingOf(source), 5000, 9)], { layout });
    const input = waveFields(source).samples(0);
    expect([...waveFields(bytes).samples(0)]).toEqual([...input.subarray(9, 5009)].map((value) => value / 2 ** 23));
  });
});

describe('what goes wrong while a reel is written', () => {
  test('a recording that ends early makes the reel fail, and says where', async () => {
    const source = waveBytes('s24', [noise[0] as Float64Array]);
    const cut = {
      size: source.length,
      read: (offset: number, length: number) => Promise.resolve(source.subarray(offset, Math.min(offset + length, 1_100_000))),
    };
    const { outcome } = await write(LENGTH, [piece(await recordingOf(source, cut), LENGTH, 0)]);
    expect(outcome).toMatchObject({
      kind: 'failed',
      reason: expect.stringMatching(/^ended while it was read: \d+ bytes were left at byte \d+/),
    });
  });

  test('a disk that is pulled makes the reel fail, with what the system said', async () => {
    const source = waveBytes('s24', [noise[0] as Float64Array]);
    let reads = 0;
    const pulled = {
      size: source.length,
      read: (offset: number, length: number) => {
        reads += 1;
        return reads > 1
          ? Promise.reject(new Error('input/output error'))
          : Promise.resolve(source.subarray(offset, offset + length));
      },
    };
    const { outcome } = await write(LENGTH, [
      piece(await recordingOf(source, pulled), LENGTH, rational(1, 3), rational(1_000_055, 1_000_000)),
    ]);
    expect(outcome).toMatchObject({ kind: 'failed', reason: expect.stringContaining('could not be read any more') });
    expect(outcome).toMatchObject({ reason: expect.stringContaining('input/output error') });
  });

  test('a person who stops it is heard between two blocks', async () => {
    const source = waveBytes('s24', [noise[0] as Float64Array]);
    for (const from of [rational(0), rational(1, 2)]) {
      let asked = 0;
      const isCancelled = (): boolean => {
        asked += 1;
        return asked > 3;
      };
      const { outcome, bytes } = await write(LENGTH, [piece(await recordingOf(source), LENGTH, from)], { isCancelled });
      expect(outcome).toEqual({ kind: 'cancelled' });
      expect(bytes.length).toBeLessThan(source.length);
    }
  });
});
