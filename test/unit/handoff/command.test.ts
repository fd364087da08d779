/**
 * `afterclap handoff` from outside: exit codes, what is written, what is refused, and everything that can go wrong on a disk.
 */

import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, symlinkSync, truncateSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { waveFields } from '../../support/waveFields.ts';
import { buildCli, type Cli, makeWorkspace, type Outcome, type Workspace } from '../cli/runCli.ts';
import { FRAME, inventSound, layOut, recorderFile, reportOf } from './shoot.ts';

let cli: Cli;
let work: Workspace;
beforeAll(async () => {
  cli = await buildCli();
});
afterAll(() => cli.dispose());
beforeEach(() => {
  work = makeWorkspace('empty');
});
afterEach(() => work.dispose());

const HEARING = { offset: 30_000, driftPpm: 0, frames: 144 };
const FILES = ['cut.sync-sheet.csv', 'cut.sync-sheet.html', 'manifest.json', 'pull-list.csv', 'reels/cam--deck.wav'];

function handoff(...words: readonly string[]): Promise<Outcome> {
  return cli.run(['handoff', ...words], work.folder);
}

/** Files under a folder of the workspace, hidden ones too. */
function filesIn(folder: string): readonly string[] {
  if (!existsSync(work.path(folder))) return [];
  return readdirSync(work.path(folder), { recursive: true, withFileTypes: true })
    .filter((entry) => !entry.isDirectory())
    .map((entry) => `${entry.parentPath}/${entry.name}`.slice(work.path(folder).length + 1))
    .sort();
}

function text(path: string): string {
  return readFileSync(work.path(path), 'utf8');
}

describe('a hand-off', () => {
  test('is whole: sheet as page and table, pull list, reel, manifest; nothing else, and nothing on standard error', async () => {
    layOut(work, 'a whole hand-off', HEARING);
    const { exitCode, stdout, stderr } = await handoff('cut.otio', '--out', 'mix');
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    expect(filesIn('mix')).toEqual(FILES);
    expect(stdout).toContain('cut.otio: 1 compared, 0 accepted; no error is open');
    expect(stdout).toContain('Written to mix: 1 sync sheet, 1 table, 1 pull list, 1 sync reel, and the manifest.');
    expect(stdout).toContain('afterclap handoff --verify mix');
  });

  test('leaves timeline, report and recording as they were, to the byte', async () => {
    const { bytes } = layOut(work, 'left alone', HEARING);
    const before = ['cut.otio', 'cut.alignment.json'].map(text);
    await handoff('cut.otio', '--out', 'mix');
    expect(['cut.otio', 'cut.alignment.json'].map(text)).toEqual(before);
    expect(readFileSync(work.path('deck.wav')).equals(bytes)).toBe(true);
  });

  test('names in its manifest every file with size and digest, and what made it', async () => {
    layOut(work, 'a manifest', HEARING);
    await handoff('cut.otio', '--out', 'mix', '--handles', '12f');
    const manifest = JSON.parse(text('mix/manifest.json')) as {
      command: string[];
      by: string;
      made: string;
      timelines: { path: string; sha256: string; reports: { path: string; sha256: string }[] }[];
      files: { path: string; size: number; sha256: string; timelines: string[] }[];
      recordings: { path: string; size: number }[];
    };
    const digest = (path: string): string =>
      createHash('sha256')
        .update(readFileSync(work.path(path)))
        .digest('hex');
    expect(manifest.command).toEqual(['afterclap', 'handoff', 'cut.otio', '--out', 'mix', '--handles', '12f']);
    expect(manifest.by).toMatch(/^Afterclap \d/);
    expect(manifest.made).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$/);
    expect(manifest.timelines).toMatchObject([
      {
        path: 'cut.otio',
        sha256: digest('cut.otio'),
        reports: [{ path: 'cut.alignment.json', sha256: digest('cut.alignment.json') }],
      },
    ]);
    expect(manifest.files.map(({ path }) => path).sort()).toEqual(FILES.filter((path) => path !== 'manifest.json'));
    for (const file of manifest.files) {
      expect([file.size, file.sha256], file.path).toEqual([
        readFileSync(work.path(`mix/${file.path}`)).length,
        digest(`mix/${file.path}`),
      ]);
      expect(file.timelines).toEqual(['cut.otio']);
    }
    expect(manifest.recordings).toEqual([{ path: 'deck.wav', size: readFileSync(work.path('deck.wav')).length }]);
  });

  test('gives the same reel again, byte for byte', async () => {
    layOut(work, 'twice', { ...HEARING, driftPpm: 50 });
    await handoff('cut.otio', '--out', 'first');
    await handoff('cut.otio', '--out', 'second');
    const [first, second] = ['first', 'second'].map((folder) => readFileSync(work.path(`${folder}/reels/cam--deck.wav`)));
    expect(first?.equals(second as Buffer)).toBe(true);
  });

  test('of several timelines has one pull list and a sheet for each; formats of one cut keep their endings', async () => {
    work.dispose();
    work = makeWorkspace('samples');
    const { exitCode } = await handoff('millrace.otio', 'millrace.edl', '--out', 'mix', '--reels', 'none');
    expect(exitCode).toBe(1);
    expect(filesIn('mix')).toEqual([
      'manifest.json',
      'millrace.edl.sync-sheet.csv',
      'millrace.edl.sync-sheet.html',
      'millrace.otio.sync-sheet.csv',
      'millrace.otio.sync-sheet.html',
      'pull-list.csv',
    ]);
  });
});

