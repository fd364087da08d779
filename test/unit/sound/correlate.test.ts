/**
 * Scratch sound found in recordings, over invented scenes with known offsets and clocks.
 *
 * Offsets are held to 2 samples and drift to 1 ppm where the overlap is long enough to tell; an answer of 'no match' or 'several
 * places' is held to as strictly as a match.
 */

import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import { correlate } from '../../../server/src/sound/delay/correlate.ts';
import { liveliestChannel } from '../../../server/src/sound/delay/liveliestChannel.ts';
import type { Match, SoundMatch } from '../../../server/src/sound/delay/match.ts';
import { matchAll } from '../../../server/src/sound/delay/matchAll.ts';
import { profileSound } from '../../../server/src/sound/delay/soundProfile.ts';
import { type Fourier, loadFourier } from '../../../server/src/sound/fourier/fourier.ts';
import { type SoundSource, soundSourceOf } from '../../../server/src/sound/soundSource.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../../server/src/sound/wave/waveSource.ts';
import { PAIR_FAMILIES, sceneOf, strangers } from './synthesis/pairFamilies.ts';
import { seededRandom } from './synthesis/random.ts';
import { ROOMS, type Room } from './synthesis/rooms.ts';
import { inventScene, PLAIN_SCENE, type Scene } from './synthesis/scenes.ts';
import { dataChunk, encodeSamples, formatChunk, waveFile } from './waveBytes.ts';

let fourier: Fourier;
beforeAll(async () => {
  fourier = await loadFourier();
});

async function place(scratch: SoundSource, sound: SoundSource): Promise<Match> {
  return correlate(await profileSound(scratch), await profileSound(sound), fourier);
}

const placeScene = (scene: Scene): Promise<Match> =>
  place(soundSourceOf(scene.options.cameraRate, scene.camera), soundSourceOf(scene.options.recorderRate, scene.recorder));

function expectMatch(match: Match): SoundMatch {
  if (match.kind !== 'match') throw new Error(JSON.stringify(match));
  return match;
}

/** Error in the middle of the overlap, in samples of the recorder. */
function errorOf(match: SoundMatch, scene: Scene): number {
  const { recorderRate, cameraRate, ppm } = scene.options;
  const middle = (match.overlap.start + match.overlap.end) / 2;
  const at = (offset: number, drift: number): number => offset + ((middle * recorderRate) / cameraRate) * (1 + drift / 1e6);
  return at(match.offsetSamples, match.driftPpm) - at(scene.offset, ppm);
}

describe('offset, drift and polarity', () => {
  test.each(PAIR_FAMILIES.filter((family) => !family.name.startsWith('dropped')).map((family) => family.name))(
    '%s',
    async (name) => {
      const scene = sceneOf(PAIR_FAMILIES.find((family) => family.name === name) as (typeof PAIR_FAMILIES)[number], 201);
      const match = expectMatch(await placeScene(scene));
      expect(Math.abs(errorOf(match, scene))).toBeLessThanOrEqual(2 * (scene.options.recorderRate / 48000));
      expect(Math.abs(match.driftPpm - scene.options.ppm)).toBeLessThanOrEqual(1.5);
      expect(match.polarity).toBe(scene.options.isInverted ? -1 : 1);
      expect(match.jumps).toEqual([]);
      expect(match.confidence).toBeGreaterThan(0.5);
      expect(match.windows.filter((window) => window.agrees).length).toBeGreaterThanOrEqual(3);
    },
  );

  test.each([
    ['pull up', '1001/1000'],
    ['pull down', '1000/1001'],
  ])('a 0.1 %% %s is named', async (name, ratio) => {
    const match = expectMatch(
      await placeScene(sceneOf(PAIR_FAMILIES.find((family) => family.name === name) as (typeof PAIR_FAMILIES)[number], 202)),
    );
    expect(match.pull?.ratio).toBe(ratio);
    expect(Math.abs(match.pull?.restPpm ?? 99)).toBeLessThan(25);
    expect(match.remarks.join()).toContain('0.1 % pull');
  });

  test('the windows tell where they were found, and half of them confirm what the others propose', async () => {
    const match = expectMatch(await placeScene(sceneOf(PAIR_FAMILIES[0] as (typeof PAIR_FAMILIES)[number], 203)));
    expect(new Set(match.windows.map((window) => window.role))).toEqual(new Set(['proposes', 'confirms']));
    for (const window of match.windows.filter((one) => one.agrees)) {
      const onLine = match.offsetSamples + window.scratchSample * (1 + match.driftPpm / 1e6);
      expect(Math.abs(window.soundSample - onLine - window.residual)).toBeLessThan(0.01);
    }
  });

  test('swapping the two gives the same line, read backwards', async () => {
    const scene = inventScene(seededRandom('swap'), { ...PLAIN_SCENE, room: ROOMS[0] as Room });
    const forward = expectMatch(await placeScene(scene));
    const backward = expectMatch(await place(soundSourceOf(48000, scene.recorder), soundSourceOf(48000, scene.camera)));
    expect(backward.offsetSamples * (1 + forward.driftPpm / 1e6)).toBeCloseTo(-forward.offsetSamples, 0);
    expect(backward.driftPpm).toBeCloseTo(-forward.driftPpm, 1);
  });
});

