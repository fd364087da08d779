/**
 * A folder for the commands that start programs: the samples as a git repository with one commit, and a day of invented recordings
 * with their clap log.
 */

import { execFile } from 'node:child_process';
import { cp, link, mkdir, mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { inventScene, SAMPLE_RATE, waveOf } from '../unit/measure/recordings.ts';
import { dataChunk, encodeSamples, formatChunk, waveFile } from '../unit/sound/waveBytes.ts';

const run = promisify(execFile);
const samples = join(import.meta.dirname, '..', '..', 'samples');

/** Where the two claps of the day begin, in seconds from the first sample of the recorder. */
const CLAP_SECONDS = [2.5, 6];

/** The frames in which they are seen: 25 frames a second, the first frame is 0. */
const CLAP_LOG =
  'picture,rate,clap frame,sound,clap\nCAM_A_0021.mov,25,40,DECK_0021.wav,1\nCAM_B_0021.mov,25,55,DECK_0021.wav,2\n';

/** Null when git is there. */
export async function reasonWithoutGit(): Promise<string | null> {
  try {
    await run('git', ['--version']);
    return null;
  } catch {
    return 'git is not installed';
  }
}

export async function makeShoot(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-shoot-'));
  await cp(samples, folder, { recursive: true });
  const git = (...words: string[]): Promise<unknown> => run('git', ['-C', folder, ...words]);
  await git('init', '--quiet');
  await git('add', '--all');
  const author = ['-c', 'user.name=Nobody', '-c', 'user.email=nobody@example.invalid', '-c', 'commit.gpgsign=false'];
  await git(...author, 'commit', '--quiet', '--message', 'First cut');
  await mkdir(join(folder, 'day2', 'empty'), { recursive: true });
  const scene = inventScene('day two', 9, CLAP_SECONDS);
  await writeFile(join(folder, 'day2', 'DECK_0021.wav'), waveOf(scene.samples));
  await writeFile(join(folder, 'day2', 'claps.csv'), CLAP_LOG);
  await mkdir(join(folder, 'long'));
  return folder;
}

/** So much to listen to that there is time to stop it: one file of noise under many names. `folder` is where they lie in the end. */
export async function fillLongDay(folder: string): Promise<void> {
  const tile = encodeSamples(
    'u8',
    Float64Array.from({ length: SAMPLE_RATE }, (_, index) => 0.1 * Math.sin(index * index)),
  );
  const noise = new Uint8Array(LONG_SECONDS * SAMPLE_RATE);
  for (let second = 0; second < LONG_SECONDS; second += 1) noise.set(tile, second * SAMPLE_RATE);
  const first = join(folder, 'DECK_0030.wav');
  await writeFile(first, waveFile([formatChunk({ tag: 1, bits: 8, sampleRate: SAMPLE_RATE }), dataChunk(noise)]));
  for (let number = 31; number < 31 + LONG_COUNT; number += 1) await link(first, join(folder, `DECK_00${number}.wav`));
}

const LONG_SECONDS = 1200;
const LONG_COUNT = 20;