describe('exit code 1, and the words for it', () => {
  test('where recordings are missing; the lists are made all the same', async () => {
    layOut(work, 'no recording', HEARING);
    rmSync(work.path('deck.wav'));
    const { exitCode, stdout, stderr } = await handoff('cut.otio', '--out', 'mix');
    expect({ exitCode, stderr }).toEqual({ exitCode: 1, stderr: '' });
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain(
      'deck.wav was not found in the folder of the timeline, so there is no whole reel of cam with deck.',
    );
    expect(filesIn('mix')).toEqual(FILES.filter((path) => !path.startsWith('reels')));
    expect(text('mix/cut.sync-sheet.html')).toContain('Missing from this hand-off');
    expect((JSON.parse(text('mix/manifest.json')) as { missing: string[] }).missing).toHaveLength(1);
  });

  test('where the cut has errors that nobody accepted', async () => {
    layOut(work, 'a cut with errors', HEARING);
    work.write('cut.otio', text('cut.otio').replace('"value": 63', '"value": 40'));
    const { exitCode, stdout } = await handoff('cut.otio', '--out', 'mix');
    expect(exitCode).toBe(1);
    expect(stdout).toContain('1 error is open');
  });
});

describe('what is written wrong gets one line on standard error and exit code 2, and nothing is made', () => {
  test.each([
    [[], 'handoff needs a timeline'],
    [['cut.otio'], 'handoff needs a folder to write into: --out DIR'],
    [['gone.otio', '--out', 'mix'], "can't read gone.otio: there is no such file or folder"],
    [['deck.wav', '--out', 'mix'], 'deck.wav is not a file Afterclap reads'],
    [['cut.alignment.json', '--out', 'mix'], 'is no timeline; reports are given with --alignment'],
    [['cut.otio', '--out', 'mix', '--reels', 'all'], "'all' is no kind of reels; expected picture, cut or none"],
    [['cut.otio', '--out', 'mix', '--handles', '2'], '--handles 2 is no length of time'],
    [['cut.otio', '--out', 'mix', '--handles', '-2s'], '--handles -2s is no length of time'],
    [['cut.otio', '--out', 'mix', '--drift-threshold', 'none'], '--drift-threshold none is no length of time'],
    [['cut.otio', '--out', 'mix', '--programme-start', 'one'], 'is no timecode'],
    [['cut.otio', '--out', 'mix', '--programme-start', '02:00:00:00'], 'is not inside cut.otio'],
    [['cut.otio', '--out', 'mix', '--programme-start', '01:00:00:24'], 'there is no 01:00:00:24'],
    [['cut.otio', '--out', 'mix', '--tolerance', 'tight'], '--tolerance'],
    [['cut.otio', '--out', 'mix', '--alignment', 'gone.json'], '--alignment: gone.json is not there'],
    [['cut.otio', '--out', 'mix', '--medai', 'x'], "did you mean '--media'?"],
    [['--verify'], '--verify takes the folder of one hand-off'],
    [['--verify', 'mix', '--force'], '--verify only reads'],
    [['--verify', 'gone'], 'holds no manifest.json, so it is no hand-off'],
    [['--verify', 'cut.otio'], 'is a file'],
  ])('%j', async (words, expected) => {
    layOut(work, 'never used', { ...HEARING, frames: 100 });
    const { exitCode, stdout, stderr } = await handoff(...words);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/^afterclap: [^\n]+\n$/);
    expect(stderr).toContain(expected);
    expect(filesIn('mix')).toEqual([]);
  });
});