describe('jumps', () => {
  test.each([
    ['dropped 5 ms', 240],
    ['dropped 1 s', 48000],
  ])('%s: found where it is and as large as it is, not taken for drift', async (name, samples) => {
    const scene = sceneOf(PAIR_FAMILIES.find((family) => family.name === name) as (typeof PAIR_FAMILIES)[number], 200);
    const match = expectMatch(await placeScene(scene));
    expect(match.jumps).toHaveLength(1);
    const [jump] = match.jumps;
    // Samples that the camera lost are counted on its clock, the jump on the recorder's.
    expect(Math.abs((jump?.samples ?? 0) - samples * (1 + scene.options.ppm / 1e6))).toBeLessThanOrEqual(0.5);
    const at = (scene.options.drop?.share ?? 0) * scene.options.cameraSeconds * 48000;
    expect(jump?.after).toBeLessThan(at + 48000);
    expect(jump?.before).toBeGreaterThan(at - 48000);
    expect(Math.abs(match.driftPpm - scene.options.ppm)).toBeLessThan(1);
    expect(match.remarks.join()).toContain('lost samples or was restarted');
  });
});

describe('no match', () => {
  test.each([301, 302, 303, 304])('two scenes that have nothing to do with each other (%d)', async (seed) => {
    const { recorder, camera } = strangers(seed);
    const match = await place(soundSourceOf(48000, camera.camera), soundSourceOf(48000, recorder.recorder));
    expect(match).toMatchObject({ kind: 'no-match' });
  });

  const { recorder } = inventScene(seededRandom('nothing'), { ...PLAIN_SCENE, seconds: 10, cameraSeconds: 6 });
  const tone = Float32Array.from({ length: 480000 }, (_, index) => 0.3 * Math.sin((2 * Math.PI * 50 * index) / 48000));

  test.each([
    ['a silent scratch', new Float32Array(96000), recorder, 'The scratch sound is silent.'],
    ['a silent sound', recorder, new Float32Array(480000), 'The sound is silent.'],
    ['a scratch without samples', new Float32Array(0), recorder, 'The scratch sound holds no samples.'],
    ['a sound without samples', recorder, new Float32Array(0), 'The sound holds no samples.'],
    ['half a second of scratch', recorder.subarray(48000, 72000), recorder, 'at least 0.7 s are needed'],
    ['nothing but a tone on both sides', tone.subarray(0, 240000), tone, 'nothing but a steady tone or hum'],
    ['a tone against a scene', tone, recorder, 'nothing but a steady tone or hum'],
  ])('%s', async (_name, scratch, sound, reason) => {
    const match = await place(soundSourceOf(48000, scratch), soundSourceOf(48000, sound));
    expect(match).toMatchObject({ kind: 'no-match' });
    expect(match.kind === 'no-match' ? match.reason : '').toContain(reason);
  });
});

