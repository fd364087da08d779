/**
 * Recordings in, a report out: which files belong together, where, and what is said of those that do not.
 *
 * The recordings are computed, so every number is known beforehand; see recordings.ts.
 */

import { beforeAll, describe, expect, test } from 'vitest';
import { mapPictureToSound } from '../../../server/src/core/alignment/pairLine.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { writeReport } from '../../../server/src/core/alignment/writeReport.ts';
import { formatRational, multiply, rational, toNumber } from '../../../server/src/core/time/rational.ts';
import type { CameraFacts } from '../../../server/src/project/measure/cameraFacts.ts';
import { type MeasureRequest, measure } from '../../../server/src/project/measure/measure.ts';
import type { MeasuredPair, Measurement } from '../../../server/src/project/measure/measurement.ts';
import type { Progress } from '../../../server/src/project/measure/progress.ts';
import type { Recording } from '../../../server/src/project/measure/recording.ts';
import { type Fourier, loadFourier } from '../../../server/src/sound/fourier/fourier.ts';
import { type MemoryMedia, memoryMedia } from './memoryMedia.ts';
import { edgeAfter, hearScene, inventScene, SAMPLE_RATE, waveOf } from './recordings.ts';

let fourier: Fourier;
beforeAll(async () => {
  fourier = await loadFourier();
});

const SCENE = inventScene('mill', 14, [2.5, 6]);
const OTHER = inventScene('weir', 9, []);
const HEARING = { offset: 1.25 * SAMPLE_RATE + 0.4, driftPpm: 0, seconds: 9 };
const CAMERA = hearScene(SCENE, HEARING);
/** The camera ran before the recorder did, upside down. */
const EARLY = { offset: -0.75 * SAMPLE_RATE, driftPpm: 0, seconds: 9, isInverted: true };

const SOUND: Recording = { path: 'day1/DECK_0012.wav', role: 'sound', isRoleStated: false, reader: 'wave' };
const PICTURE: Recording = { path: 'day1/cam_a.wav', role: 'picture', isRoleStated: true, reader: 'wave' };
const FILM: Recording = { path: 'day1/CAM_B.mov', role: 'picture', isRoleStated: false, reader: 'camera' };

const FACTS: CameraFacts = {
  rate: rational(24000, 1001),
  frameCount: 216,
  startFrame: 1000,
  isDropFrame: false,
  pictureStart: rational(0),
  scratch: {
    streams: [1],
    sampleRate: SAMPLE_RATE,
    channelCount: 1,
    start: rational(0),
    startUncertainty: rational(0),
    seconds: 9,
  },
  remarks: [],
};

async function measured(
  media: MemoryMedia,
  recordings: readonly Recording[],
  request: Partial<MeasureRequest> = {},
): Promise<Measurement> {
  const answer = await measure(
    { recordings, clapLog: null, rate: rational(25), microphoneMetres: null, isPlotting: false, ...request },
    { media, fourier, onProgress: () => {}, isCancelled: () => false },
  );
  if (answer === null) throw new Error('cancelled');
  expect(media.openCount()).toBe(0);
  return answer.measurement;
}

function onlyPair({ pairs }: Measurement): MeasuredPair {
  expect(pairs).toHaveLength(1);
  return pairs[0] as MeasuredPair;
}

/** Samples of sound at `seconds` of picture, as a reader of the written report would have it. */
function soundAt({ pictures, sounds, pairs }: Measurement, seconds: number): number {
  const text = writeReport({
    pictures: pictures.map(({ data }) => data),
    sounds: sounds.map(({ data }) => data),
    pairs: pairs.map(({ data }) => data),
  });
  const report = readReport('r', text);
  expect(report.problems).toEqual([]);
  const [pair] = report.pairs;
  if (pair === undefined) throw new Error('no pair');
  return toNumber(mapPictureToSound(pair, rational(Math.round(seconds * 1000), 1000))) * SAMPLE_RATE;
}

