/**
 * `afterclap measure` from outside: exit codes, streams, the report, what exists already, and recordings that are broken.
 */

import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { buildCli, type Cli, makeWorkspace, type Outcome, type Workspace } from '../cli/runCli.ts';
import { dataChunk, encodeSamples, formatChunk, waveFile } from '../sound/waveBytes.ts';
import { hearScene, inventScene, SAMPLE_RATE, waveOf } from './recordings.ts';

let cli: Cli;
let work: Workspace;

const SCENE = inventScene('command', 12, [2.5]);
const DECK = waveOf(SCENE.samples, { timeReference: 48000 * 3600 });
const CAMERA = waveOf(hearScene(SCENE, { offset: 1.25 * SAMPLE_RATE, driftPpm: 0, seconds: 8 }), { kind: 's16' });
const STRANGER = waveOf(inventScene('elsewhere', 8, []).samples);
const OUT = 'day1.alignment.json';

beforeAll(async () => {
  cli = await buildCli();
});
afterAll(() => cli.dispose());

beforeEach(() => {
  work = makeWorkspace('empty');
  work.write('DECK.wav', DECK);
  work.write('cam.wav', CAMERA);
});
afterEach(() => work.dispose());

function measure(...words: string[]): Promise<Outcome> {
  return cli.run(['measure', ...words], work.folder);
}

const BOTH = ['DECK.wav', '--picture', 'cam.wav', '--rate', '25'];

/** Names in the workspace besides the recordings. */
function written(): readonly string[] {
  return readdirSync(work.folder).filter((name) => !/\.(wav|csv)$/.test(name));
}

describe('exit codes', () => {
  test('0 when everything found its partner, and the tables on standard output only', async () => {
    const { exitCode, stdout, stderr } = await measure(...BOTH);
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    for (const words of [
      'Sounds',
      'clap 1',
      '0:02.5',
      'score',
      'Pictures',
      'Pairs',
      'cam.wav with DECK.wav',
      'how sure',
      'the sound began 1.25 s before the picture',
    ]) {
      expect(stdout).toContain(words);
    }
    expect(written()).toEqual([]);
  });

  test('1 when a picture has no match; what was tried is told', async () => {
    work.write('stranger.wav', STRANGER);
    const { exitCode, stdout } = await measure(...BOTH, '--picture', 'stranger.wav');
    expect(exitCode).toBe(1);
    expect(stdout).toContain('stranger.wav: error');
    expect(stdout).toContain('No match. DECK.wav:');
  });

  test('0 for what lies below --fail-on, 1 from there on', async () => {
    work.write('wild.wav', STRANGER);
    expect((await measure(...BOTH, 'wild.wav')).exitCode).toBe(0);
    expect((await measure(...BOTH, 'wild.wav', '--fail-on', 'information')).exitCode).toBe(1);
  });

  test('2 when a file can not be read; the others are measured', async () => {
    work.write('letter.wav', 'Dear editor, the sound is in the other envelope.');
    const { exitCode, stdout, stderr } = await measure(...BOTH, 'letter.wav');
    expect(exitCode).toBe(2);
    expect(stdout).toContain('cam.wav with DECK.wav');
    expect(stderr).toBe('afterclap: letter.wav: This is not a WAV file: it does not begin with RIFF, RF64 or BW64 and WAVE.\n');
  });
});