describe('where a hand-off may not be written', () => {
  test.each([
    [['--out', '.'], '--out . holds cut.otio, which the hand-off is made from'],
    [['--out', 'shoot', '--media', 'shoot'], '--out shoot lies inside the media folder shoot'],
    [['--out', 'shoot/day1/mix', '--media', 'shoot'], 'lies inside the media folder shoot'],
    [['--out', 'linked/mix', '--media', 'shoot'], 'lies inside the media folder shoot'],
    [['--out', 'cut.otio/mix'], "can't write"],
    [['--out', 'cut.otio'], '--out cut.otio is a file that the hand-off is made from'],
  ])('%j', async (flags, expected) => {
    layOut(work, 'never used', { ...HEARING, frames: 100 });
    mkdirSync(work.path('shoot'));
    symlinkSync('shoot', work.path('linked'));
    const { exitCode, stderr } = await handoff('cut.otio', ...flags);
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/^afterclap: [^\n]+\n$/);
    expect(stderr).toContain(expected);
    expect(filesIn('.')).toEqual(['cut.alignment.json', 'cut.otio', 'deck.wav', 'linked']);
  });

  test('reels of an earlier hand-off are never taken for recordings', async () => {
    layOut(work, 'made before', HEARING);
    await handoff('cut.otio', '--out', 'deck');
    // A reel that bears the name of the recording, in a hand-off beside the timeline.
    work.write('deck/reels/deck.wav', readFileSync(work.path('deck/reels/cam--deck.wav')));
    rmSync(work.path('deck.wav'));
    const { stdout } = await handoff('cut.otio', '--out', 'mix');
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain('deck.wav was not found');
  });
});

describe('what stands there already', () => {
  test('is refused, to the last file, before anything is written', async () => {
    layOut(work, 'refused', HEARING);
    mkdirSync(work.path('mix'));
    work.write('mix/pull-list.csv', 'mine');
    const { exitCode, stderr } = await handoff('cut.otio', '--out', 'mix');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('mix holds pull-list.csv already; give --force to replace them');
    expect(filesIn('mix')).toEqual(['pull-list.csv']);
    expect(text('mix/pull-list.csv')).toBe('mine');
  });

  test('and is something else stays beside the hand-off', async () => {
    layOut(work, 'beside', HEARING);
    mkdirSync(work.path('mix'));
    work.write('mix/letter.txt', 'mine');
    expect((await handoff('cut.otio', '--out', 'mix')).exitCode).toBe(0);
    expect(text('mix/letter.txt')).toBe('mine');
  });

  test('is replaced with --force; what the new one does not have is told', async () => {
    layOut(work, 'forced', HEARING);
    await handoff('cut.otio', '--out', 'mix');
    const { exitCode, stderr } = await handoff('cut.otio', '--out', 'mix', '--reels', 'cut', '--force');
    expect(exitCode).toBe(0);
    expect(stderr).toContain('note: mix keeps files of an earlier hand-off that this one does not have: reels/cam--deck.wav');
    expect(filesIn('mix')).toEqual([...FILES, 'reels/cut--cut.wav'].sort());
    expect((await handoff('--verify', 'mix')).stdout).toContain('extra    reels/cam--deck.wav');
  });

  test('and is a manifest of somebody else is left alone, even with --force', async () => {
    layOut(work, 'not ours', HEARING);
    mkdirSync(work.path('site'));
    work.write('site/manifest.json', '{"name":"a web page"}');
    const { exitCode, stderr } = await handoff('cut.otio', '--out', 'site', '--force');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('is no manifest of a hand-off, so this folder is left alone');
    expect(filesIn('site')).toEqual(['manifest.json']);
  });

  test('and is a folder where a file should be is told', async () => {
    layOut(work, 'in the way', HEARING);
    mkdirSync(work.path('mix/pull-list.csv'), { recursive: true });
    const { exitCode, stderr } = await handoff('cut.otio', '--out', 'mix', '--force');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('mix/pull-list.csv is in the way');
  });
});

