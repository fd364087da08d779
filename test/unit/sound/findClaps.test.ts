/**
 * Claps found, edges to the sample, and everything else refused.
 *
 * Truth for an edge: the first sample at which the clap alone reaches 10 % of the peak of its first arrival, known because the claps are
 * invented here. The published relative is ISO 3382-1:2009 A.3.4 (start where the response is clear of the background yet 20 dB below its
 * maximum, as quoted elsewhere). Seeds in these tests are others than those the limits were set on.
 */

import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import type { ClapCandidate, ClapReading } from '../../../server/src/sound/claps/clap.ts';
import { findClaps } from '../../../server/src/sound/claps/findClaps.ts';
import { measureEdge } from '../../../server/src/sound/claps/measureEdge.ts';
import { type Fourier, loadFourier } from '../../../server/src/sound/fourier/fourier.ts';
import { type SoundSource, soundSourceOf } from '../../../server/src/sound/soundSource.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../../server/src/sound/wave/waveSource.ts';
import { CLAP_FAMILIES, type Family, takeOf } from './synthesis/families.ts';
import { seededRandom } from './synthesis/random.ts';
import { inventTake, PLAIN_TAKE, type Take } from './synthesis/takes.ts';

let fourier: Fourier;
beforeAll(async () => {
  fourier = await loadFourier();
});

const claps = (reading: ClapReading): ClapCandidate[] => reading.candidates.filter((candidate) => candidate.verdict === 'clap');

async function hear(take: Take): Promise<ClapReading> {
  return findClaps(soundSourceOf(take.sampleRate, take.samples), fourier);
}

interface Score {
  readonly found: number;
  readonly wanted: number;
  readonly extra: readonly ClapCandidate[];
  /** Samples at 48 kHz. */
  readonly errors: readonly number[];
}

function scoreOf(take: Take, reading: ClapReading): Score {
  const within = 0.02 * take.sampleRate;
  const near = take.edges.map((edge) => claps(reading).find((clap) => Math.abs(clap.sample - edge) < within));
  return {
    found: near.filter((clap) => clap !== undefined).length,
    wanted: take.edges.length,
    extra: claps(reading).filter((clap) => !near.includes(clap)),
    errors: near.flatMap((clap, index) =>
      clap === undefined ? [] : [((clap.sample - (take.edges[index] as number)) * 48000) / take.sampleRate],
    ),
  };
}

const family = (name: string): Family => CLAP_FAMILIES.find((candidate) => candidate.name === name) as Family;

describe('every slate clap is found, to the sample, and nothing else', () => {
  test.each([
    'hands',
    'sticks',
    'slap',
    'three cameras',
    'tail slate',
    'room: open air',
    'room: dead studio',
    'room: living room',
    'room: office',
    'room: tiled hall',
    'noise 36 dB',
    'noise 26 dB',
    'low level',
    'clipped',
    'DC, inverted',
    '44.1 kHz',
    '96 kHz',
  ])('%s', async (name) => {
    for (const seed of [101, 102]) {
      const take = takeOf(family(name), seed);
      const score = scoreOf(take, await hear(take));
      expect(score).toMatchObject({ found: score.wanted, extra: [] });
      // Half a millisecond is 24 samples; a clean edge is met exactly.
      for (const error of score.errors) expect(Math.abs(error)).toBeLessThanOrEqual(12);
    }
  });

  test('the middle error over all families is at most one sample', async () => {
    const errors: number[] = [];
    for (const one of CLAP_FAMILIES.slice(0, 18)) {
      const take = takeOf(one, 103);
      errors.push(...scoreOf(take, await hear(take)).errors.map(Math.abs));
    }
    errors.sort((left, right) => left - right);
    expect(errors.length).toBeGreaterThan(15);
    expect(errors[errors.length >> 1]).toBeLessThanOrEqual(1);
    expect(errors.at(-1)).toBeLessThanOrEqual(24);
  });
});

describe('other sounds are refused, with a reason', () => {
  test.each(['door', 'knocks', 'steps', 'plosive', 'bump', 'drum', 'drums', 'applause', 'keys', 'click', 'cough'])(
    '%s',
    async (kind) => {
      const take = takeOf(family(`with ${kind}`), 104);
      const reading = await hear(take);
      const score = scoreOf(take, reading);
      expect(score).toMatchObject({ found: score.wanted, extra: [] });
      for (const candidate of reading.candidates) {
        if (candidate.verdict === 'refused') expect(candidate.reason).toMatch(/^Refused: .+\.$/);
      }
    },
  );

  test('a recording without any clap has none', async () => {
    for (const seed of [105, 106, 107]) expect(claps(await hear(takeOf(family('no clap at all'), seed)))).toEqual([]);
  });

  test('drop-outs leave steps, not claps', async () => {
    const take = takeOf(family('drop-outs'), 104);
    const score = scoreOf(take, await hear(take));
    expect(score).toMatchObject({ found: 1, extra: [] });
  });
});

