/**
 * `list` and `git-setup`: lines that do not depend on layout, and a diff that never breaks off.
 */

import { readFileSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { makeRepository, type Repository, slipDoorLatch } from './gitRepository.ts';
import { buildCli, type Cli, makeWorkspace } from './runCli.ts';

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

async function list(...words: string[]): Promise<string> {
  const { exitCode, stdout, stderr } = await cli.run(['list', ...words], work.folder);
  expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
  return stdout;
}

const clipLines = (text: string): readonly string[] => text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));

describe('the lines of a list', () => {
  test('hold record and source times, track, media, rate, speed, pair, lag and verdict', async () => {
    const text = await list('millrace.edl');
    expect(text.split('\n').slice(0, 2)).toEqual([
      '# edit decision list, 23.976 frames per second, starts at 01:00:00:00, 31 clips',
      '# record in\trecord out\ttrack\tmedia\tsource in\tsource out\trate\tspeed\tpair\tlag\tverdict',
    ]);
    // Line 20 of the file is one frame early; 1001/24000 s is 41.708 ms.
    expect(clipLines(text)).toContain(
      '01:00:10:00\t01:00:20:00\tA1\tDECK_0001.wav\t09:12:48:03\t09:12:58:03\t23.976\t1\tcam-a-01/deck-01\tleads 41.708 ms\tleads',
    );
    expect(text.trimEnd().split('\n').at(-1)).toBe('# note: millrace.alignment.json is used: named in afterclap.json.');
  });

  test('are one for each clip, in record order', async () => {
    const lines = clipLines(await list('millrace.otio'));
    // One event of the scenario may stand on two sound channels.
    expect(lines.length).toBe(31);
    const starts = lines.map((line) => line.split('\t')[0] ?? '');
    expect(starts).toEqual([...starts].sort());
  });

  test.each([
    ['millrace.otio', (text: string) => JSON.stringify(JSON.parse(text))],
    ['millrace.timeline.xml', (text: string) => text.replaceAll(/>\s+</g, '><')],
    ['millrace.edl', (text: string) => text.replaceAll('\n', '\r\n').replaceAll(/ {2,}/g, ' ')],
  ])('%s laid out anew gives the same ones', async (name, laidOut) => {
    const before = await list(name);
    work.write(name, laidOut(readFileSync(work.path(name), 'utf8')));
    expect(await list(name)).toBe(before);
  });

  test('show a part of a frame as a fraction, a disabled clip and a speed', async () => {
    const time = (value: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', rate: 24, value });
    const clip = {
      OTIO_SCHEMA: 'Clip.2',
      name: 'x',
      enabled: false,
      effects: [{ OTIO_SCHEMA: 'LinearTimeWarp.1', time_scalar: 0.5 }],
      source_range: { OTIO_SCHEMA: 'TimeRange.1', start_time: time(86400.25), duration: time(10) },
      media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: 'media/a.mov' } },
      active_media_reference_key: 'DEFAULT_MEDIA',
    };
    const track = { OTIO_SCHEMA: 'Track.1', name: 'V1', kind: 'Video', children: [clip] };
    work.write('part.otio', JSON.stringify({ OTIO_SCHEMA: 'Timeline.1', tracks: { OTIO_SCHEMA: 'Stack.1', children: [track] } }));
    expect(clipLines(await list('part.otio'))).toEqual([
      '00:00:00:00\t00:00:00:10\tV1\ta.mov\t01:00:00:00+1/4\t01:00:00:05+1/4\t24\t1/2\t-\t-\tdisabled',
    ]);
  });
});

