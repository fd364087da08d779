/**
 * Camera files as cameras and converters write them, made with ffmpeg and read through ffprobe and ffmpeg.
 *
 * Each holds a moving picture of 25 or 30000/1001 frames per second and the sound of one scene that begins at a known place of it. What
 * the container does to that place (edit lists, priming, start offsets) has to come out again.
 */

import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { createMediaFiles } from '../../../server/src/node/mediaFiles.ts';
import { buildCli, type Cli, makeWorkspace, type Workspace } from '../cli/runCli.ts';
import { hearScene, inventScene, SAMPLE_RATE, waveOf } from './recordings.ts';

const PROGRAMS = { maker: 'ffmpeg', reader: 'ffprobe' };
const hasFfmpeg = Object.values(PROGRAMS).every((program) => spawnSync(program, ['-version']).status === 0);
if (!hasFfmpeg) console.log('camera files: skipped, since ffmpeg and ffprobe are not on the PATH');

const OFFSET = 1.25 * SAMPLE_RATE;
const PICTURE_25 = 'testsrc2=size=160x90:rate=25:duration=8';
const PICTURE_2997 = 'testsrc2=size=160x90:rate=30000/1001:duration=8';

interface CameraFile {
  readonly name: string;
  readonly picture: string;
  readonly words: readonly string[];
  /** Before the sound input: '-itsoffset', '0.1' makes it begin a tenth of a second after the picture. */
  readonly before?: readonly string[];
  readonly lateSeconds?: number;
  /** Samples by which the container may be off by its own nature. */
  readonly slack: number;
  readonly facts: { readonly rate: string; readonly frames: number; readonly start: string | null };
}

const FILES: readonly CameraFile[] = [
  {
    name: 'pcm.mov',
    picture: PICTURE_25,
    words: ['-c:v', 'mjpeg', '-c:a', 'pcm_s24le', '-timecode', '14:03:20:00'],
    slack: 2,
    facts: { rate: '25', frames: 200, start: '14:03:20:00' },
  },
  {
    name: 'aac.mp4',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg4', '-c:a', 'aac', '-b:a', '96k'],
    slack: 2,
    facts: { rate: '25', frames: 200, start: null },
  },
  {
    name: 'drop.mov',
    picture: PICTURE_2997,
    words: ['-c:v', 'mpeg4', '-c:a', 'pcm_s16le', '-timecode', '01:00:00;00'],
    slack: 2,
    facts: { rate: '30000/1001', frames: 240, start: '01:00:00;00' },
  },
  {
    name: 'late.mov',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg4', '-c:a', 'pcm_s16le'],
    before: ['-itsoffset', '0.1'],
    lateSeconds: 0.1,
    slack: 48,
    facts: { rate: '25', frames: 200, start: null },
  },
  {
    // The edit list counts in thousandths here, so it can't say 4800 - 1024 samples exactly.
    name: 'late.mp4',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg4', '-c:a', 'aac', '-b:a', '96k'],
    before: ['-itsoffset', '0.1'],
    lateSeconds: 0.1,
    slack: 50,
    facts: { rate: '25', frames: 200, start: null },
  },
  // Matroska counts milliseconds, for each of the two streams.
  {
    name: 'aac.mkv',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg4', '-c:a', 'aac', '-b:a', '96k'],
    slack: 50,
    facts: { rate: '25', frames: 200, start: null },
  },
  {
    name: 'pcm.mxf',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg2video', '-c:a', 'pcm_s16le', '-timecode', '10:00:00:00'],
    slack: 2,
    facts: { rate: '25', frames: 200, start: '10:00:00:00' },
  },
  {
    name: 'pcm.avi',
    picture: PICTURE_25,
    words: ['-c:v', 'mpeg4', '-c:a', 'pcm_s16le'],
    slack: 2,
    facts: { rate: '25', frames: 200, start: null },
  },
];

interface Output {
  readonly pictures: readonly {
    readonly name: string;
    readonly rate: string;
    readonly frames: string | null;
    readonly start: string | null;
  }[];
  readonly pairs: readonly {
    readonly picture: string;
    readonly offset: string;
    readonly uncertainty: { readonly early: string };
  }[];
  readonly leftOver: readonly { readonly name: string; readonly reason: string }[];
}