describe('claps of a recording', () => {
  test('stand in the report to the sample', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples, { timeReference: 2430602400 }) });
    const { sounds, pairs, leftOver } = await measured(media, [SOUND]);
    const [sound] = sounds;
    expect(sound?.data).toMatchObject({ key: 'deck_0012', names: ['DECK_0012.wav'], startSample: rational(2430602400) });
    const edges = SCENE.claps.map((clap) => edgeAfter(SCENE, clap));
    const found = sound?.data.claps.map(toNumber) ?? [];
    expect(found).toHaveLength(2);
    // 0.5 ms is what the clap finder promises; here there is no room to hide the edge.
    found.forEach((clap, index) => {
      expect(Math.abs(clap - (edges[index] as number))).toBeLessThanOrEqual(24);
    });
    expect({ pairs, leftOver }).toEqual({ pairs: [], leftOver: [] });
  });

  test('that are missing are left over when nothing else was asked', async () => {
    const { leftOver } = await measured(memoryMedia({ [SOUND.path]: waveOf(OTHER.samples) }), [SOUND]);
    expect(leftOver).toMatchObject([{ severity: 'error', kind: 'sound', name: 'DECK_0012.wav' }]);
  });
});

describe("a camera's own sound", () => {
  test('places the picture to within two samples', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(CAMERA, { kind: 's16' }) });
    const measurement = await measured(media, [SOUND, PICTURE]);
    const { data } = onlyPair(measurement);
    expect(data).toMatchObject({ picture: 'cam_a', sound: 'deck_0012', by: 'waveform', clap: null });
    for (const seconds of [0, 4, 8])
      expect(Math.abs(soundAt(measurement, seconds) - HEARING.offset - seconds * SAMPLE_RATE)).toBeLessThan(2);
  });

  test('that began before the recorder is named where both run', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(hearScene(SCENE, EARLY)) });
    const measurement = await measured(media, [SOUND, PICTURE]);
    const { data, remarks } = onlyPair(measurement);
    // 0.75 s are 18.75 frames: the first whole frame that the sound covers is 19.
    expect([formatRational(data.frame), toNumber(data.sample) >= 0]).toEqual(['19', true]);
    expect(Math.abs(soundAt(measurement, 4) - EARLY.offset - 4 * SAMPLE_RATE)).toBeLessThan(2);
    expect(data.note).toContain('polarity inverted');
    expect(remarks.join()).toContain('upside down');
  });

  test('with the distance of the microphone taken out, the sound comes earlier by the air', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(CAMERA) });
    const near = onlyPair(await measured(media, [SOUND, PICTURE]));
    const far = onlyPair(await measured(media, [SOUND, PICTURE], { microphoneMetres: rational(6) }));
    // Heard earlier is a later sample under the same frame: 6 m / 343.2 m/s (ISO 9613-1 at 20 degrees Celsius) at 48 kHz.
    expect(toNumber(far.data.sample) - toNumber(near.data.sample)).toBeCloseTo((6 / 343.2) * SAMPLE_RATE, 1);
    expect(far.data.note).toContain('6 m of air taken out (17.5 ms)');
    expect(near.data.note).toContain('2.9 ms for each metre');
  });

  test('in a film starts where the container says, not where the picture does', async () => {
    const scratch = Float32Array.from(CAMERA);
    const late = {
      ...FACTS,
      scratch: {
        ...(FACTS.scratch as NonNullable<CameraFacts['scratch']>),
        start: rational(1, 10),
        startUncertainty: rational(1, 1000),
      },
    };
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples) }, { [FILM.path]: { facts: late, scratch } });
    const measurement = await measured(media, [SOUND, FILM]);
    expect(onlyPair(measurement).data.uncertainty?.early).toSatisfy(
      (early) => toNumber(early as { numerator: number; denominator: number }) > 0.001,
    );
    // The sample under the picture's start lies a tenth of a second before the one under the scratch's start.
    expect(Math.abs(soundAt(measurement, 0) - (HEARING.offset - 0.1 * SAMPLE_RATE))).toBeLessThan(2);
    expect(measurement.pictures[0]?.data).toMatchObject({ key: 'cam_b', frameCount: rational(216), startFrame: rational(1000) });
  });

  test('of another scene is no match, and neither is guessed at', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(OTHER.samples), [PICTURE.path]: waveOf(CAMERA) });
    const { pairs, leftOver } = await measured(media, [SOUND, PICTURE]);
    expect(pairs).toEqual([]);
    expect(leftOver).toMatchObject([
      { severity: 'error', kind: 'picture', name: 'cam_a.wav', reason: expect.stringMatching(/^No match\. DECK_0012\.wav: /) },
      { severity: 'information', kind: 'sound', name: 'DECK_0012.wav' },
    ]);
  });

  test('that is silent says so', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(new Float64Array(9 * SAMPLE_RATE)) });
    const { leftOver } = await measured(media, [SOUND, PICTURE]);
    expect(leftOver[0]?.reason).toContain('silent');
  });

  test('with samples lost in it is told as a jump, and the report is about the longest piece', async () => {
    const long = inventScene('long take', 40, []);
    const whole = hearScene(long, { offset: 2 * SAMPLE_RATE, driftPpm: 0, seconds: 36 });
    const [at, lost] = [10 * SAMPLE_RATE, 960];
    const cut = new Float64Array(whole.length - lost);
    cut.set(whole.subarray(0, at));
    cut.set(whole.subarray(at + lost), at);
    const media = memoryMedia({ [SOUND.path]: waveOf(long.samples), [PICTURE.path]: waveOf(cut) });
    const measurement = await measured(media, [SOUND, PICTURE]);
    const { data } = onlyPair(measurement);
    expect(data.note).toMatch(/jump of 960 samples \(20 ms\) between (9\.\d|10) s and 10(\.\d)? s of the camera's sound/);
    expect(measurement.leftOver).toContainEqual(
      expect.objectContaining({ severity: 'warning', kind: 'pair', reason: expect.stringContaining('not in one piece') }),
    );
    // The longest piece is the one after the jump: there the sound is further on by what was lost.
    expect(toNumber(data.frame) / 25).toBeGreaterThanOrEqual(9.9);
    expect(Math.abs(soundAt(measurement, 20) - 22 * SAMPLE_RATE - lost)).toBeLessThan(2);
  });

  test.each([
    [1000, '1001/1000'],
    [-999.001, '1000/1001'],
  ])('pulled by %d parts per million is named as a 0.1 %% pull', async (driftPpm, ratio) => {
    const long = inventScene('pulled take', 18, []);
    const media = memoryMedia({
      [SOUND.path]: waveOf(long.samples),
      [PICTURE.path]: waveOf(hearScene(long, { offset: SAMPLE_RATE, driftPpm, seconds: 16 })),
    });
    const measurement = await measured(media, [SOUND, PICTURE]);
    const { data } = onlyPair(measurement);
    expect(data.note).toContain(`0.1 % pull (${ratio})`);
    // 1 ppm on takes long enough to tell is what the measurement promises; a quarter of a minute is not even long.
    expect(Math.abs(toNumber(data.driftPpm) - driftPpm)).toBeLessThan(1);
  });

  test('on a clock of its own states the drift to what is known of it', async () => {
    const long = inventScene('drifting take', 40, []);
    const media = memoryMedia({
      [SOUND.path]: waveOf(long.samples),
      [PICTURE.path]: waveOf(hearScene(long, { offset: SAMPLE_RATE, driftPpm: -17, seconds: 37 })),
    });
    const { data } = onlyPair(await measured(media, [SOUND, PICTURE]));
    expect(Math.abs(toNumber(data.driftPpm) + 17)).toBeLessThan(1);
    expect(formatRational(multiply(data.driftPpm, rational(1000)))).toMatch(/^-\d+$/);
  });

  test('that can not be decoded is told on its picture', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf(SCENE.samples) }, { [FILM.path]: { facts: FACTS, scratch: null } });
    const { leftOver } = await measured(media, [SOUND, FILM]);
    expect(leftOver[0]).toMatchObject({ name: 'CAM_B.mov', severity: 'error' });
    expect(leftOver[0]?.reason).toContain("Its own sound can't be compared: the file has sound that can't be decoded.");
  });

  test('is decoded one camera at a time, so that a day of them fits on a disk', async () => {
    const scratch = Float32Array.from(CAMERA);
    const films = ['CAM_B.mov', 'CAM_C.mov', 'CAM_D.mov'].map((path): Recording => ({ ...FILM, path }));
    const media = memoryMedia(
      { [SOUND.path]: waveOf(SCENE.samples) },
      Object.fromEntries(films.map(({ path }) => [path, { facts: FACTS, scratch }])),
    );
    const { pairs } = await measured(media, [SOUND, ...films]);
    expect(pairs).toHaveLength(3);
    // The sound itself, and one camera's.
    expect(media.mostOpen()).toBe(2);
  });

  test('twice on two recorders gives a pair with each', async () => {
    const backup: Recording = { ...SOUND, path: 'POCKET.wav' };
    const media = memoryMedia({
      [SOUND.path]: waveOf(SCENE.samples),
      [backup.path]: waveOf(hearScene(SCENE, { offset: 2 * SAMPLE_RATE, driftPpm: 0, seconds: 10 })),
      [PICTURE.path]: waveOf(CAMERA),
    });
    const { pairs, leftOver } = await measured(media, [SOUND, backup, PICTURE]);
    expect(pairs.map(({ data }) => data.sound)).toEqual(['deck_0012', 'pocket']);
    expect(leftOver).toEqual([]);
  });
});

