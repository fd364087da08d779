/**
 * `afterclap handoff --verify DIR` at the other end: what is missing, changed, or was not there.
 */

import { appendFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { readManifest, renderManifest } from '../../../server/src/core/handoff/manifest.ts';
import { buildCli, type Cli, makeWorkspace, type Outcome, type Workspace } from '../cli/runCli.ts';
import { layOut } from './shoot.ts';

let cli: Cli;
let made: Workspace;
let work: Workspace;
beforeAll(async () => {
  cli = await buildCli();
  made = makeWorkspace('empty');
  layOut(made, 'to be verified', { offset: 10_000, driftPpm: 0, frames: 120 });
});
afterAll(() => {
  cli.dispose();
  made.dispose();
});
beforeEach(async () => {
  work = made;
  rmSync(work.path('mix'), { recursive: true, force: true });
  expect((await cli.run(['handoff', 'cut.otio', '--out', 'mix'], work.folder)).exitCode).toBe(0);
});

function verify(): Promise<Outcome> {
  return cli.run(['handoff', '--verify', 'mix'], work.folder);
}

describe('a hand-off', () => {
  test('that is as it was made', async () => {
    const { exitCode, stdout, stderr } = await verify();
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    expect(stdout).toMatch(/^mix: 4 files, [\d.]+ MB, all as handed over\.\n$/);
  });

  test('that lost a file', async () => {
    rmSync(work.path('mix/reels/cam--deck.wav'));
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(1);
    expect(stdout).toContain('missing  reels/cam--deck.wav\n');
    expect(stdout).toContain('mix: 3 of 4 files as handed over, 0 changed, 1 missing.');
  });

  test('of which one bit of one sample changed', async () => {
    const path = work.path('mix/reels/cam--deck.wav');
    const bytes = readFileSync(path);
    const at = bytes.length - 1000;
    bytes[at] = (bytes[at] as number) ^ 1;
    writeFileSync(path, bytes);
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(1);
    expect(stdout).toContain('changed  reels/cam--deck.wav has the same size, but other bytes');
  });

  test('of which a file was cut short', async () => {
    const path = work.path('mix/pull-list.csv');
    const bytes = readFileSync(path);
    writeFileSync(path, bytes.subarray(0, 10));
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(1);
    expect(stdout).toContain(`changed  pull-list.csv has 10 bytes instead of ${bytes.length}`);
  });

  test('to which a file was added', async () => {
    mkdirSync(work.path('mix/more'));
    work.write('mix/more/take.wav', 'x');
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(1);
    expect(stdout).toContain('extra    more/take.wav is not in the manifest');
    expect(stdout).toContain('all as handed over; 1 more that was not.');
  });

  test('in which a system left a hidden file: told, and no fault', async () => {
    work.write('mix/.left-behind', 'x');
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(0);
    expect(stdout).toContain('hidden   .left-behind is not in the manifest');
  });

  test('in which a folder took the place of a file', async () => {
    rmSync(work.path('mix/pull-list.csv'));
    mkdirSync(work.path('mix/pull-list.csv'));
    const { exitCode, stdout } = await verify();
    expect(exitCode).toBe(1);
    expect(stdout).toContain('changed  pull-list.csv is no file any more');
  });
});

describe('a manifest', () => {
  test.each([
    ['{', 'is no JSON'],
    ['[]', 'is no JSON object'],
    ['{"name":"web"}', 'no member "handoff"'],
    ['{"handoff":9,"files":[]}', 'of version 9'],
    ['{"handoff":1}', 'has no list "files"'],
    ['{"handoff":1,"files":[{"path":"../secret","size":1,"sha256":""}]}', 'which is not inside the folder'],
    ['{"handoff":1,"files":[{"path":"/etc/hosts","size":1,"sha256":""}]}', 'which is not inside the folder'],
    ['{"handoff":1,"files":[{"path":"C:/x","size":1,"sha256":""}]}', 'which is not inside the folder'],
    ['{"handoff":1,"files":[{"path":"a\\\\b","size":1,"sha256":""}]}', 'which is not inside the folder'],
    ['{"handoff":1,"files":[{"path":"a","size":-1,"sha256":""}]}', 'has no usable "size"'],
    ['{"handoff":1,"files":[{"path":"a","size":1,"sha256":"abc"}]}', 'has no usable "sha256"'],
    ['{"handoff":1,"files":[3]}', 'Entry 1 of "files" is no object'],
  ])('%s is refused in one line', async (text, expected) => {
    work.write('mix/manifest.json', text);
    const { exitCode, stdout, stderr } = await verify();
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(/^afterclap: mix\/manifest\.json: [^\n]+\n$/);
    expect(stderr).toContain(expected);
  });

  test('that somebody saved with a byte order mark is read', async () => {
    work.write('mix/manifest.json', `\ufeff${readFileSync(work.path('mix/manifest.json'), 'utf8')}`);
    expect((await verify()).exitCode).toBe(0);
  });

  test('that is damaged is told', async () => {
    appendFileSync(work.path('mix/manifest.json'), 'x');
    expect((await verify()).stderr).toContain('is no JSON');
  });

  test('is read again as it was written', () => {
    const file = { path: 'reels/a.wav', kind: 'sync-reel' as const, size: 5, sha256: 'ab'.repeat(32), timelines: ['cut.otio'] };
    const text = renderManifest({ made: '', by: '', command: [], timelines: [], recordings: [], files: [file], missing: ['x.'] });
    expect(readManifest(text)).toEqual({ ok: true, files: [{ path: file.path, size: 5, sha256: file.sha256 }], missing: ['x.'] });
  });
});