describe('what is written wrong gets one line on standard error and exit code 2', () => {
  test.each([
    [[], 'needs recordings'],
    [['nothere.wav'], "can't read nothere.wav: there is no such file or folder"],
    [['DECK.wav', '--merge'], '--merge needs --out'],
    [['DECK.wav', '--out', 'day1.json'], 'the name of a report ends in .alignment.json'],
    [['DECK.wav', '--out', 'DECK.wav', '--force'], 'the name of a report ends in .alignment.json'],
    [['DECK.wav', '--out', OUT, '--merge', '--force'], 'exclude each other'],
    [['DECK.wav', '--out', `gone/${OUT}`], "can't write"],
    [['DECK.wav', '--rate', 'fast'], '--rate fast is no frame rate'],
    [['DECK.wav', '--rate', '48000'], '--rate 48000 is no frame rate'],
    [['DECK.wav', '--microphone-distance', '6'], 'expected a number with its unit'],
    [['DECK.wav', '--microphone-distance', '6km'], 'expected a number with its unit'],
    [['DECK.wav', '--microphone-distance', '6000m'], 'farther than 1000 m'],
    [['DECK.wav', '--format', 'sarif'], "'sarif' is no output format"],
    [['DECK.wav', '--merg'], "did you mean '--merge'?"],
  ])('%j', async (words, expected) => {
    const { exitCode, stdout, stderr } = await measure(...words);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/^afterclap: [^\n]+\n$/);
    expect(stderr).toContain(expected);
    expect(written()).toEqual([]);
  });

  test.each([
    ['notes.txt', 'is neither WAV nor a camera file by its name'],
    ['claps.csv', '--clap-log claps.csv'],
    ['take.flac', 'is not WAV'],
  ])('%s beside recordings', async (name, expected) => {
    work.write(name, 'something');
    const { exitCode, stderr } = await measure('DECK.wav', name);
    expect(exitCode).toBe(2);
    expect(stderr).toContain(expected);
  });
});

describe('the report', () => {
  test('is written, can be read, and says what was measured', async () => {
    const { exitCode, stdout } = await measure(...BOTH, '--out', OUT);
    expect(exitCode).toBe(0);
    expect(stdout).toContain(`Written: ${OUT}`);
    const report = readReport(OUT, readFileSync(work.path(OUT), 'utf8'));
    expect(report.problems).toEqual([]);
    expect(report.pairs.map(({ picture, sound, by }) => [picture.key, sound.key, by])).toEqual([['cam', 'deck', 'waveform']]);
    expect(written()).toEqual([OUT]);
  });

  test('is the same, byte for byte, when measured again', async () => {
    await measure(...BOTH, '--out', OUT);
    const first = readFileSync(work.path(OUT));
    await measure(...BOTH, '--out', OUT, '--force');
    expect(readFileSync(work.path(OUT)).equals(first)).toBe(true);
  });

  test('that exists is refused before anything is heard', async () => {
    work.write(OUT, '{}');
    const { exitCode, stdout, stderr } = await measure(...BOTH, '--out', OUT);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toContain(`${OUT} exists; give --merge`);
    expect(readFileSync(work.path(OUT), 'utf8')).toBe('{}');
  });

  test('that exists takes the pair with --merge, and keeps what a person wrote', async () => {
    const mine = `{ "alignment": 1, "by hand": true,\n  "pictures": { "A": { "names": ["cam.wav"], "rate": 25 } },\n  "sounds": {},\n  "pairs": [] }\n`;
    work.write(OUT, mine);
    expect((await measure(...BOTH, '--out', OUT, '--merge')).exitCode).toBe(0);
    const text = readFileSync(work.path(OUT), 'utf8');
    expect(text).toContain('"by hand": true');
    expect(readReport(OUT, text).pairs.map(({ picture, sound }) => [picture.key, sound.key])).toEqual([['A', 'deck']]);
  });

  test('that is missing is made with --merge', async () => {
    expect((await measure(...BOTH, '--out', OUT, '--merge')).exitCode).toBe(0);
    expect(written()).toEqual([OUT]);
  });

  test('with errors is left alone, and what was measured is printed all the same', async () => {
    work.write(OUT, '{ "alignment": 1, "pictures": {} "sounds": {}, "pairs": [] }');
    const { exitCode, stdout, stderr } = await measure(...BOTH, '--out', OUT, '--merge');
    expect(exitCode).toBe(2);
    expect(stdout).toContain('cam.wav with DECK.wav');
    expect(stderr).toContain(`${OUT} has errors`);
    expect(readFileSync(work.path(OUT), 'utf8')).toContain('"pictures": {} "sounds"');
  });

  test('that contradicts a file makes exit code 1, told on the file', async () => {
    work.write(OUT, '{ "alignment": 1, "pictures": { "A": { "names": ["cam.wav"], "rate": 24 } }, "sounds": {}, "pairs": [] }');
    const { exitCode, stdout } = await measure(...BOTH, '--out', OUT, '--merge');
    expect(exitCode).toBe(1);
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain('the report says 24 frames per second, the file 25');
  });

  test('is neither made nor emptied when nothing could be measured', async () => {
    work.write('hollow.wav', new Uint8Array(0));
    const alone = await measure('hollow.wav', '--out', OUT);
    expect(alone.exitCode).toBe(2);
    expect(alone.stderr).toContain(`nothing could be measured, so ${OUT} was not written`);
    expect(written()).toEqual([]);
    const standing = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [], "note": "mine" }';
    work.write(OUT, standing);
    expect((await measure('hollow.wav', '--out', OUT, '--force')).stderr).toContain(`so ${OUT} was not touched`);
    expect(readFileSync(work.path(OUT), 'utf8')).toBe(standing);
  });

  test('never takes the place of a recording, however it is named', async () => {
    symlinkSync('DECK.wav', work.path(OUT));
    const { exitCode, stderr } = await measure(...BOTH, '--out', OUT, '--force');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('is no alignment report');
    expect(readFileSync(work.path('DECK.wav')).equals(DECK)).toBe(true);
  });

  test('in a folder that can not be written to is refused before anything is heard', async (context) => {
    // Not even root may make files there.
    if (!existsSync('/sys/kernel')) context.skip('there is no /sys here');
    const { exitCode, stdout, stderr } = await measure(...BOTH, '--out', `/sys/kernel/${OUT}`);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/can't write .*: (permission denied|the disk is read-only)/);
  });
});