test('where several places fit equally, all are named and none is chosen', async () => {
  const random = seededRandom('loop');
  const { recorder: bar } = inventScene(random, { ...PLAIN_SCENE, seconds: 9, cameraSeconds: 6, room: ROOMS[0] as Room });
  const { recorder: other } = inventScene(random.branch('other'), {
    ...PLAIN_SCENE,
    seconds: 7,
    cameraSeconds: 4,
    room: ROOMS[0] as Room,
  });
  const sound = new Float32Array(2 * bar.length + other.length);
  sound.set(bar);
  sound.set(other, bar.length);
  sound.set(bar, bar.length + other.length);
  const match = await place(soundSourceOf(48000, bar.slice(24000, 24000 + 7 * 48000)), soundSourceOf(48000, sound));
  if (match.kind !== 'ambiguous') throw new Error(JSON.stringify(match));
  const offsets = match.places.map((one) => Math.round(one.offsetSamples)).sort((left, right) => left - right);
  expect(offsets).toEqual([24000, 24000 + bar.length + other.length]);
});

describe('channels and samples', () => {
  const scene = inventScene(seededRandom('channels'), { ...PLAIN_SCENE, seconds: 14, cameraSeconds: 9, room: ROOMS[0] as Room });
  const dead = new Float32Array(scene.camera.length);
  const hissing = seededRandom('hiss');
  const hiss = Float32Array.from({ length: scene.camera.length }, () => 0.2 * hissing.normal());

  test('the channel that moves like speech is chosen, not the loudest and not the first', async () => {
    expect(await liveliestChannel(soundSourceOf(48000, dead, hiss, scene.camera))).toBe(2);
    const match = await place(soundSourceOf(48000, hiss, scene.camera), soundSourceOf(48000, scene.recorder));
    expect(Math.abs(errorOf(expectMatch(match), scene))).toBeLessThan(1);
  });

  test('a channel that cancels the other in a mix does no harm', async () => {
    const match = await place(
      soundSourceOf(
        48000,
        scene.camera,
        scene.camera.map((value) => -value),
      ),
      soundSourceOf(48000, scene.recorder),
    );
    expect(Math.abs(errorOf(expectMatch(match), scene))).toBeLessThan(1);
  });

  test('samples that are no numbers are counted and do no harm', async () => {
    const camera = Float32Array.from(scene.camera);
    camera.fill(Number.NaN, 1000, 1100);
    const profile = await profileSound(soundSourceOf(48000, camera));
    expect(profile.nonFiniteCount).toBe(100);
    const match = await correlate(profile, await profileSound(soundSourceOf(48000, scene.recorder)), fourier);
    expect(Math.abs(errorOf(expectMatch(match), scene))).toBeLessThan(1);
  });
});

describe('many against many', () => {
  test('each picture keeps the sounds that hold it, best first; stamps only sort', async () => {
    const day = ['one', 'two'].map((name) =>
      inventScene(seededRandom(`day ${name}`), { ...PLAIN_SCENE, seconds: 14, cameraSeconds: 9, room: ROOMS[1] as Room }),
    );
    const alien = inventScene(seededRandom('day three'), { ...PLAIN_SCENE, seconds: 14, cameraSeconds: 9 });
    const named = async (name: string, samples: Float32Array, stampSeconds: number | null) => ({
      name,
      profile: await profileSound(soundSourceOf(48000, samples)),
      stampSeconds,
    });
    // The stamps lie: they pair one with two.
    const sounds = [
      await named('deck-1', (day[0] as Scene).recorder, 100),
      await named('deck-2', (day[1] as Scene).recorder, 200),
    ];
    const pictures = [
      await named('cam-1', (day[0] as Scene).camera, 203),
      await named('cam-2', (day[1] as Scene).camera, 103),
      await named('cam-3', alien.camera, null),
    ];
    const progress: number[] = [];
    const results = await matchAll(pictures, sounds, fourier, { onProgress: (tried, total) => progress.push(tried / total) });
    expect(results.map(({ picture, matches }) => [picture.name, matches.map(({ sound }) => sound.name)])).toEqual([
      ['cam-1', ['deck-1']],
      ['cam-2', ['deck-2']],
      ['cam-3', []],
    ]);
    expect(results[2]?.reason).toBe('None of 2 sounds holds it.');
    expect(progress.at(-1)).toBe(1);
    expect(await matchAll(pictures, [], fourier)).toMatchObject([{ reason: 'There is no sound to compare with.' }, {}, {}]);
  });
});