describe('two media with one name', () => {
  const other = recorderFile([inventSound('another day', 6), inventSound('another day', 6)]);

  test('are told apart by what the report says of the file', async () => {
    const { bytes } = layOut(work, 'the right day', HEARING);
    for (const day of ['day1', 'day2']) mkdirSync(work.path(`shoot/${day}`), { recursive: true });
    work.write('shoot/day1/deck.wav', other);
    work.write('shoot/day2/deck.wav', bytes);
    rmSync(work.path('deck.wav'));
    const { exitCode } = await handoff('cut.otio', '--out', 'mix', '--media', 'shoot');
    expect(exitCode).toBe(0);
    expect(text('mix/pull-list.csv')).toContain(
      '2 files have its name (shoot/day1/deck.wav and shoot/day2/deck.wav); the one whose length and stamp',
    );
    const made = waveFields(readFileSync(work.path('mix/reels/cam--deck.wav'))).samples(0);
    expect([...made.subarray(0, 100)]).toEqual([...waveFields(bytes).samples(0).subarray(30_000, 30_100)]);
  });

  test('that nothing tells apart are both left, and told', async () => {
    const { bytes } = layOut(work, 'twice the same', HEARING);
    for (const day of ['day1', 'day2']) mkdirSync(work.path(`shoot/${day}`), { recursive: true });
    work.write('shoot/day1/deck.wav', bytes);
    work.write('shoot/day2/deck.wav', bytes);
    rmSync(work.path('deck.wav'));
    const { exitCode, stdout } = await handoff('cut.otio', '--out', 'mix', '--media', 'shoot');
    expect(exitCode).toBe(1);
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain(
      'deck.wav is there 2 times (shoot/day1/deck.wav and shoot/day2/deck.wav) and nothing tells which is meant',
    );
    expect(filesIn('mix/reels')).toEqual([]);
  });

  test('on the writing side get names of their own', async () => {
    const { bytes } = layOut(work, 'two keys', HEARING);
    work.write('DECK2.wav', bytes);
    work.write(
      'cut.alignment.json',
      reportOf([
        { picture: 'cam', sound: 'deck', hearing: HEARING },
        { picture: 'Cam', sound: 'Deck', hearing: HEARING },
      ])
        .replace('"Cam.mov"', '"other.mov"')
        .replace('"Deck.wav"', '"DECK2.wav"'),
    );
    const cut = text('cut.otio');
    work.write('second.otio', cut.replaceAll('cam.mov', 'other.mov'));
    await handoff('cut.otio', 'second.otio', '--out', 'mix', '--alignment', 'cut.alignment.json');
    expect(filesIn('mix/reels')).toEqual(['Cam--Deck-2.wav', 'cam--deck.wav']);
  });
});