describe('a disk that takes no more', () => {
  test('leaves no half file, and what was measured is printed', async (context) => {
    if (process.platform === 'win32') context.skip('there is no ulimit here');
    // A limit of one block on the size of files stands in for the disk; the report is longer.
    for (let number = 0; number < 12; number += 1) work.write(`DECK_with_a_long_name_${number}.wav`, STRANGER);
    const words = [process.execPath, cli.bundle, 'measure', '.', '--out', OUT].map((word) => `'${word}'`).join(' ');
    const { exitCode, stdout, stderr } = await runShell(`ulimit -f 1; ${words}`);
    expect(exitCode).toBe(2);
    expect(stdout).toContain('Sounds');
    expect(stderr).toContain(`can't write ${OUT}`);
    expect(written()).toEqual([]);
  });
});

describe('a person who stops it', () => {
  test('gets exit code 2 and one line, and nothing is left behind', async () => {
    // Long enough to be in the middle of it when the signal comes.
    for (let number = 0; number < 30; number += 1) work.write(`cam${number}.wav`, CAMERA);
    const pictures = Array.from({ length: 30 }, (_, number) => ['--picture', `cam${number}.wav`]).flat();
    const child = spawn(process.execPath, [cli.bundle, 'measure', 'DECK.wav', ...pictures, '--rate', '25', '--out', OUT], {
      cwd: work.folder,
    });
    let stderr = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text;
    });
    const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
    await new Promise((resolve) => setTimeout(resolve, 1500));
    child.kill('SIGINT');
    expect(await ended).toBe(2);
    expect(stderr).toBe('afterclap: stopped before it was done; nothing was written\n');
    expect(written()).toEqual([]);
  });
});