describe.skipIf(!hasFfmpeg)('camera files', () => {
  let cli: Cli;
  let work: Workspace;
  let output: Output;
  let exitCode: number | null;

  function ffmpeg(...words: string[]): void {
    const { status, stderr } = spawnSync(PROGRAMS.maker, ['-v', 'error', '-nostdin', '-y', ...words], {
      cwd: work.folder,
      encoding: 'utf8',
    });
    if (status !== 0) throw new Error(`ffmpeg ${words.join(' ')}: ${stderr}`);
  }

  beforeAll(async () => {
    cli = await buildCli();
    work = makeWorkspace('empty');
    const scene = inventScene('camera files', 11, [2.5]);
    mkdirSync(work.path('temporary'));
    work.write('DECK.wav', waveOf(scene.samples));
    work.write('heard.wav', waveOf(hearScene(scene, { offset: OFFSET, driftPpm: 0, seconds: 8 })));
    for (const { name, picture, words, before = [] } of FILES)
      ffmpeg('-f', 'lavfi', '-i', picture, ...before, '-i', 'heard.wav', ...words, name);
    ffmpeg('-f', 'lavfi', '-i', PICTURE_25, '-c:v', 'mpeg4', 'silent.mov');
    const ran = await cli.run(
      ['measure', 'DECK.wav', 'silent.mov', ...FILES.map(({ name }) => name), '--format', 'json', '--out', 'day1.alignment.json'],
      work.folder,
      { TMPDIR: work.path('temporary') },
    );
    exitCode = ran.exitCode;
    output = JSON.parse(ran.stdout) as Output;
  }, 60_000);

  afterAll(() => {
    cli.dispose();
    work.dispose();
  });

  test.each(FILES)('$name says rate, length and time stamp', ({ name, facts }) => {
    const picture = output.pictures.find((candidate) => candidate.name === name);
    expect(picture).toMatchObject({ rate: facts.rate, frames: String(facts.frames), start: facts.start });
  });

  test.each(FILES)('$name lies where the scene says, to within $slack samples', ({ name, lateSeconds = 0, slack }) => {
    const pair = output.pairs.find(({ picture }) => picture === name.replace('.', '-') || picture === name.replace(/\..*/, ''));
    const [numerator = 0, denominator = 1] = (pair?.offset ?? 'NaN').split('/').map(Number);
    const samples = (numerator / denominator) * SAMPLE_RATE;
    expect(Math.abs(samples - (OFFSET - lateSeconds * SAMPLE_RATE))).toBeLessThan(slack);
  });

  test('one without sound is left over with what to do about it', () => {
    expect(exitCode).toBe(1);
    expect(output.leftOver).toMatchObject([{ name: 'silent.mov', reason: expect.stringContaining('--clap-log') }]);
  });

  test('are as they were, and no scratch file is left', () => {
    expect(readdirSync(work.path('temporary'))).toEqual([]);
    expect(JSON.parse(readFileSync(work.path('day1.alignment.json'), 'utf8'))).toMatchObject({ alignment: 1 });
  });

  test('that are broken are told, and the others measured', async () => {
    work.write('broken.mov', 'moov? no.');
    work.write('hollow.mov', new Uint8Array(0));
    const {
      exitCode: code,
      stdout,
      stderr,
    } = await cli.run(['measure', 'DECK.wav', 'pcm.mov', 'broken.mov', 'hollow.mov'], work.folder);
    expect(code).toBe(2);
    expect(stdout).toContain('pcm.mov with DECK.wav');
    expect(stderr).toMatch(/broken\.mov can't be read as a camera file/);
    expect(stderr).toContain('hollow.mov is empty (0 bytes)');
  });

  test('whose name looks like an address are files all the same', async () => {
    ffmpeg('-i', 'pcm.mov', '-c', 'copy', 'plain.mov');
    work.write('concat:a.mov', readFileSync(work.path('plain.mov')));
    const answer = await createMediaFiles().probe(work.path('concat:a.mov'));
    expect(answer.ok && formatRational(answer.facts.rate)).toBe('25');
  });

  test('without the programs on the PATH make one clear sentence and exit code 2', async () => {
    const {
      exitCode: code,
      stdout,
      stderr,
    } = await cli.run(['measure', 'DECK.wav', 'pcm.mov', 'pcm.avi'], work.folder, { PATH: work.folder });
    expect(code).toBe(2);
    expect(stdout).toContain('DECK.wav');
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(stderr).toMatch(
      /^afterclap: pcm\.avi is a camera file, and reading those needs the programs ffprobe and ffmpeg, .* The same holds for pcm\.mov/,
    );
  });
});