describe('as a text converter of git', () => {
  test('set up by git-setup, a slip is two lines of a diff, and a new layout is none', async () => {
    const { exitCode, stdout } = await cli.run(['git-setup', '--write'], work.folder);
    expect(exitCode).toBe(0);
    expect(stdout).toContain("git config diff.afterclap.textconv '");
    const edl = readFileSync(work.path('millrace.edl'), 'utf8');
    work.write('millrace.edl', slipDoorLatch(edl).replaceAll('\n', '\r\n'));
    const changed = work
      .git('diff', 'millrace.edl')
      .split('\n')
      .filter((line) => /^[-+](?![-+])/.test(line))
      .map((line) => line.split('\t').slice(3, 4).concat(line.split('\t').slice(-2)).join(' '));
    expect(changed.sort()).toEqual([
      'CAM_A_0001.mov lags 41.708 ms in',
      'CAM_A_0001.mov leads 41.708 ms leads',
      'DECK_0001.wav lags 41.708 ms in',
      'DECK_0001.wav leads 41.708 ms leads',
    ]);
    work.write('millrace.edl', edl.replaceAll('\n', '\r\n'));
    expect(
      work
        .git('diff', 'millrace.edl')
        .split('\n')
        .filter((line) => /^[-+](?![-+])/.test(line)),
    ).toEqual([]);
  });

  test('git-setup shows first, writes only when asked, and only what is missing', async () => {
    const before = work.git('config', '--local', '--list');
    const shown = await cli.run(['git-setup'], work.folder);
    expect(shown.stdout).toContain("Nothing was written. 'afterclap git-setup --write' writes both.");
    expect(shown.stdout).toContain('  *.otio diff=afterclap\n');
    expect(work.git('config', '--local', '--list')).toBe(before);
    await cli.run(['git-setup', '--write'], work.folder);
    const attributes = readFileSync(work.path('.git/info/attributes'), 'utf8');
    await cli.run(['git-setup', '--write'], work.folder);
    expect(readFileSync(work.path('.git/info/attributes'), 'utf8')).toBe(attributes);
    expect((await cli.run(['git-setup'], work.folder)).stdout).toContain('Nothing is left to do.');
    expect(work.git('status', '--porcelain')).toBe('');
  });

  test('git-setup outside a repository says so', async () => {
    const outside = makeWorkspace('empty');
    try {
      const { exitCode, stderr } = await cli.run(['git-setup'], outside.folder);
      expect(exitCode).toBe(2);
      expect(stderr).toMatch(/^afterclap: git-setup: not a git repository[^\n]*\n$/);
    } finally {
      outside.dispose();
    }
  });

  test.each([
    ['an empty file', ''],
    ['a recording under the wrong name', Buffer.concat([Buffer.from('RIFF'), Buffer.alloc(100)])],
    ['half a JSON text', '{"OTIO_SCHEMA":"Timeline.1","tracks":{"OTIO_SCHEMA":"Stack.1","children":[{"OTIO'],
    ['no JSON at all', 'hello'],
  ])('%s gives a note and no failure', async (_title, content) => {
    work.write('broken.otio', content);
    const { exitCode, stdout } = await cli.run(['list', '--textconv', 'broken.otio'], work.folder);
    expect(exitCode).toBe(0);
    expect(stdout).toMatch(/^# note: /m);
  });

  test.each([
    ['a file that is not there', ['list', '--textconv', 'nothere.otio']],
    ['a report that is not there', ['list', '--textconv', '--alignment', 'gone.alignment.json', 'millrace.edl']],
  ])('%s gives a note and no failure', async (_title, words) => {
    const { exitCode, stdout } = await cli.run(words, work.folder);
    expect({ exitCode, isNote: stdout.startsWith('# note: ') }).toEqual({ exitCode: 0, isNote: true });
  });

  test('holds a file of any folder against the report of the folder it runs in', async () => {
    const outside = makeWorkspace('empty');
    try {
      outside.write('millrace.edl', readFileSync(work.path('millrace.edl')));
      const elsewhere = await list('--textconv', outside.path('millrace.edl'));
      expect(elsewhere).toBe(await list('--textconv', 'millrace.edl'));
      expect(elsewhere).toContain('cam-a-01/deck-01');
    } finally {
      outside.dispose();
    }
  });
});
