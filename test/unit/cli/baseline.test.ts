/**
 * `--baseline`, `--write-baseline` and `--changed-since`: an old project starts clean, new findings fail it, and nothing that was
 * left out is left unsaid.
 */

import { chmodSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { makeRepository, type Repository, slipDoorLatch } from './gitRepository.ts';
import type { Output } from './outputSchema.ts';
import { buildCli, type Cli, type Outcome } from './runCli.ts';

let cli: Cli;
let work: Repository;

beforeAll(async () => {
  cli = await buildCli();
});

afterAll(() => cli.dispose());

beforeEach(() => {
  work = makeRepository();
});

afterEach(() => work.dispose());

const check = (...words: string[]): Promise<Outcome> => cli.run(['check', ...words], work.folder);
const read = (name: string): string => readFileSync(work.path(name), 'utf8');
const slipMore = (text: string): string =>
  text.replace('09:12:48:03 09:12:58:03 01:00:10:00', '09:12:48:09 09:12:58:09 01:00:10:00');

describe('a baseline', () => {
  test('written once, lets an old project pass, and says what it left out', async () => {
    const written = await check('.', '--write-baseline', 'old.json');
    expect(written).toMatchObject({ exitCode: 0, stderr: '' });
    expect(written.stdout).toMatch(/^old\.json: 30 findings written \(27 errors, 3 warnings\)\./);
    const { exitCode, stdout } = await check('.', '--baseline', 'old.json');
    expect(exitCode).toBe(0);
    expect(stdout).toContain('  baseline   7 errors, 1 warning left out\n');
    expect(stdout.trimEnd().split('\n').at(-1)).toBe('Baseline old.json: 30 findings left out (27 errors, 3 warnings).');
  });

  test('fails what is new, and what got worse', async () => {
    await check('.', '--write-baseline', 'old.json');
    work.write('millrace.edl', slipMore(read('millrace.edl')));
    const { exitCode, stdout } = await check('millrace.edl', '--baseline', 'old.json');
    expect(exitCode).toBe(1);
    expect(stdout).toContain('millrace.edl:20:30: error sound-leads');
    expect(stdout).toContain('  findings   1 error;');
  });

  test('holds when lines move and the file is laid out anew', async () => {
    await check('.', '--write-baseline', 'old.json');
    work.write('millrace.edl', `\n\n${read('millrace.edl').replaceAll('\n', '\r\n')}`);
    work.write('millrace.otio', JSON.stringify(JSON.parse(read('millrace.otio'))));
    expect((await check('.', '--baseline', 'old.json')).exitCode).toBe(0);
  });

  test('says which of its findings no longer occur', async () => {
    await check('.', '--write-baseline', 'old.json');
    work.write('millrace.edl', slipDoorLatch(read('millrace.edl')));
    const { exitCode, stdout } = await check('.', '--baseline', 'old.json');
    expect(exitCode).toBe(0);
    expect(stdout).toContain(
      'No longer found, so the baseline can be written again without them:\n  millrace.edl: sound-leads on door, latch (deck) [DECK_0001.wav] and door, latch [CAM_A_0001.mov]\n',
    );
    const json = JSON.parse((await check('.', '--baseline', 'old.json', '--format', 'json')).stdout) as Output;
    expect(json.baseline?.gone.map(({ file, code }) => [file, code])).toEqual([['millrace.edl', 'sound-leads']]);
    expect(json.baseline?.leftOut).toBe(29);
    expect(json.files.map(({ leftOut }) => leftOut)).toEqual([7, 11, 11, 0, 0]);
  });

  test('of files that were not checked is neither gone nor lost', async () => {
    await check('.', '--write-baseline', 'old.json');
    const before = read('old.json');
    expect((await check('millrace.edl', '--baseline', 'old.json')).stdout).not.toContain('No longer found');
    await check('millrace.edl', '--write-baseline', 'old.json');
    expect(read('old.json')).toBe(before);
  });

  test('means the same from another folder', async () => {
    await check('.', '--write-baseline', 'old.json');
    mkdirSync(work.path('below'));
    const { exitCode } = await cli.run(['check', '..', '--baseline', '../old.json'], work.path('below'));
    expect(exitCode).toBe(0);
  });

  test('is a file people can review: one line for each finding, in one order', async () => {
    await check('.', '--write-baseline', 'old.json');
    const lines = read('old.json').split('\n');
    expect(lines.slice(0, 3)).toEqual(['{', '  "baseline": 1,', '  "findings": [']);
    expect(JSON.parse((lines[3] as string).replace(/,$/, ''))).toEqual({
      file: 'millrace.edl',
      code: 'sound-leads',
      clips: ['door, latch (deck) [DECK_0001.wav]', 'door, latch [CAM_A_0001.mov]'],
      lag: ['-1001/24000', '-1001/24000'],
      on: null,
      count: 1,
    });
  });

  test('is not written over something else, nor half, nor when a file could not be checked', async () => {
    const before = read('afterclap.json');
    const refused = await check('.', '--write-baseline', 'afterclap.json');
    expect(refused.exitCode).toBe(2);
    expect(read('afterclap.json')).toBe(before);
    work.write('empty.edl', '');
    const { exitCode, stderr } = await check('.', '--write-baseline', 'old.json');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('old.json was not written, since not everything could be checked');
    expect(readdirSync(work.folder)).not.toContain('old.json');
    chmodSync(work.folder, 0o555);
    const closed = await cli.runAsNobody(['check', 'millrace.edl', '--write-baseline', 'old.json'], work.folder);
    chmodSync(work.folder, 0o755);
    expect(closed.exitCode).toBe(2);
    expect(closed.stderr).toBe("afterclap: can't write old.json: permission denied\n");
    expect(readdirSync(work.folder).filter((name) => name.includes('baseline'))).toEqual([]);
  });

  test.each([
    ['{"baseline":2,"findings":[]}', 'is a baseline of version 2; this program reads version 1'],
    ['{"baseline":1,"findings":[{"code":"no-such-code"}]}', 'has a finding that is not in the form of a baseline, number 1'],
    ['{"baseline":1}', 'is no baseline'],
    ['[', 'is not valid JSON'],
  ])('that is %s is refused', async (text, message) => {
    work.write('bad.json', text);
    const { exitCode, stdout, stderr } = await check('.', '--baseline', 'bad.json');
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toContain(`bad.json ${message}`);
  });
});

describe('--changed-since', () => {
  const checked = async (...words: string[]): Promise<readonly string[]> =>
    (JSON.parse((await check('--format', 'json', '.', ...words)).stdout) as Output).files.map(({ path }) => path);

  test('limits the timelines to those git says changed; findings are those of the whole file', async () => {
    work.write('millrace.edl', read('millrace.edl').replace('TITLE: Millrace', 'TITLE: Mill race'));
    const { exitCode, stdout, stderr } = await check('.', '--changed-since', 'HEAD');
    expect(exitCode).toBe(1);
    expect(stdout).toContain('millrace.edl:112:30: ');
    expect(stdout).not.toContain('millrace.otio');
    expect(stderr).toBe(
      'afterclap: note: 1 of 3 timelines changed since HEAD, with their reports and settings; the others were not checked\n',
    );
  });

  test('takes new files, and committed ones of the branch, but not what the other branch did', async () => {
    work.git('checkout', '-q', '-b', 'edit');
    work.write('millrace.edl', slipDoorLatch(read('millrace.edl')));
    work.commitAll('on the branch');
    work.write('new.edl', read('millrace.edl'));
    work.git('checkout', '-q', 'main');
    work.write('millrace.otio', read('millrace.otio').replace('Millrace', 'Mill race'));
    work.git('add', 'millrace.otio');
    work.git('-c', 'user.name=nobody', '-c', 'user.email=nobody@example.org', 'commit', '-q', '-m', 'on main');
    work.git('checkout', '-q', 'edit');
    expect(await checked('--changed-since', 'main')).toEqual(['millrace.edl', 'new.edl']);
  });

  test('counts a timeline as changed when its report or settings changed', async () => {
    work.write('millrace.alignment.json', `${read('millrace.alignment.json')}\n`);
    expect(await checked('--changed-since', 'HEAD')).toEqual([
      'millrace.edl',
      'millrace.otio',
      'millrace.timeline.xml',
      'millrace.alignment.json',
    ]);
  });

  test('with nothing changed checks nothing, says so and passes', async () => {
    const { exitCode, stdout, stderr } = await check('.', '--changed-since', 'HEAD');
    expect({ exitCode, stdout }).toEqual({ exitCode: 0, stdout: '' });
    expect(stderr).toContain('0 of 3 timelines changed since HEAD');
  });

  test('of a revision that is none is told', async () => {
    for (const revision of ['nosuch', '--output=x']) {
      const { exitCode, stderr } = await check('.', `--changed-since=${revision}`);
      expect(exitCode).toBe(2);
      expect(stderr).toBe(`afterclap: --changed-since: git knows no revision '${revision}' here\n`);
    }
  });
});

describe('the formats of continuous integration from the command line', () => {
  test('name files from where the program runs, however they were typed', async () => {
    const paths = async (format: string, pattern: RegExp): Promise<readonly string[]> => {
      const { stdout } = await check('--format', format, work.path('millrace.edl'));
      return [...new Set([...stdout.matchAll(pattern)].map(([, path]) => path ?? ''))];
    };
    expect(await paths('github', /file=([^,]*)/g)).toEqual(['millrace.edl']);
    expect(await paths('gitlab', /"path": "([^"]*)"/g)).toEqual(['millrace.edl']);
    expect(await paths('junit', /classname="([^"]*)"/g)).toEqual(['millrace.edl']);
    expect(await paths('sarif', /"uri": "([^"]*)"/g)).toEqual(['millrace.edl', 'millrace.alignment.json']);
  });

  test('are whole documents also when a file could not be checked, with exit code 2', async () => {
    for (const format of ['sarif', 'gitlab', 'junit', 'github']) {
      const { exitCode, stdout } = await check('--format', format, 'nothere.edl');
      expect(exitCode, format).toBe(2);
      if (format === 'sarif' || format === 'gitlab') expect(() => JSON.parse(stdout) as unknown).not.toThrow();
      if (format === 'sarif') expect(stdout).toContain('"executionSuccessful": false');
      if (format === 'junit') expect(stdout).toContain('<error type="not-checked"');
    }
  });
});
