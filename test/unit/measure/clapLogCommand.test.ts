/**
 * `afterclap measure --clap-log` from outside, and the form of `--format json`.
 */

import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { buildCli, type Cli, makeWorkspace, type Outcome, type Workspace } from '../cli/runCli.ts';
import { measureOutputSchema } from './measureOutputSchema.ts';
import { hearScene, inventScene, SAMPLE_RATE, waveOf } from './recordings.ts';

let cli: Cli;
let work: Workspace;

const SCENE = inventScene('log command', 9, [2.5, 5.5]);
const DECK = waveOf(SCENE.samples, { timeReference: 2 ** 32 + 7 });
const CAMERA = waveOf(hearScene(SCENE, { offset: SAMPLE_RATE / 2, driftPpm: 0, seconds: 7, isInverted: true }), { kind: 's16' });

beforeAll(async () => {
  cli = await buildCli();
});
afterAll(() => cli.dispose());
beforeEach(() => {
  work = makeWorkspace('empty');
  work.write('DECK.wav', DECK);
  work.write('cam_b.wav', CAMERA);
});
afterEach(() => work.dispose());

function measure(log: string | Uint8Array, ...words: string[]): Promise<Outcome> {
  work.write('claps.csv', log);
  return cli.run(['measure', '--clap-log', 'claps.csv', ...words], work.folder);
}

test('pictures that only the log names need no files and no programs', async () => {
  const { exitCode, stdout, stderr } = await measure(
    'picture,rate,clap frame\nA,25,40\nB,25,90\n',
    'DECK.wav',
    '--out',
    'day1.alignment.json',
  );
  expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
  expect(stdout).toContain('known from the clap log only');
  expect(stdout.replaceAll(/\s+/g, ' ')).toContain('sound can lag by up to 40 ms, and not lead');
  const report = readReport('r', readFileSync(work.path('day1.alignment.json'), 'utf8'));
  expect(report.problems).toEqual([]);
  expect(report.pairs.map(({ picture, by, clap }) => [picture.key, by, clap])).toEqual([
    ['a', 'clap', 1],
    ['b', 'clap', 2],
  ]);
});

test('without an order that decides, nothing is chosen: exit code 1', async () => {
  const { exitCode, stdout } = await measure('picture,rate,clap frame\nA,25,40\n', 'DECK.wav');
  expect(exitCode).toBe(1);
  expect(stdout).toContain('claps.csv, line 2: error');
  expect(stdout).toContain('Ambiguous');
});

test('a WAV that the log names is a picture, in a folder too', async () => {
  const { exitCode, stdout } = await measure('picture,rate,clap frame\ncam_b,25,50\n', '.');
  expect(stdout).toContain('cam_b.wav with DECK.wav');
  expect(exitCode).toBe(0);
});

test.each([
  ['nothere.csv', "can't read nothere.csv"],
  ['.', 'is a folder'],
  ['DECK.wav', '--clap-log DECK.wav holds no text, but binary data'],
])('a log that can not be read, %s, ends it at once', async (name, expected) => {
  const { exitCode, stdout, stderr } = await cli.run(['measure', 'DECK.wav', '--clap-log', name], work.folder);
  expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
  expect(stderr).toContain(expected);
});

test('a log with a wrong header is told with its line, and the sounds are measured', async () => {
  const { exitCode, stdout, stderr } = await measure('camera;fps\nA;25\n', 'DECK.wav');
  expect(exitCode).toBe(2);
  expect(stdout).toContain('clap 2');
  expect(stderr).toMatch(/^afterclap: claps\.csv, line 1: .*"clap frame" or "timecode"/);
});

test('a log as spreadsheets of several countries save it', async () => {
  const text = '\ufeffPicture;Rate;Clap Frame;Clap Number\r\n"A";23,976;40;1\r\nÜbersicht;25;90;2\r\n';
  for (const bytes of [Buffer.from(text, 'utf8'), Buffer.from(text, 'utf16le'), Buffer.from(text.slice(1), 'latin1')]) {
    const { exitCode, stdout } = await measure(bytes, 'DECK.wav', '--format', 'json');
    expect(exitCode).toBe(0);
    const { pictures } = JSON.parse(stdout) as { pictures: readonly { name: string; rate: string }[] };
    expect(pictures.map(({ name, rate }) => [name, rate])).toEqual([
      ['A', '24000/1001'],
      ['Übersicht', '25'],
    ]);
  }
});

describe('--format json', () => {
  const validate = new Ajv({ allErrors: true }).compile(measureOutputSchema);

  test.each([
    ['claps of a sound', 'picture,rate,clap frame\nA,25,40\nB,24,90\n', ['DECK.wav']],
    ['a match by waveform', 'picture,rate,clap frame\ncam_b,25,50\n', ['.', '--microphone-distance', '2m']],
    [
      'what is left over and what fails',
      'picture,rate,clap frame,sound\nA,25,40,GONE.wav\n',
      ['.', 'nothere.wav', '--out', 'x.alignment.json'],
    ],
  ])('has its form for %s', async (_title, log, words) => {
    const { stdout } = await measure(log, ...words, '--format', 'json');
    validate(JSON.parse(stdout));
    expect(validate.errors).toBeNull();
  });

  test('is one object on standard output, exact, and says where the report is', async () => {
    const { stdout } = await measure(
      'picture,rate,clap frame\ncam_b,25,50\n',
      '.',
      '--format',
      'json',
      '--out',
      'x.alignment.json',
    );
    const output = JSON.parse(stdout) as { report: string; sounds: readonly object[]; pairs: readonly object[] };
    expect(output.report).toBe('x.alignment.json');
    expect(output.sounds[0]).toMatchObject({ key: 'deck', startSample: String(2 ** 32 + 7), samples: String(9 * SAMPLE_RATE) });
    expect(output.pairs[0]).toMatchObject({ picture: 'cam_b', sound: 'deck', polarity: 'inverted', by: 'waveform' });
    const none = await measure('picture,rate,clap frame\ncam_b,25,50\n', '.', '--format', 'json');
    expect(JSON.parse(none.stdout)).toMatchObject({ version: 1, report: null });
  });
});