describe('recordings that are not what the report says', () => {
  test.each([
    ['another sample rate', { sampleRate: 44_100 }, 'runs at 44100 Hz'],
    ['another length and another stamp', { timeReference: 7, seconds: 3 }, 'is another file than the one in the report'],
  ])(
    '%s: no reel, and why',
    async (_title, {
      sampleRate,
      timeReference,
      seconds,
    }: { sampleRate?: number; timeReference?: number; seconds?: number }, expected) => {
      const { recorded } = layOut(work, 'not it', HEARING);
      work.write(
        'cut.alignment.json',
        text('cut.alignment.json').replace('"sampleRate": 48000', '"sampleRate": 48000, "startSample": 5'),
      );
      const samples = seconds === undefined ? recorded : recorded.subarray(0, seconds * 48_000);
      work.write(
        'deck.wav',
        recorderFile([samples, samples], {
          ...(sampleRate === undefined ? {} : { sampleRate }),
          timeReference: timeReference ?? 5,
        }),
      );
      const { exitCode, stdout } = await handoff('cut.otio', '--out', 'mix');
      expect(exitCode).toBe(1);
      expect(stdout.replaceAll(/\s+/g, ' ')).toContain(expected);
      expect(filesIn('mix/reels')).toEqual([]);
    },
  );

  test('cut short: a reel that says where it is silent, and a pull list that says why', async () => {
    const { recorded } = layOut(work, 'cut short', HEARING);
    const half = recorded.subarray(0, 30_000 + 72 * FRAME);
    work.write('deck.wav', recorderFile([half, half]));
    await handoff('cut.otio', '--out', 'mix');
    expect(text('mix/cut.sync-sheet.html')).toContain('Silent for 3.003 s after the recording ends.');
    expect(text('mix/pull-list.csv')).toContain('it may be another file, or cut short');
    const made = waveFields(readFileSync(work.path('mix/reels/cam--deck.wav'))).samples(0);
    expect(made.subarray(72 * FRAME).every((value) => value === 0)).toBe(true);
  });

  test('no sound at all: told, not guessed', async () => {
    layOut(work, 'a letter', HEARING);
    work.write('deck.wav', 'Dear mixer, the sound is in the other envelope.');
    const { exitCode, stdout } = await handoff('cut.otio', '--out', 'mix');
    expect(exitCode).toBe(1);
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain("deck.wav was found, but deck.wav can't be used: This is not a WAV file");
  });
});

describe('a disk that takes no more', () => {
  test('is found out before the work where it can tell', async (context) => {
    if (process.platform !== 'linux') context.skip('the small disk of this test is one of Linux');
    // 16 MB of memory disk would do; without the right to mount one, a report of a picture of years stands in for it.
    layOut(work, 'too long', HEARING);
    work.write('cut.alignment.json', text('cut.alignment.json').replace('"frames": 144', '"frames": 40000000000'));
    const { exitCode, stderr } = await handoff('cut.otio', '--out', 'mix');
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/the hand-off needs [\d.]+ GB, and the disk of mix has [\d.]+ [GM]B free/);
    expect(existsSync(work.path('mix'))).toBe(false);
  });

  test('in the middle: one line, no half file, not even the folder', async (context) => {
    if (process.platform === 'win32') context.skip('there is no ulimit here');
    layOut(work, 'full', HEARING);
    // A limit on the size of files stands in for the disk: 100 blocks of 1,024 bytes, and the reel has 1.7 MB.
    const words = [process.execPath, cli.bundle, 'handoff', 'cut.otio', '--out', 'new/mix'].map((word) => `'${word}'`).join(' ');
    const { exitCode, stdout, stderr } = await runShell(`ulimit -f 100; ${words}`);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/^afterclap: can't write new\/mix\/reels\/cam--deck\.wav: [^\n]+\n$/);
    expect(existsSync(work.path('new'))).toBe(false);
  });

  test('in the middle of replacing: the old hand-off is untouched', async (context) => {
    if (process.platform === 'win32') context.skip('there is no ulimit here');
    layOut(work, 'full again', HEARING);
    await handoff('cut.otio', '--out', 'mix');
    const before = filesIn('mix').map((path) => readFileSync(work.path(`mix/${path}`)).toString('base64'));
    const words = [process.execPath, cli.bundle, 'handoff', 'cut.otio', '--out', 'mix', '--force']
      .map((word) => `'${word}'`)
      .join(' ');
    expect((await runShell(`ulimit -f 100; ${words}`)).exitCode).toBe(2);
    expect(filesIn('mix')).toEqual(FILES);
    expect(filesIn('mix').map((path) => readFileSync(work.path(`mix/${path}`)).toString('base64'))).toEqual(before);
  });
});

