/**
 * Peaks of a recording: equal to a straight computation over its samples, read by ranges, and honest where only parts were read. Held
 * against ffmpeg's own statistics where it is installed.
 */

import { execFile } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openBytes } from '../../../server/src/node/openBytes.ts';
import { excerptOf, readMixed } from '../../../server/src/sound/peaks/excerpt.ts';
import { readPeaks, watchPeaks } from '../../../server/src/sound/peaks/readPeaks.ts';
import { type SoundSource, soundSourceOf } from '../../../server/src/sound/soundSource.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../../server/src/sound/wave/waveSource.ts';
import { CLAP, hasFfmpeg, writeRecording } from './scene.ts';

const isFfmpegThere = await hasFfmpeg();
if (!isFfmpegThere) console.log('test/unit/desk/peaks: no ffmpeg, so its statistics are not compared');

const sound = fc
  .array(fc.float({ min: -1, max: 1, noNaN: true }), { minLength: 1, maxLength: 300 })
  .map((list) => Float32Array.from(list));

describe('peaks', () => {
  it('are the least and the greatest of each column, for any range and number of columns', async () => {
    await fc.assert(
      fc.asyncProperty(
        sound,
        fc.nat(299),
        fc.nat(400),
        fc.integer({ min: 1, max: 50 }),
        async (samples, from, length, columns) => {
          const start = Math.min(from, samples.length);
          const end = Math.min(start + length, samples.length);
          const peaks = await readPeaks(soundSourceOf(48000, samples), { start, end: start + length, columns, channel: 0 });
          const count = Math.min(columns, end - start);
          expect([peaks.start, peaks.end, peaks.lows.length, peaks.isSparse]).toEqual([start, end, count, false]);
          for (let column = 0; column < count; column += 1) {
            const part = samples.slice(
              start + Math.floor((column * (end - start)) / count),
              start + Math.floor(((column + 1) * (end - start)) / count),
            );
            expect([peaks.lows[column], peaks.highs[column]]).toEqual([Math.min(...part), Math.max(...part)]);
          }
        },
      ),
    );
  });

  it('of all channels are the extremes over them, of one channel its own', async () => {
    const source = soundSourceOf(48000, Float32Array.of(0.1, -0.2), Float32Array.of(-0.5, 0.25));
    const ask = { start: 0, end: 2, columns: 1 };
    expect([...(await readPeaks(source, { ...ask, channel: null })).lows]).toEqual([-0.5]);
    expect([...(await readPeaks(source, { ...ask, channel: 0 })).lows]).toEqual([Math.fround(-0.2)]);
  });

  it('read along the way are those read for their own sake', async () => {
    await fc.assert(
      fc.asyncProperty(
        sound,
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 64 }),
        async (samples, columns, block) => {
          const source = soundSourceOf(48000, samples);
          const watched = watchPeaks(source, columns);
          const into = [new Float32Array(block)];
          for (let at = 0; at < samples.length; at += block) await watched.source.read(at, [0], into);
          const own = await readPeaks(source, { start: 0, end: samples.length, columns, channel: 0 });
          expect([...watched.peaks().lows, ...watched.peaks().highs]).toEqual([...own.lows, ...own.highs]);
        },
      ),
    );
  });

  it('of more than is read at once are read in parts, and say so', async () => {
    const samples = new Float32Array(1_000_000).fill(0.25);
    // Between two of the places that are read: not seen, which is what "sparse" warns of.
    samples[15_000] = 1;
    let read = 0;
    const whole = soundSourceOf(48000, samples);
    const counting: SoundSource = {
      ...whole,
      read: async (start, channels, into) => {
        const answer = await whole.read(start, channels, into);
        read += answer.count;
        return answer;
      },
    };
    const ask = { start: 0, end: 1_000_000, columns: 50, channel: 0 };
    const sparse = await readPeaks(counting, ask, 100_000);
    expect(sparse.isSparse).toBe(true);
    expect(Math.max(...sparse.highs)).toBe(0.25);
    expect(read).toBeLessThan(110_000);
    const exact = await readPeaks(counting, ask);
    expect([exact.isSparse, exact.highs[0], exact.highs[1]]).toEqual([false, 1, 0.25]);
  });

  it.skipIf(!isFfmpegThere)('of a file are those that ffmpeg finds in it', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'afterclap-peaks-'));
    await writeRecording(folder);
    const path = join(folder, 'DECK_0020.wav');
    const opened = await openBytes(path);
    if (!opened.ok) throw new Error(opened.reason);
    const { header } = await readWaveHeader(opened.value);
    if (header === null) throw new Error('no header');
    const [start, end] = [CLAP - 100, CLAP + 4000];
    const peaks = await readPeaks(waveSource(opened.value, header), { start, end, columns: 1, channel: null });
    await opened.close();
    const filter = `atrim=start_sample=${start}:end_sample=${end},aformat=sample_fmts=dbl,astats=measure_perchannel=none`;
    const { stderr } = await promisify(execFile)('ffmpeg', ['-hide_banner', '-i', path, '-af', filter, '-f', 'null', '-']);
    const level = (name: string): number => Number(new RegExp(`${name} level: (-?[0-9.]+)`).exec(stderr)?.[1]);
    // ffmpeg prints six decimals.
    expect(peaks.lows[0]).toBeCloseTo(level('Min'), 5);
    expect(peaks.highs[0]).toBeCloseTo(level('Max'), 5);
    await rm(folder, { recursive: true });
  });
});

describe('an excerpt', () => {
  const samples = Float32Array.from({ length: 100 }, (_, at) => at / 100);

  it('is a recording of its own, and ends where it ends', async () => {
    const part = excerptOf(soundSourceOf(48000, samples), 90, 200);
    expect(part.sampleCount).toBe(10);
    const into = new Float32Array(20);
    expect(await part.read(4, [0], [into])).toMatchObject({ count: 6 });
    expect([...into.slice(0, 7)]).toEqual([...samples.slice(94, 100), 0]);
  });

  it('for listening is the mean of its channels', async () => {
    const source = soundSourceOf(48000, Float32Array.of(0.5, 0.5), Float32Array.of(-0.5, 0.25));
    expect([...(await readMixed(source, 0, 4, null))]).toEqual([0, 0.375]);
    expect([...(await readMixed(source, 1, 4, 1))]).toEqual([0.25]);
  });
});