describe('channels', () => {
  const take = inventTake(seededRandom('channels'), PLAIN_TAKE);
  const edge = take.edges[0] as number;
  const inverted = take.samples.map((value) => -value);
  const dead = new Float32Array(take.samples.length);

  test.each([
    ['a dead first channel', [dead, take.samples], 1],
    ['a dead second channel', [take.samples, dead], 0],
    ['one channel inverted, which would cancel in a mix', [take.samples, inverted], 0],
  ] as const)('%s', async (_name, channels, channel) => {
    const reading = await findClaps(soundSourceOf(48000, ...channels), fourier);
    expect(claps(reading).map((clap) => clap.channel)).toEqual([channel]);
    expect(Math.abs((claps(reading)[0]?.sample ?? 0) - edge)).toBeLessThanOrEqual(2);
  });

  test('a dead channel is said to be so', async () => {
    const reading = await findClaps(soundSourceOf(48000, take.samples, dead), fourier);
    expect(reading.remarks).toEqual(['Channel 2 is silent.']);
  });

  test('dead channels are told together', async () => {
    const some = await findClaps(soundSourceOf(48000, dead, take.samples, dead, dead), fourier);
    expect(some.remarks).toEqual(['Channels 1, 3 and 4 are silent.']);
    const all = await findClaps(soundSourceOf(48000, dead, dead), fourier);
    expect(all.remarks).toEqual(['All channels are silent.']);
  });

  test('the nearer microphone places the edge', async () => {
    const later = new Float32Array(take.samples.length);
    later.set(take.samples.subarray(0, -200), 200);
    const reading = await findClaps(soundSourceOf(48000, later, take.samples), fourier);
    expect(claps(reading).map((clap) => [clap.channel, Math.abs(clap.sample - edge) <= 2])).toEqual([[1, true]]);
  });

  test('only the channels asked for are heard', async () => {
    const reading = await findClaps(soundSourceOf(48000, take.samples, dead), fourier, { channels: [1] });
    expect(reading).toMatchObject({ candidates: [], remarks: ['The recording is silent.'] });
  });
});

describe('coarse recordings', () => {
  const take = inventTake(seededRandom('coarse'), { ...PLAIN_TAKE, hasSpeech: false });
  const edge = take.edges[0] as number;

  test('a clap out of digital silence is a clap, not a drop-out', async () => {
    const gated = take.samples.map((value, index) => (index < edge - 3 || Math.abs(value) < 1e-3 ? 0 : value));
    expect(claps(await findClaps(soundSourceOf(48000, gated), fourier)).map((clap) => Math.abs(clap.sample - edge) <= 3)).toEqual(
      [true],
    );
  });

  test.each([8, 12, 16])('%d bits', async (bits) => {
    const scale = 2 ** (bits - 1);
    const coarse = take.samples.map((value) => Math.round(value * scale) / scale);
    expect(
      claps(await findClaps(soundSourceOf(48000, coarse), fourier)).map((clap) => Math.abs(clap.sample - edge) <= 3),
    ).toEqual([true]);
  });
});

describe('streaming', () => {
  test('a clap is found at the same place wherever blocks end', async () => {
    const take = inventTake(seededRandom('streaming'), PLAIN_TAKE);
    const edge = claps(await hear(take))[0]?.sample as number;
    // Blocks hold some 2.7 s; silence of odd lengths in front moves the clap across their borders.
    for (const shift of [48, 4800, 47999, 130_513, 131_000, 260_001]) {
      const shifted = new Float32Array(take.samples.length + shift);
      const random = seededRandom(shift);
      for (let index = 0; index < shift; index += 1) shifted[index] = 1e-4 * random.normal();
      shifted.set(take.samples, shift);
      expect(claps(await findClaps(soundSourceOf(48000, shifted), fourier)).map((clap) => clap.sample)).toEqual([edge + shift]);
    }
  });

  test('progress runs to the end, and a stop is said', async () => {
    const take = inventTake(seededRandom('streaming'), PLAIN_TAKE);
    const source = soundSourceOf(48000, take.samples);
    const heard: number[] = [];
    await findClaps(source, fourier, { onProgress: (samples) => heard.push(samples) });
    expect(heard.at(-1)).toBe(take.samples.length);
    const stopped = await findClaps(source, fourier, { isCancelled: () => heard.push(0) > 5 });
    expect(stopped.remarks.join()).toMatch(/^The search was stopped after \d+\.\d s\.$/);
  });
});

