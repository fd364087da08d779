/** Bytes to samples and back, in every format, through the streamed source. */

import { describe, expect, test } from 'vitest';
import { byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import type { SoundSource } from '../../../server/src/sound/soundSource.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../../server/src/sound/wave/waveSource.ts';
import { dataChunk, encodeSamples, formatChunk, type SampleKind, waveFile } from './waveBytes.ts';

const BITS = { u8: 8, s16: 16, s24: 24, s32: 32, f32: 32, f64: 64 } as const;

async function open(kind: SampleKind, ...channels: readonly ArrayLike<number>[]): Promise<SoundSource> {
  const format = formatChunk({ tag: kind.startsWith('f') ? 3 : 1, bits: BITS[kind], channels: channels.length });
  const bytes = byteSourceOf(waveFile([format, dataChunk(encodeSamples(kind, ...channels))]));
  const { header } = await readWaveHeader(bytes);
  if (header === null) throw new Error('no header');
  return waveSource(bytes, header);
}

describe.each(['u8', 's16', 's24', 's32', 'f32', 'f64'] as const)('%s', (kind) => {
  // Multiples of 1/128 are exact in every format, 8 bits included.
  const left = Float32Array.from({ length: 1003 }, (_, index) => (((index * 37) % 256) - 128) / 128);
  const right = left.map((value) => (value === -1 ? -1 : -value));

  test('mono comes back exactly, from any start, across odd block ends', async () => {
    const source = await open(kind, left);
    for (const [start, count] of [
      [0, 1003],
      [1, 1002],
      [501, 17],
      [998, 5],
    ] as const) {
      const into = new Float32Array(count);
      expect(await source.read(start, [0], [into])).toEqual({ count, nonFiniteCount: 0 });
      expect(into).toEqual(left.subarray(start, start + count));
    }
  });

  test('each of three channels comes back, in any order', async () => {
    const source = await open(kind, left, right, left);
    const into = [new Float32Array(50), new Float32Array(50)];
    await source.read(7, [1, 2], into);
    expect(into[0]).toEqual(right.subarray(7, 57));
    expect(into[1]).toEqual(left.subarray(7, 57));
  });

  test('reading past the end gives what there is', async () => {
    const source = await open(kind, left);
    expect(await source.read(1000, [0], [new Float32Array(10)])).toEqual({ count: 3, nonFiniteCount: 0 });
    expect(await source.read(5000, [0], [new Float32Array(10)])).toEqual({ count: 0, nonFiniteCount: 0 });
  });
});

test('24 bits lose nothing in a 32-bit float', async () => {
  const steps = [-8388608, -8388607, -1, 0, 1, 2, 8388606, 8388607, -4194305, 123457, -777777];
  const source = await open(
    's24',
    steps.map((step) => step / 2 ** 23),
  );
  const into = new Float32Array(steps.length);
  await source.read(0, [0], [into]);
  expect([...into].map((value) => value * 2 ** 23)).toEqual(steps);
});

test('samples that are not numbers are counted and read as 0', async () => {
  const source = await open('f32', [0.5, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -0.5]);
  const into = new Float32Array(5);
  expect(await source.read(0, [0], [into])).toEqual({ count: 5, nonFiniteCount: 3 });
  expect([...into]).toEqual([0.5, 0, 0, 0, -0.5]);
});