describe('what can not be used', () => {
  const good = { [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(CAMERA) };

  test.each([
    ['a file that is not there', { [SOUND.path]: good[SOUND.path] as Uint8Array }, 'day1/cam_a.wav is not there'],
    ['0 bytes', { ...good, [PICTURE.path]: new Uint8Array(0) }, 'day1/cam_a.wav: The file is empty (0 bytes).'],
    [
      'no WAV',
      { ...good, [PICTURE.path]: new TextEncoder().encode('this is a letter, not a recording') },
      'This is not a WAV file',
    ],
  ])('%s is a failure, and the others go on', async (_title, waves, expected) => {
    const { failures, sounds } = await measured(memoryMedia(waves), [SOUND, PICTURE]);
    expect(failures).toEqual([expect.stringContaining(expected)]);
    expect(sounds).toHaveLength(1);
  });

  test('a WAV that stands for a picture needs a rate', async () => {
    const { failures } = await measured(memoryMedia(good), [SOUND, PICTURE], { rate: null });
    expect(failures).toEqual([expect.stringContaining('give --rate')]);
  });

  test('camera files without the programs that read them are told once, by name', async () => {
    const second: Recording = { ...FILM, path: 'CAM_C.mov' };
    const { failures } = await measured(memoryMedia(good), [SOUND, FILM, second]);
    expect(failures).toEqual([expect.stringMatching(/CAM_B\.mov.*CAM_C\.mov|CAM_C\.mov.*CAM_B\.mov/)]);
  });

  test('samples that are no numbers are told, and the rest is heard', async () => {
    const samples = Float64Array.from(SCENE.samples);
    samples.fill(Number.NaN, 0, 1000);
    const media = memoryMedia({ [SOUND.path]: waveOf(samples, { kind: 'f32' }) });
    const { sounds } = await measured(media, [SOUND]);
    expect(sounds[0]?.reading.remarks.join()).toContain('1000 samples are not numbers');
    expect(sounds[0]?.data.claps).toHaveLength(2);
  });

  test('no samples at all make an entry without a length', async () => {
    const media = memoryMedia({ [SOUND.path]: waveOf([]), [PICTURE.path]: waveOf(CAMERA) });
    const { sounds, leftOver } = await measured(media, [SOUND, PICTURE]);
    expect(sounds[0]?.data.sampleCount).toBeNull();
    expect(leftOver.map(({ severity }) => severity)).toEqual(['error', 'information']);
  });
});

describe('a long measurement', () => {
  const waves = { [SOUND.path]: waveOf(SCENE.samples), [PICTURE.path]: waveOf(CAMERA) };
  const request = { recordings: [SOUND, PICTURE], clapLog: null, rate: rational(25), microphoneMetres: null, isPlotting: false };

  test('tells how far it is, and never goes back', async () => {
    const told: Progress[] = [];
    await measure(request, {
      media: memoryMedia(waves),
      fourier,
      onProgress: (progress) => told.push(progress),
      isCancelled: () => false,
    });
    const shares = told.map(({ share }) => share);
    expect(shares).toEqual(shares.toSorted((left, right) => left - right));
    expect(shares.at(-1)).toBeCloseTo(1, 6);
    expect(new Set(told.map(({ step }) => step)).size).toBeGreaterThan(3);
  });

  test('can be stopped, and closes what it opened', async () => {
    const media = memoryMedia(waves);
    let asked = 0;
    const isCancelled = (): boolean => {
      asked += 1;
      return asked > 2;
    };
    expect(await measure(request, { media, fourier, onProgress: () => {}, isCancelled })).toBeNull();
    expect(media.openCount()).toBe(0);
  });
});
