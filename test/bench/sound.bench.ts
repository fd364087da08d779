/**
 * Sound, as ratios in one process: claps in an hour, a scratch located in an hour, and what the measurements are worth.
 *
 * The hour is written to the temporary folder, read back through the disk cache, and removed. Times are processor times, so that
 * neighbours on the machine do not count; each figure is the middle of several runs after one to warm up.
 */

import { closeSync, fstatSync, mkdtempSync, openSync, readFileSync, readSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { ByteSource } from '../../server/src/sound/byteSource.ts';
import { findClaps } from '../../server/src/sound/claps/findClaps.ts';
import { correlate } from '../../server/src/sound/delay/correlate.ts';
import { profileSound } from '../../server/src/sound/delay/soundProfile.ts';
import { type Fourier, loadFourier } from '../../server/src/sound/fourier/fourier.ts';
import { readPeaks } from '../../server/src/sound/peaks/readPeaks.ts';
import { type SoundSource, soundSourceOf } from '../../server/src/sound/soundSource.ts';
import { readWaveHeader } from '../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../server/src/sound/wave/waveSource.ts';
import { CLAP_FAMILIES, takeOf } from '../unit/sound/synthesis/families.ts';
import { type LongRecording, writeLongRecording } from '../unit/sound/synthesis/longRecording.ts';
import { PAIR_FAMILIES, sceneOf, strangers } from '../unit/sound/synthesis/pairFamilies.ts';

interface BenchResult {
  readonly ratio: number;
  readonly detail: string;
}

export const benches: readonly { name: string; limit: number; unit: string; run: () => Promise<BenchResult> }[] = [
  {
    name: 'sound: claps in an hour of 48 kHz, 24 bit / reading and converting it',
    limit: 4,
    unit: 'x',
    run: clapsAgainstReading,
  },
  { name: 'sound: claps in an hour, 2,000 times real time / measured', limit: 1, unit: 'x', run: clapsAgainstRealTime },
  {
    name: 'sound: 10 min of scratch located in an hour, with drift / reading and converting the hour',
    limit: 2,
    unit: 'x',
    run: scratchAgainstReading,
  },
  {
    name: 'sound: an hour drawn in parts, as the clap desk opens it / reading and converting the hour',
    limit: 0.3,
    unit: 'x',
    run: () => drawingAgainstReading(false),
  },
  {
    name: 'sound: an hour drawn from every sample / reading and converting the hour',
    limit: 3,
    unit: 'x',
    run: () => drawingAgainstReading(true),
  },
  { name: 'sound: memory for an hour / 200 MB', limit: 1, unit: 'x', run: memoryForAnHour },
  { name: 'sound: claps missed or made up, in a hundred', limit: 3, unit: '%', run: clapAccuracy },
  { name: 'sound: worst leading edge over the families / 1 ms', limit: 1, unit: 'x', run: edgeAccuracy },
  { name: 'sound: worst scratch offset over the families / 2 samples', limit: 1, unit: 'x', run: pairAccuracy },
];

const HOUR = 3600;
const RUNS = 5;
const SEEDS = [401, 402];

let fourier: Promise<Fourier> | null = null;

/** The package's WebAssembly lies beside the package, not beside the bundle that runs this. */
function transforms(): Promise<Fourier> {
  if (fourier === null) {
    const beside = import.meta.resolve?.('@echogarden/pffft-wasm/simd');
    const path = beside?.startsWith('file:') === true ? join(fileURLToPath(beside), '../pffft.wasm') : null;
    fourier = loadFourier(path === null ? {} : { wasmBinary: readFileSync(path) });
  }
  return fourier;
}

async function clapsAgainstReading(): Promise<BenchResult> {
  return withAnHour(async ({ sound, recording }) => {
    const transform = await transforms();
    let found: number[] = [];
    const { ratio, first, second } = await compare(
      async () => {
        found = (await findClaps(sound, transform)).candidates.filter((one) => one.verdict === 'clap').map((one) => one.sample);
      },
      () => readAll(sound),
    );
    const error =
      found.length === 1 ? `edge off by ${(found[0] as number) - recording.clap} samples` : `${found.length} claps instead of 1`;
    return { ratio, detail: `${first.toFixed(0)} ms against ${second.toFixed(0)} ms, ${error}` };
  });
}

async function clapsAgainstRealTime(): Promise<BenchResult> {
  return withAnHour(async ({ sound }) => {
    const transform = await transforms();
    await findClaps(sound, transform);
    const time = await middle(() => findClaps(sound, transform));
    const speed = (HOUR * 1000) / time;
    return { ratio: 2000 / speed, detail: `${speed.toFixed(0)} times real time` };
  });
}

async function scratchAgainstReading(): Promise<BenchResult> {
  return withAnHour(async ({ sound, scratch, recording }) => {
    const transform = await transforms();
    let detail = '';
    const locate = async (): Promise<void> => {
      const match = await correlate(await profileSound(scratch), await profileSound(sound), transform);
      detail =
        match.kind === 'match'
          ? `off by ${(match.offsetSamples - recording.offset).toFixed(3)} samples and ${(match.driftPpm - recording.ppm).toFixed(4)} ppm`
          : `not found: ${match.kind}`;
    };
    const { ratio, first, second } = await compare(locate, () => readAll(sound));
    return { ratio, detail: `${first.toFixed(0)} ms against ${second.toFixed(0)} ms, ${detail}` };
  });
}

async function drawingAgainstReading(isWhole: boolean): Promise<BenchResult> {
  return withAnHour(async ({ sound }) => {
    const ask = { start: 0, end: sound.sampleCount, columns: 4000, channel: null };
    const most = isWhole ? Number.POSITIVE_INFINITY : undefined;
    let isSparse = false;
    const { ratio, first, second } = await compare(
      async () => {
        ({ isSparse } = await readPeaks(sound, ask, most));
      },
      () => readAll(sound),
    );
    const parts = isSparse ? 'in parts' : 'every sample';
    return { ratio, detail: `${parts}: ${first.toFixed(0)} ms against ${second.toFixed(0)} ms` };
  });
}

async function memoryForAnHour(): Promise<BenchResult> {
  return withAnHour(async ({ sound, scratch }) => {
    const transform = await transforms();
    globalThis.gc?.();
    let most = 0;
    const look = (): void => {
      const { heapUsed, external, arrayBuffers } = process.memoryUsage();
      most = Math.max(most, heapUsed + Math.max(external, arrayBuffers));
    };
    await findClaps(sound, transform, { onProgress: look });
    const soundProfile = await profileSound(sound, { onProgress: look });
    const scratchProfile = await profileSound(scratch, { onProgress: look });
    await correlate(scratchProfile, soundProfile, transform);
    look();
    return {
      ratio: most / 200e6,
      detail: `${(most / 1e6).toFixed(0)} MB in use at most; the process held ${(process.memoryUsage().rss / 1e6).toFixed(0)} MB`,
    };
  });
}

interface FamilyFigures {
  readonly name: string;
  readonly wanted: number;
  readonly found: number;
  readonly extra: number;
  /** Samples at 48 kHz. */
  readonly errors: readonly number[];
}

let clapTable: Promise<readonly FamilyFigures[]> | null = null;

/** Over all families, so many takes each; the table is printed once. */
function clapFigures(): Promise<readonly FamilyFigures[]> {
  clapTable ??= measureClapFamilies();
  return clapTable;
}

async function measureClapFamilies(): Promise<readonly FamilyFigures[]> {
  const transform = await transforms();
  const figures: FamilyFigures[] = [];
  for (const family of CLAP_FAMILIES) {
    let [wanted, found, extra] = [0, 0, 0];
    const errors: number[] = [];
    for (const seed of SEEDS) {
      const take = takeOf(family, seed);
      const reading = await findClaps(soundSourceOf(take.sampleRate, take.samples), transform);
      const claps = reading.candidates.filter((one) => one.verdict === 'clap');
      const near = take.edges.map((edge) => claps.find((one) => Math.abs(one.sample - edge) < 0.02 * take.sampleRate));
      wanted += take.edges.length;
      found += near.filter((one) => one !== undefined).length;
      extra += claps.filter((one) => !near.includes(one)).length;
      near.forEach((one, index) => {
        if (one !== undefined) errors.push((Math.abs(one.sample - (take.edges[index] as number)) * 48000) / take.sampleRate);
      });
    }
    figures.push({ name: family.name, wanted, found, extra, errors: errors.sort((left, right) => left - right) });
  }
  console.log('claps            family                 found  made up  edge, samples at 48 kHz: middle, worst');
  for (const { name, wanted, found, extra, errors } of figures) {
    const edges =
      errors.length === 0 ? '' : `${(errors[errors.length >> 1] as number).toFixed(1)}, ${(errors.at(-1) as number).toFixed(1)}`;
    console.log(`                 ${name.padEnd(20)} ${`${found}/${wanted}`.padStart(7)} ${String(extra).padStart(8)}  ${edges}`);
  }
  return figures;
}

async function clapAccuracy(): Promise<BenchResult> {
  const figures = await clapFigures();
  const total = (value: (one: FamilyFigures) => number): number => figures.reduce((sum, one) => sum + value(one), 0);
  const wanted = total((one) => one.wanted);
  const missed = wanted - total((one) => one.found);
  const extra = total((one) => one.extra);
  return { ratio: (100 * (missed + extra)) / wanted, detail: `${wanted} claps: ${missed} missed, ${extra} made up` };
}

async function edgeAccuracy(): Promise<BenchResult> {
  const errors = (await clapFigures()).flatMap((one) => one.errors).sort((left, right) => left - right);
  const worst = errors.at(-1) ?? 0;
  return {
    ratio: worst / 48,
    detail: `middle ${(errors[errors.length >> 1] ?? 0).toFixed(1)}, worst ${worst.toFixed(1)} samples at 48 kHz`,
  };
}

async function pairAccuracy(): Promise<BenchResult> {
  const transform = await transforms();
  let worst = 0;
  let missed = 0;
  console.log('scratch          family                 found  offset, samples at 48 kHz: worst  drift, ppm: worst');
  for (const family of PAIR_FAMILIES) {
    let [found, offset, drift] = [0, 0, 0];
    for (const seed of SEEDS) {
      const scene = sceneOf(family, seed);
      const { recorderRate, cameraRate, ppm, drop } = scene.options;
      const match = await correlate(
        await profileSound(soundSourceOf(cameraRate, scene.camera)),
        await profileSound(soundSourceOf(recorderRate, scene.recorder)),
        transform,
      );
      if (match.kind !== 'match') continue;
      found += 1;
      const centre = (match.overlap.start + match.overlap.end) / 2;
      const at = (start: number, rate: number): number => start + ((centre * recorderRate) / cameraRate) * (1 + rate / 1e6);
      const error = at(match.offsetSamples, match.driftPpm) - at(scene.offset, ppm);
      // After a drop the later part is as right as the earlier.
      const later = error - (drop?.samples ?? 0) * (1 + ppm / 1e6);
      offset = Math.max(offset, (Math.min(Math.abs(error), Math.abs(later)) * 48000) / recorderRate);
      drift = Math.max(drift, Math.abs(match.driftPpm - ppm));
    }
    missed += SEEDS.length - found;
    worst = Math.max(worst, offset);
    console.log(
      `                 ${family.name.padEnd(20)} ${`${found}/${SEEDS.length}`.padStart(7)}  ${offset.toFixed(2).padStart(8)} ${drift.toFixed(2).padStart(26)}`,
    );
  }
  let invented = 0;
  for (let seed = 1; seed <= 6; seed += 1) {
    const { recorder, camera } = strangers(seed);
    const match = await correlate(
      await profileSound(soundSourceOf(48000, camera.camera)),
      await profileSound(soundSourceOf(48000, recorder.recorder)),
      transform,
    );
    if (match.kind !== 'no-match') invented += 1;
  }
  const isWrong = missed + invented > 0;
  return {
    ratio: isWrong ? Number.POSITIVE_INFINITY : worst / 2,
    detail: `worst ${worst.toFixed(2)} samples; ${missed} missed; ${invented} of 6 strangers matched`,
  };
}

interface OpenHour {
  readonly sound: SoundSource;
  readonly scratch: SoundSource;
  readonly recording: LongRecording;
}

let written: { readonly folder: string; readonly recording: LongRecording } | null = null;

/** Writes the hour once for all benches of this process; it goes when the process does. */
async function withAnHour<T>(use: (hour: OpenHour) => Promise<T>): Promise<T> {
  if (written === null) {
    const folder = mkdtempSync(join(tmpdir(), 'sound-bench-'));
    process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
    written = { folder, recording: writeLongRecording(folder, HOUR, 1234.567, 600, 17) };
  }
  const { recording } = written;
  const [sound, scratch] = [openFile(recording.soundPath), openFile(recording.scratchPath)];
  try {
    return await use({ sound: await openWave(sound.bytes), scratch: await openWave(scratch.bytes), recording });
  } finally {
    sound.close();
    scratch.close();
  }
}

/** What is read in many pieces at once, each with a buffer of its own. */
const SMALL_READ = 1 << 14;

/** Reads into one buffer over and over, as the command line does. */
function openFile(path: string): { readonly bytes: ByteSource; close(): void } {
  const file = openSync(path, 'r');
  let buffer = new Uint8Array(1 << 20);
  const bytes: ByteSource = {
    size: fstatSync(file).size,
    read: (offset, length) => {
      if (length <= SMALL_READ) buffer = new Uint8Array(SMALL_READ);
      if (length > buffer.length) buffer = new Uint8Array(length);
      return Promise.resolve(buffer.subarray(0, readSync(file, buffer, 0, length, offset)));
    },
  };
  return { bytes, close: () => closeSync(file) };
}

async function openWave(bytes: ByteSource): Promise<SoundSource> {
  const { header } = await readWaveHeader(bytes);
  if (header === null) throw new Error('the bench could not read its own recording');
  return waveSource(bytes, header);
}

/** The least that anybody must do: every sample read and converted. */
async function readAll(sound: SoundSource): Promise<void> {
  const block = new Float32Array(1 << 17);
  for (let position = 0; ; ) {
    const { count } = await sound.read(position, [0], [block]);
    if (count === 0) return;
    position += count;
  }
}

/** Both take turns, so that what slows the machine slows both. */
async function compare(
  work: () => Promise<unknown>,
  reference: () => Promise<unknown>,
): Promise<{ readonly ratio: number; readonly first: number; readonly second: number }> {
  await work();
  await reference();
  const first: number[] = [];
  const second: number[] = [];
  for (let run = 0; run < RUNS; run += 1) {
    first.push(await timed(work));
    second.push(await timed(reference));
  }
  const [one, two] = [medianOf(first), medianOf(second)];
  return { ratio: one / two, first: one, second: two };
}

async function middle(work: () => Promise<unknown>): Promise<number> {
  const times: number[] = [];
  for (let run = 0; run < RUNS; run += 1) times.push(await timed(work));
  return medianOf(times);
}

/** Milliseconds of processor time. */
async function timed(work: () => Promise<unknown>): Promise<number> {
  const start = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

function medianOf(values: readonly number[]): number {
  return [...values].sort((left, right) => left - right)[values.length >> 1] as number;
}