describe('lossy camera sound', () => {
  const hasEncoder = spawnSync('ffmpeg', ['-version'], { stdio: 'ignore' }).status === 0;
  if (!hasEncoder) console.log('lossy camera sound: skipped, because ffmpeg is not on this machine');

  test.skipIf(!hasEncoder).each([
    ['aac', '64k', 'm4a'],
    ['libmp3lame', '64k', 'mp3'],
  ])('%s at %s', async (codec, bitRate, extension) => {
    const scene = inventScene(seededRandom('lossy'), PLAIN_SCENE);
    const folder = mkdtempSync(join(tmpdir(), 'scratch-'));
    try {
      const [plain, coded, decoded] = ['plain.wav', `coded.${extension}`, 'decoded.wav'].map((name) => join(folder, name)) as [
        string,
        string,
        string,
      ];
      writeFileSync(plain, waveFile([formatChunk({ bits: 16 }), dataChunk(encodeSamples('s16', scene.camera))]));
      const encode = spawnSync('ffmpeg', ['-v', 'error', '-i', plain, '-c:a', codec, '-b:a', bitRate, coded]);
      if (encode.status !== 0) {
        console.log(`lossy camera sound: ${codec} skipped, because this ffmpeg has no such encoder`);
        return;
      }
      spawnSync('ffmpeg', ['-v', 'error', '-i', coded, '-c:a', 'pcm_s16le', decoded]);
      const bytes = byteSourceOf(readFileSync(decoded));
      const { header } = await readWaveHeader(bytes);
      if (header === null) throw new Error('not decoded');
      const match = expectMatch(await place(waveSource(bytes, header), soundSourceOf(48000, scene.recorder)));
      expect(Math.abs(errorOf(match, scene))).toBeLessThan(2);
      expect(Math.abs(match.driftPpm - 12)).toBeLessThan(1);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe('the shared recordings', () => {
  const folder = resolve(import.meta.dirname, '../../../../shared/audio');
  const isThere = existsSync(`${folder}/truth.json`);
  if (!isThere) console.log('shared recordings: skipped, because ../shared/audio is not there');

  async function open(name: string): Promise<SoundSource> {
    const bytes = byteSourceOf(readFileSync(`${folder}/${name}`));
    const { header } = await readWaveHeader(bytes);
    if (header === null) throw new Error(`${name} was not read`);
    return waveSource(bytes, header);
  }

  test.skipIf(!isThere)(
    'offsets within 2 samples, drift within 1 ppm, polarity right, no match where there is none',
    async () => {
      const { cases } = JSON.parse(readFileSync(`${folder}/truth.json`, 'utf8')) as {
        cases: {
          family: string;
          recorder: string;
          camera: string;
          matched: boolean;
          offset_samples: number;
          drift_ppm: number;
          polarity: 1 | -1;
          overlap_cam: [number, number];
        }[];
      };
      for (const truth of cases.filter((one) => one.family === 'B')) {
        const match = await place(await open(truth.camera), await open(truth.recorder));
        expect(match.kind).toBe(truth.matched ? 'match' : 'no-match');
        if (match.kind !== 'match') continue;
        const middle = (truth.overlap_cam[0] + truth.overlap_cam[1]) / 2;
        const error = match.offsetSamples - truth.offset_samples + middle * ((match.driftPpm - truth.drift_ppm) / 1e6);
        expect(Math.abs(error)).toBeLessThanOrEqual(2);
        expect(Math.abs(match.driftPpm - truth.drift_ppm)).toBeLessThanOrEqual(1);
        expect(match.polarity).toBe(truth.polarity);
      }
    },
  );
});
