/**
 * `compare` from outside: what is said, in three formats, between files and against git; exit codes.
 */

import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { makeRepository, type Repository, slipDoorLatch } from './gitRepository.ts';
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

const compare = (...words: string[]): Promise<Outcome> => cli.run(['compare', ...words], work.folder);
const read = (name: string): string => readFileSync(work.path(name), 'utf8');

interface Json {
  readonly sync: readonly {
    readonly by: string;
    readonly lag: { readonly before: string; readonly after: string };
    readonly verdict: { readonly before: string; readonly after: string };
    readonly soundClip: { readonly name: string; readonly range: { readonly start: { readonly line: number } } };
  }[];
  readonly findings: {
    readonly appeared: readonly { readonly code: string; readonly before: object | null }[];
    readonly gone: readonly { readonly code: string }[];
    readonly stayed: number;
  };
  readonly blocks: readonly { readonly by: string; readonly count: number }[];
  readonly clips: readonly { readonly what: readonly { readonly kind: string }[] }[];
  readonly unchangedClips: number;
}

const asJson = async (...words: string[]): Promise<Json> =>
  JSON.parse((await compare('--format', 'json', ...words)).stdout) as Json;

describe('a file against git', () => {
  test('tells a slip with its lag before and after, in words', async () => {
    work.write('millrace.edl', slipDoorLatch(read('millrace.edl')));
    const { exitCode, stdout, stderr } = await compare('--git', 'HEAD', 'millrace.edl');
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    expect(stdout).toContain('HEAD:millrace.edl -> millrace.edl\n');
    expect(stdout).toContain('1 sound changed against its picture. 1 finding went away.');
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain(
      'Sound deck-01 lags by 41.7 ms (1 frame at 23.976, 2002 samples) against picture cam-a-01; before, it led by 41.7 ms. It is heard 83.4 ms (2 frames at 23.976) later.',
    );
    expect(stdout).not.toMatch(/[-+−]\d+(\.\d+)? ?(ms|s|frames?|samples?)\b/);
  });

  test('works from a folder below and for any revision', async () => {
    work.write('millrace.edl', slipDoorLatch(read('millrace.edl')));
    work.commitAll('slip');
    mkdirSync(work.path('below'));
    const { stdout } = await cli.run(['compare', '--git', 'HEAD', '../millrace.edl'], work.path('below'));
    expect(stdout).toContain('Nothing changed that a timeline says.');
    expect((await compare('--git', 'main~1', 'millrace.edl')).stdout).toContain('1 sound changed');
  });

  test.each([
    [['--git', 'nosuch', 'millrace.edl'], "--git: git knows no revision 'nosuch' here"],
    [['--git', '--all', 'millrace.edl'], '--git needs a value'],
    [['--git=--all', 'millrace.edl'], "--git: git knows no revision '--all' here"],
    [['--git', 'HEAD', 'new.edl'], "--git: new.edl is not in revision 'HEAD'"],
  ])('%j is told', async (words, message) => {
    work.write('new.edl', read('millrace.edl'));
    const { exitCode, stdout, stderr } = await compare(...words);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toContain(message);
  });

  test('outside a repository says so', async () => {
    rmSync(work.path('.git'), { recursive: true });
    const { exitCode, stderr } = await compare('--git', 'HEAD', 'millrace.edl');
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/^afterclap: --git: not a git repository/);
  });
});

describe('two files', () => {
  test('in two formats that hold the same cut differ in nothing but what one can not say', async () => {
    const { stdout, exitCode } = await compare('millrace.otio', 'millrace.timeline.xml');
    expect(exitCode).toBe(0);
    expect(stdout).toContain('Nothing changed that a timeline says.');
    const list = await asJson('millrace.otio', 'millrace.edl');
    expect([list.sync, list.clips, list.blocks]).toEqual([[], [], []]);
    // A list writes no rates, so what was wrong with them is not there to be found.
    expect(list.findings.gone.map(({ code }) => code).sort()).toEqual(['rate-mismatch', 'sample-rate-mismatch']);
    expect(list.findings.appeared).toEqual([]);
  });

  test('exit with 1 when a finding appeared at or above --fail-on, 0 when it only went away', async () => {
    work.write('mended.edl', slipDoorLatch(read('millrace.edl')));
    expect((await compare('millrace.edl', 'mended.edl')).exitCode).toBe(0);
    const back = await compare('mended.edl', 'millrace.edl');
    expect(back.exitCode).toBe(1);
    expect(back.stdout).toContain('Findings that appeared');
    expect((await compare('--tolerance', 'lead=1s,lag=1s', 'mended.edl', 'millrace.edl')).exitCode).toBe(0);
  });

  test('count a finding that got worse as one that appeared, and say that it was there', async () => {
    work.write(
      'worse.edl',
      read('millrace.edl').replace('09:12:48:03 09:12:58:03 01:00:10:00', '09:12:48:09 09:12:58:09 01:00:10:00'),
    );
    const { findings, sync } = await asJson('millrace.edl', 'worse.edl');
    expect(findings.appeared.map(({ code, before }) => [code, before !== null])).toEqual([['sound-leads', true]]);
    expect(findings.gone).toEqual([]);
    // Six frames at 24000/1001 earlier: from 1 to 7.
    expect(sync.map(({ by, lag }) => [by, lag.before, lag.after])).toEqual([['-1001/4000', '-1001/24000', '-7007/24000']]);
    expect((await compare('millrace.edl', 'worse.edl')).exitCode).toBe(1);
  });

  test('give programs exact times and lines', async () => {
    work.write('mended.edl', slipDoorLatch(read('millrace.edl')));
    const { sync, unchangedClips } = await asJson('millrace.edl', 'mended.edl');
    expect(sync).toMatchObject([
      {
        by: '1001/12000',
        lag: { before: '-1001/24000', after: '1001/24000' },
        verdict: { before: 'leads', after: 'in' },
        soundClip: { name: 'door, latch (deck)', range: { start: { line: 20, column: 30 } } },
      },
    ]);
    expect(unchangedClips).toBe(30);
  });

  test('write Markdown that stays a table, whatever a clip is called', async () => {
    const name = '* FROM CLIP NAME: a | b `c` <img src=x> @everyone *d*';
    const named = read('millrace.edl').replace('* FROM CLIP NAME: door, latch (deck)', name);
    work.write('old.edl', named);
    work.write('new.edl', slipDoorLatch(named));
    const { stdout } = await compare('--format', 'markdown', 'old.edl', 'new.edl');
    const row = stdout.split('\n').find((line) => line.startsWith('| deck-01'));
    expect(row?.split(/(?<!\\)\|/).length).toBe(8);
    expect(row).toContain('a \\| b \\`c\\` \\<img src=x\\> \\@everyone \\*d\\*');
    expect(stdout).toMatch(/^### Sync review: `old\.edl` → `new\.edl`\n/);
  });

  test('use the report of the old one when the new one has none, and say so', async () => {
    mkdirSync(work.path('a'));
    mkdirSync(work.path('b'));
    const moved = work.path('a/cut.edl');
    work.write('a/cut.edl', read('millrace.edl'));
    work.write('a/cut.alignment.json', read('millrace.alignment.json'));
    work.write('b/cut.edl', read('millrace.edl'));
    work.write('b/afterclap.json', '{ "alignment": [], "edlRate": "24000/1001" }');
    const { stdout } = await compare(moved, work.path('b/cut.edl'));
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain('(Found for the old version; the new one has none.)');
  });
});