describe('recordings that are broken', () => {
  const format = formatChunk();
  const truth = encodeSamples('s24', SCENE.samples);
  const nan = Float32Array.from(SCENE.samples).fill(Number.NaN, 0, 4800);

  test.each([
    ['0 bytes', new Uint8Array(0), 2, 'The file is empty (0 bytes)'],
    ['no samples', waveFile([format, dataChunk(new Uint8Array(0))]), 1, 'The file holds no samples'],
    ['silence', waveOf(new Float64Array(48000)), 1, 'The recording is silent'],
    [
      'a header that promises more',
      waveFile([format, dataChunk(truth, 900_000_000)]),
      0,
      'cut short, and was read as far as it goes',
    ],
    ['a header that gives no format', waveFile([dataChunk(truth)]), 2, 'no usable fmt chunk'],
    ['a sample rate of 0', waveFile([formatChunk({ sampleRate: 0 }), dataChunk(truth)]), 2, 'sample rate of 0 Hz'],
    ['a sample rate of 100', waveFile([formatChunk({ sampleRate: 100 }), dataChunk(truth)]), 2, 'too few for sound'],
    ['samples that are no numbers', waveOf(nan, { kind: 'f32' }), 0, '4800 samples are not numbers'],
  ])('%s', async (_title, bytes, exitCode, expected) => {
    work.write('broken.wav', bytes);
    const outcome = await measure('broken.wav', '--out', OUT);
    expect(outcome.exitCode).toBe(exitCode);
    expect(`${outcome.stdout}${outcome.stderr}`.replaceAll(/\s+/g, ' ')).toContain(expected);
    expect(outcome.stderr).not.toContain('bug');
    if (existsSync(work.path(OUT))) expect(readReport(OUT, readFileSync(work.path(OUT), 'utf8')).problems).toEqual([]);
  });

  test('stay as they are, to the byte', async () => {
    await measure(...BOTH, '--out', OUT, '--plots', 'plots');
    expect(readFileSync(work.path('DECK.wav')).equals(DECK)).toBe(true);
    expect(readFileSync(work.path('cam.wav')).equals(CAMERA)).toBe(true);
  });
});

describe('folders', () => {
  test('are searched for recordings; hidden files are passed over', async () => {
    mkdirSync(work.path('day1'));
    work.write('day1/b.wav', DECK);
    work.write('day1/a.WAV', DECK);
    work.write('day1/._a.wav', 'left by a file system');
    work.write('day1/notes.txt', 'x');
    const { stdout, stderr } = await measure('day1');
    expect(stdout.match(/^ {2}\S+\.wav/gim)).toEqual(['  a.WAV', '  b.wav']);
    expect(stderr).toBe('');
  });

  test('with nothing in them are told', async () => {
    mkdirSync(work.path('empty'));
    const { exitCode, stderr } = await measure('empty');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('empty holds no recording');
  });

  test('give a file its role by its name, and --picture gives it another', async () => {
    const { stdout } = await measure('.', '--picture', 'cam.wav', '--rate', '25');
    expect(stdout).toContain('cam.wav with DECK.wav');
    expect((await measure('cam.wav', '--picture', 'cam.wav', '--sound', 'cam.wav')).stderr).toContain('as picture and as sound');
  });
});

describe('plots', () => {
  test('are drawn one for each pair, and drawn again over themselves', async () => {
    for (let run = 0; run < 2; run += 1) {
      expect((await measure(...BOTH, '--plots', 'plots/day1')).exitCode).toBe(0);
      expect(readdirSync(work.path('plots/day1'))).toEqual(['cam--deck.svg']);
    }
    expect(readFileSync(work.path('plots/day1/cam--deck.svg'), 'utf8')).toContain('cam.wav with DECK.wav');
  });

  test('never take the place of a drawing somebody made', async () => {
    mkdirSync(work.path('plots'));
    work.write('plots/cam--deck.svg', '<svg/>');
    const { exitCode, stderr } = await measure(...BOTH, '--plots', 'plots');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('is no plot of this program');
    expect(readFileSync(work.path('plots/cam--deck.svg'), 'utf8')).toBe('<svg/>');
  });
});

function runShell(line: string): Promise<Outcome> {
  return new Promise((resolve, reject) => {
    const child = spawn('bash', ['-c', line], { cwd: work.folder });
    let stdout = '';
    let stderr = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      stdout += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text;
    });
    child.on('error', reject);
    child.on('close', (exitCode) => resolve({ exitCode, stdout, stderr }));
  });
}