describe('recordings that hold nothing', () => {
  test('no samples', async () => {
    expect(await findClaps(soundSourceOf(48000, new Float32Array(0)), fourier)).toEqual({
      candidates: [],
      unlistedCount: 0,
      remarks: [],
    });
  });

  test('silence', async () => {
    const reading = await findClaps(soundSourceOf(48000, new Float32Array(96000)), fourier);
    expect(reading).toEqual({ candidates: [], unlistedCount: 0, remarks: ['The recording is silent.'] });
  });

  test('a constant level is no clap, nor is its start', async () => {
    expect(claps(await findClaps(soundSourceOf(48000, new Float32Array(96000).fill(0.3)), fourier))).toEqual([]);
  });

  test('samples that are no numbers are counted, and the clap beside them found', async () => {
    const take = inventTake(seededRandom('streaming'), PLAIN_TAKE);
    const samples = Float32Array.from(take.samples);
    samples.fill(Number.NaN, 1000, 1010);
    const reading = await findClaps(soundSourceOf(48000, samples), fourier);
    expect(claps(reading)).toHaveLength(1);
    expect(reading.remarks).toEqual(['10 samples are not numbers; they were taken as silence.']);
  });

  test('a source that ends before it said', async () => {
    const take = inventTake(seededRandom('streaming'), PLAIN_TAKE);
    const source: SoundSource = { ...soundSourceOf(48000, take.samples), sampleCount: take.samples.length + 500 };
    const reading = await findClaps(source, fourier);
    expect(reading.remarks.join()).toContain('The recording ended after');
  });
});

describe('the edge against ISO 3382-1:2009 A.3.4 (as quoted elsewhere)', () => {
  // Check values computed from that rule: a rise, and an echo louder than the direct sound. Implementations differ by one sample.
  test.each([
    ['a rise', [0.05, 0.2, 1.0, 0.5], 1],
    ['an echo louder than the direct sound', [0.5, 0.0, 0.0, 1.0, 0.3], 0],
  ])('%s', (_name, pattern, expected) => {
    const samples = new Float32Array(48000);
    samples.set(pattern, 24000);
    const edge = measureEdge(samples, 24000 - 48, 24000 + 48, 48000);
    expect(Math.abs(edge.sample - (24000 + expected))).toBeLessThanOrEqual(1);
  });

  test('on claps in rooms the two rules agree within the first arrival', async () => {
    for (const seed of [101, 102, 103]) {
      const take = takeOf(family('room: living room'), seed);
      const [clap] = claps(await hear(take));
      if (clap === undefined) throw new Error('no clap');
      // The rule as it stands: 20 dB below the maximum of the whole response.
      const response = take.samples.subarray(clap.sample - 480, clap.sample + 9600);
      const maximum = response.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
      const iso = clap.sample - 480 + response.findIndex((value) => Math.abs(value) >= maximum / 10);
      expect(Math.abs(iso - clap.sample)).toBeLessThanOrEqual(14);
    }
  });

  test('the crossing lies within the sample before the edge', async () => {
    const [clap] = claps(await hear(inventTake(seededRandom('streaming'), PLAIN_TAKE)));
    expect(clap?.crossing).toBeGreaterThan((clap?.sample ?? 0) - 1);
    expect(clap?.crossing).toBeLessThanOrEqual(clap?.sample ?? 0);
  });
});

describe('the shared recordings', () => {
  const folder = resolve(import.meta.dirname, '../../../../shared/audio');
  const isThere = existsSync(`${folder}/truth.json`);
  if (!isThere) console.log('shared recordings: skipped, because ../shared/audio is not there');

  test.skipIf(!isThere)('every slate clap within half a millisecond, nothing else', async () => {
    const { cases } = JSON.parse(readFileSync(`${folder}/truth.json`, 'utf8')) as {
      cases: { family: string; recorder: string; slate_samples?: number[] }[];
    };
    for (const { family: kind, recorder, slate_samples: truth } of cases) {
      if (kind !== 'A' || truth === undefined) continue;
      const bytes = byteSourceOf(readFileSync(`${folder}/${recorder}`));
      const { header } = await readWaveHeader(bytes);
      if (header === null) throw new Error(`${recorder} was not read`);
      const found = claps(await findClaps(waveSource(bytes, header), fourier)).map((clap) => clap.sample);
      expect(found).toHaveLength(truth.length);
      found.forEach((sample, index) => {
        expect(Math.abs(sample - (truth[index] as number))).toBeLessThanOrEqual(24);
      });
    }
  });
});