describe('a folder that can not be written to', () => {
  test('is refused before the work', async (context) => {
    // Not even root may make files there.
    if (!existsSync('/sys/kernel')) context.skip('there is no /sys here');
    layOut(work, 'read-only', HEARING);
    const { exitCode, stdout, stderr } = await handoff('cut.otio', '--out', '/sys/kernel/mix');
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/^afterclap: can't write into \/sys\/kernel\/mix: (permission denied|the disk is read-only)\n$/);
  });
});

describe('media that vanish half-way', () => {
  test('cost their reel, which is told; everything else is handed over', async () => {
    // Long enough to be in the middle of it: resampling takes its time.
    layOut(work, 'vanishing', { ...HEARING, driftPpm: 60, frames: 1200 });
    const child = start('cut.otio', '--out', 'mix');
    await until(() => stagedBytes() > 200_000);
    truncateSync(work.path('deck.wav'), 400_000);
    const { exitCode, stderr } = await child.ended;
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/afterclap: No reel of cam with deck: deck\.wav ended while it was read/);
    expect(filesIn('mix')).toEqual(FILES.filter((path) => !path.startsWith('reels')));
    expect(text('mix/cut.sync-sheet.html')).toContain('ended while it was read');
  });
});

describe('a person who stops it', () => {
  test.each(['SIGINT', 'SIGTERM'] as const)('%s: exit code 2, one line, and nothing is left behind', async (signal) => {
    const { bytes } = layOut(work, 'stopped', { ...HEARING, driftPpm: 60, frames: 1200 });
    const child = start('cut.otio', '--out', 'new/mix');
    await until(() => stagedBytes('new/mix') > 200_000);
    child.kill(signal);
    const { exitCode, stdout, stderr } = await child.ended;
    expect({ exitCode, stdout, stderr }).toEqual({
      exitCode: 2,
      stdout: '',
      stderr: 'afterclap: stopped before it was done; nothing was written\n',
    });
    expect(filesIn('.')).toEqual(['cut.alignment.json', 'cut.otio', 'deck.wav']);
    expect(existsSync(work.path('new'))).toBe(false);
    expect(readFileSync(work.path('deck.wav')).equals(bytes)).toBe(true);
  });
});

/** Bytes waiting under other names. */
function stagedBytes(folder = 'mix'): number {
  return filesIn(folder)
    .filter((path) => path.startsWith('.afterclap-'))
    .reduce((sum, path) => sum + (statSync(work.path(`${folder}/${path}`), { throwIfNoEntry: false })?.size ?? 0), 0);
}

function start(...words: readonly string[]): {
  readonly kill: (signal: NodeJS.Signals) => void;
  readonly ended: Promise<Outcome>;
} {
  const child = spawn(process.execPath, [cli.bundle, 'handoff', ...words], { cwd: work.folder });
  return { kill: (signal) => child.kill(signal), ended: outcomeOf(child) };
}

function runShell(line: string): Promise<Outcome> {
  return outcomeOf(spawn('bash', ['-c', line], { cwd: work.folder }));
}

function outcomeOf(child: ReturnType<typeof spawn>): Promise<Outcome> {
  let stdout = '';
  let stderr = '';
  child.stdout?.setEncoding('utf8').on('data', (part: string) => {
    stdout += part;
  });
  child.stderr?.setEncoding('utf8').on('data', (part: string) => {
    stderr += part;
  });
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (exitCode) => resolve({ exitCode, stdout, stderr }));
  });
}

async function until(isTrue: () => boolean): Promise<void> {
  for (let turn = 0; turn < 2000; turn += 1) {
    if (isTrue()) return;
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  throw new Error('what was waited for did not happen');
}
