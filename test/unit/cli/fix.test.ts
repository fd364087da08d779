/**
 * `--fix`: only the characters of the fixes change, only safe ones are made, a second run changes nothing, and nothing is lost.
 */

import { chmodSync, lstatSync, readdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { buildCli, type Cli, makeWorkspace, type Workspace } from './runCli.ts';

let cli: Cli;
let work: Workspace;

beforeAll(async () => {
  cli = await buildCli();
});

afterAll(() => cli.dispose());

beforeEach(() => {
  work = makeWorkspace('samples');
});

afterEach(() => work.dispose());

const read = (name: string): string => readFileSync(work.path(name), 'latin1');

/** Lines that differ, as [before, after]; fixes never add or take away lines. */
function changedLines(before: string, after: string): readonly (readonly [string, string])[] {
  const old = before.split('\n');
  const changed = after.split('\n');
  expect(changed.length).toBe(old.length);
  return old.flatMap((line, index) => (line === changed[index] ? [] : [[line.trim(), (changed[index] ?? '').trim()] as const]));
}

describe('what is written', () => {
  test('in an edit decision list: the source times of the clips that were out, nothing else', async () => {
    const before = read('millrace.edl');
    await cli.run(['check', '--fix', 'millrace.edl'], work.folder);
    expect(changedLines(before, read('millrace.edl'))).toEqual([
      [
        '005  DECK0001 A     C        09:12:48:03 09:12:58:03 01:00:10:00 01:00:20:00',
        '005  DECK0001 A     C        09:12:48:02 09:12:58:02 01:00:10:00 01:00:20:00',
      ],
      [
        '007  DECK0001 AA    C        09:13:04:15 09:13:14:15 01:00:20:00 01:00:30:00',
        '007  DECK0001 AA    C        09:13:04:18 09:13:14:18 01:00:20:00 01:00:30:00',
      ],
      [
        '009  DECK0001 A     C        09:12:49:16 09:12:59:16 01:00:30:00 01:00:40:00',
        '009  DECK0001 A     C        09:12:59:04 09:13:09:04 01:00:30:00 01:00:40:00',
      ],
      [
        '024  DECK0006 A     C        11:48:31:05 11:49:12:21 01:19:52:12 01:20:34:04',
        '024  DECK0006 A     C        11:48:31:03 11:49:12:19 01:19:52:12 01:20:34:04',
      ],
      [
        '026  DECK0007 A     C        12:07:13:16 12:07:55:08 01:20:34:04 01:21:15:20',
        '026  DECK0007 A     C        12:07:13:18 12:07:55:10 01:20:34:04 01:21:15:20',
      ],
      [
        '028  DECK0003 A     C        10:09:03:21 10:09:13:21 01:21:15:20 01:21:25:20',
        '028  DECK0003 A     C        10:08:27:18 10:08:37:18 01:21:15:20 01:21:25:20',
      ],
    ]);
  });

  test.each(['millrace.otio', 'millrace.timeline.xml'])(
    'in %s: five numbers, two of them the channels of one clip',
    async (name) => {
      const before = read(name);
      await cli.run(['check', '--fix', name], work.folder);
      const changed = changedLines(before, read(name));
      expect(changed.length).toBe(5);
      for (const [old, now] of changed) expect(now.replace(/\d+/g, '#')).toBe(old.replace(/\d+/g, '#'));
    },
  );

  test('is told, with a word of caution, and what is left is reported', async () => {
    const { exitCode, stdout } = await cli.run(['check', '--fix', 'millrace.edl'], work.folder);
    expect(exitCode).toBe(1);
    expect(stdout).toContain("fixed Slip 'door, latch (deck)' to be heard 1 frame at 23.976 (41.7 ms) later");
    expect(stdout).toContain('Written into the file. Keep the version from before, and check the cut by eye and ear.');
    expect(stdout).not.toContain('error sound-leads');
    expect(stdout).toContain('error sound-drifts');
    expect(stdout).toContain('findings   1 error, 1 warning; none fixable with --fix');
  });

  test('with --format json is told on standard error, so that the output stays one object', async () => {
    const { stdout, stderr } = await cli.run(['check', '--fix', '--format', 'json', 'millrace.edl'], work.folder);
    expect(stderr).toBe(
      'afterclap: note: millrace.edl: 6 fixes written; keep the version from before, and check the cut by eye and ear\n',
    );
    expect(() => JSON.parse(stdout)).not.toThrow();
  });
});

describe('what is not written', () => {
  test('anything, on a second run', async () => {
    await cli.run(['check', '--fix', '.'], work.folder);
    const names = ['millrace.edl', 'millrace.otio', 'millrace.timeline.xml'];
    const before = names.map((name) => ({ text: read(name), inode: statSync(work.path(name)).ino }));
    const { stdout } = await cli.run(['check', '--fix', '.'], work.folder);
    expect(names.map((name) => ({ text: read(name), inode: statSync(work.path(name)).ino }))).toEqual(before);
    expect(stdout).not.toContain('Written into the file');
  });

  test('reports and settings', async () => {
    const before = [read('millrace.alignment.json'), read('afterclap.json')];
    await cli.run(['check', '--fix', '.'], work.folder);
    expect([read('millrace.alignment.json'), read('afterclap.json')]).toEqual(before);
  });

  test('anything beside the file: no temporary file stays', async () => {
    const before = readdirSync(work.folder);
    await cli.run(['check', '--fix', '.'], work.folder);
    expect(readdirSync(work.folder)).toEqual(before);
  });

  test('a write-protected file; it is reported as it is, with exit code 2', async () => {
    const before = read('millrace.edl');
    chmodSync(work.path('millrace.edl'), 0o444);
    const { exitCode, stdout, stderr } = await cli.run(['check', '--fix', 'millrace.edl'], work.folder);
    expect(exitCode).toBe(2);
    expect(stderr).toBe('afterclap: millrace.edl is write-protected, so it was not fixed\n');
    expect(stdout).toContain('error sound-leads');
    expect(read('millrace.edl')).toBe(before);
  });
});

describe('what is kept', () => {
  test('the mode of the file', async () => {
    chmodSync(work.path('millrace.edl'), 0o640);
    await cli.run(['check', '--fix', 'millrace.edl'], work.folder);
    expect(statSync(work.path('millrace.edl')).mode & 0o777).toBe(0o640);
  });

  test('a link, whose target is written', async () => {
    symlinkSync('millrace.edl', work.path('latest.edl'));
    await cli.run(['check', '--fix', 'latest.edl'], work.folder);
    expect(lstatSync(work.path('latest.edl')).isSymbolicLink()).toBe(true);
    expect(read('millrace.edl')).toContain('09:12:48:02');
  });

  // Carriage returns, bytes that are not UTF-8, an end-of-file mark with padding: what old lists really hold.
  test('line ends, single bytes of Windows-1252 and what stands after the end mark', async () => {
    const odd = `${read('millrace.edl').replaceAll('\n', '\r\n').replace('bell hangs', 'bell of M\xfchlbach hangs')}\r\n\x1a\x1a\x1a`;
    work.write('odd.edl', Buffer.from(odd, 'latin1'));
    const { stderr } = await cli.run(['check', '--fix', 'odd.edl'], work.folder);
    expect(stderr).toContain('read as Windows-1252');
    const fixed = read('odd.edl');
    expect(changedLines(odd, fixed).length).toBe(6);
    expect(fixed).toContain('M\xfchlbach');
    expect(fixed.endsWith('\r\n\x1a\x1a\x1a')).toBe(true);
  });

  test('a byte order mark and characters of more than one byte before the fix', async () => {
    const text = `\ufeff${readFileSync(work.path('millrace.otio'), 'utf8').replaceAll('door, ', '扉🎬 ')}`;
    work.write('wide.otio', text);
    await cli.run(['check', '--fix', 'wide.otio'], work.folder);
    const fixed = readFileSync(work.path('wide.otio'), 'utf8');
    expect(fixed.startsWith('\ufeff')).toBe(true);
    expect(changedLines(text, fixed).length).toBe(5);
  });

  test('the two bytes a character of UTF-16', async () => {
    const text = readFileSync(work.path('millrace.timeline.xml'), 'utf8').replace('encoding="UTF-8"', 'encoding="UTF-16"');
    work.write('wide.timeline.xml', Buffer.from(`\ufeff${text}`, 'utf16le'));
    await cli.run(['check', '--fix', 'wide.timeline.xml'], work.folder);
    const fixed = readFileSync(work.path('wide.timeline.xml')).toString('utf16le');
    expect(changedLines(`\ufeff${text}`, fixed).length).toBe(5);
  });
});
