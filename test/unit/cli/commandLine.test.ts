/**
 * The command line from outside: exit codes, streams, what is printed and what is not.
 */

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { FINDING_CODES } from '../../../server/src/core/rules/finding.ts';
import { buildCli, type Cli, makeWorkspace, samplesFolder, type Workspace } from './runCli.ts';

let cli: Cli;
let samples: Workspace;

beforeAll(async () => {
  cli = await buildCli();
  samples = makeWorkspace('samples');
});

afterAll(() => {
  cli.dispose();
  samples.dispose();
});

const oneLine = /^afterclap: [^\n]+\n$/;

describe('help and version', () => {
  test('--help lists the commands, on standard output', async () => {
    const { exitCode, stdout, stderr } = await cli.run(['--help'], samples.folder);
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    expect(stdout).toContain('afterclap check PATH...');
    expect(stdout).toContain('afterclap explain CODE');
    for (const command of ['compare OLD NEW', 'list FILE', 'git-setup']) expect(stdout).toContain(`afterclap ${command}`);
    expect(stdout).toContain('Keep the original');
  });

  test.each([
    ['check', '--help'],
    ['help', 'check'],
    ['--help', 'check'],
    ['check', 'some.edl', '-h'],
  ])('%s %s tells of its flags', async (...words) => {
    const { exitCode, stdout } = await cli.run(words, samples.folder);
    expect(exitCode).toBe(0);
    for (const flag of [
      '--alignment FILE',
      '--tolerance T',
      '--format F',
      '--fix',
      '--fail-on SEVERITY',
      '--baseline FILE',
      '--write-baseline FILE',
      '--changed-since REV',
    ])
      expect(stdout).toContain(flag);
    expect(stdout.replaceAll('\n', ' ')).toContain('node_modules and folders whose name begins with a dot are left out');
  });

  test('--version is one line', async () => {
    const { exitCode, stdout } = await cli.run(['--version'], samples.folder);
    expect(exitCode).toBe(0);
    expect(stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
  });

  test('nothing at all prints the help on standard error and exits with 2', async () => {
    const { exitCode, stdout, stderr } = await cli.run([], samples.folder);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toContain('Commands');
  });
});

describe('what is written wrong gets one line on standard error and exit code 2', () => {
  test.each([
    [['chek', 'x.edl'], "did you mean 'check'?"],
    [['cut.edl'], 'afterclap check cut.edl'],
    [['--fix'], 'no flag of afterclap itself'],
    [['check'], 'needs a file or a folder'],
    [['check', '--tolerence', '1ms/1f', 'millrace.edl'], "did you mean '--tolerance'?"],
    [['check', '-f', 'millrace.edl'], "no flag '-f'"],
    [['check', '--format', 'jsn', 'millrace.edl'], "did you mean 'json'?"],
    [['check', '--format', 'saarif', 'millrace.edl'], "did you mean 'sarif'?"],
    [['check', 'millrace.edl', '--format'], '--format needs a value'],
    [['check', '--format', '--fix', 'millrace.edl'], '--format needs a value'],
    [['check', '--format', 'json', '--format', 'text', 'millrace.edl'], 'given twice'],
    [['check', '--fix=yes', 'millrace.edl'], 'takes no value'],
    [['check', '--fail-on', 'warn', 'millrace.edl'], "did you mean 'warning'?"],
    [['check', '--tolerance', '-1ms/1f', 'millrace.edl'], 'sizes'],
    [['check', '--tolerance', 'ebu-r73', 'millrace.edl'], 'Did you mean ebu-r37?'],
    [['check', '--alignment', 'nothere.alignment.json', 'millrace.edl'], 'nothere.alignment.json is not there'],
    [['check', '--alignment', '.', 'millrace.edl'], 'is a folder'],
    [['check', '--baseline', 'a', '--write-baseline', 'b', 'millrace.edl'], 'give one of the two'],
    [['check', '--baseline', 'nothere.json', 'millrace.edl'], 'nothere.json is not there; write one with --write-baseline'],
    [['check', '--baseline', 'afterclap.json', 'millrace.edl'], 'afterclap.json is no baseline'],
    [['check', '--write-baseline', 'millrace.edl', '.'], 'millrace.edl is not valid JSON, so it is no baseline'],
    [['check', '--write-baseline', 'b.json', '--format', 'json', '.'], '--format has nothing to do'],
    [['list'], 'list needs a file'],
    [['list', 'millrace.edl', 'millrace.otio'], 'takes one file'],
    [['list', 'nothere.edl'], 'there is no such file'],
    [['compare', 'millrace.edl'], 'needs two files'],
    [['compare', '--git', 'HEAD', 'a.edl', 'b.edl'], 'takes one file'],
    [['compare', 'nothere.edl', 'millrace.edl'], "can't read nothere.edl"],
    [['compare', '--format', 'html', 'millrace.edl', 'millrace.otio'], 'expected text, markdown or json'],
    [['git-setup', '.'], 'takes no path'],
    [['explain'], 'needs a finding code'],
    [['explain', 'sound-lag'], "did you mean 'sound-lags'?"],
    [['explain', 'sound-lags', 'sound-leads'], 'takes one code'],
  ])('%j', async (words, expected) => {
    const { exitCode, stdout, stderr } = await cli.run(words, samples.folder);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toMatch(oneLine);
    expect(stderr).toContain(expected);
  });
});

describe('explain', () => {
  test.each(FINDING_CODES)('%s says what, why, what to do and where its numbers come from', async (code) => {
    const { exitCode, stdout } = await cli.run(['explain', code], samples.folder);
    expect(exitCode).toBe(0);
    for (const part of [code, 'What\n', 'Why it matters\n', 'What to do\n', 'Sources\n  - ']) expect(stdout).toContain(part);
  });
});

describe('exit codes of check', () => {
  test('1 for errors, and the findings on standard output only', async () => {
    const { exitCode, stdout, stderr } = await cli.run(['check', 'millrace.edl'], samples.folder);
    expect({ exitCode, stderr }).toEqual({ exitCode: 1, stderr: '' });
    expect(stdout).toContain('millrace.edl:20:30: error sound-leads');
  });

  test('0 when nothing reaches --fail-on, 1 when something does', async () => {
    const only = makeWorkspace('samples');
    try {
      const edl = [
        '001  CAMA0001 V     C        09:12:29:21 09:12:39:21 01:00:00:00 01:00:10:00',
        '* SOURCE FILE: CAM_A_0001.mov',
        '',
      ];
      const sound = [
        '002  NOTHING  A     C        09:12:27:16 09:12:37:16 01:00:00:00 01:00:10:00',
        '* SOURCE FILE: MUSIC.wav',
        '',
      ];
      only.write('one.edl', ['TITLE: one', ...edl, ...sound].join('\n'));
      const codes = async (...flags: string[]): Promise<number | null> =>
        (await cli.run(['check', 'one.edl', ...flags], only.folder)).exitCode;
      expect(await codes()).toBe(0);
      expect(await codes('--fail-on', 'warning')).toBe(0);
      expect(await codes('--fail-on', 'information')).toBe(1);
    } finally {
      only.dispose();
    }
  });

  test('--tolerance decides, and is said', async () => {
    const { stdout } = await cli.run(['check', '--tolerance', 'lead=100ms,lag=200ms', 'millrace.edl'], samples.folder);
    expect(stdout).toContain('tolerance  lead 100ms, lag 200ms; from --tolerance');
    expect(stdout).toContain('18 pictures with sound: 16 in, 1 leads and 1 lags');
  });
});

describe('colour', () => {
  const escapeSequence = '\u001b[';
  test.each([
    ['none where standard output is no terminal', {}, false],
    ['FORCE_COLOR switches it on', { FORCE_COLOR: '1' }, true],
    ['FORCE_COLOR=0 does not', { FORCE_COLOR: '0' }, false],
    ['NO_COLOR keeps it off', { NO_COLOR: '1' }, false],
  ])('%s', async (_title, environment, expected) => {
    const { stdout } = await cli.run(['check', 'millrace.edl'], samples.folder, environment as Record<string, string>);
    expect(stdout.includes(escapeSequence)).toBe(expected);
  });

  test('is all that FORCE_COLOR changes', async () => {
    const plain = await cli.run(['check', 'millrace.edl'], samples.folder);
    const coloured = await cli.run(['check', 'millrace.edl'], samples.folder, { FORCE_COLOR: '1' });
    // biome-ignore lint/suspicious/noControlCharactersInRegex: the escape sequences are what is taken out
    expect(coloured.stdout.replaceAll(/\u001b\[\d+m/g, '')).toBe(plain.stdout);
  });
});

describe('what stands beside the findings', () => {
  test('which report was used and why, rate and why, tolerance, counts, what was accepted and why', async () => {
    const { stdout } = await cli.run(['check', 'millrace.edl'], samples.folder);
    const summary = stdout.slice(stdout.lastIndexOf('\n\n') + 2);
    expect(summary).toBe(
      [
        '  report     millrace.alignment.json is used: named in afterclap.json.',
        '  rate       23.976 frames per second: edlRate in afterclap.json',
        '  tolerance  lead 1ms, lag 1f (41.7 ms here)',
        '  compared   18 pictures with sound: 9 in, 3 lead, 5 lag and 1 drifts',
        '  findings   7 errors, 1 warning; 6 fixable with --fix',
        '  accepted   sound-lags at millrace.edl:120:30: the bell hangs across the valley and should be heard late',
        '',
      ].join('\n'),
    );
  });

  test('--alignment is used whatever the settings say', async () => {
    const work = makeWorkspace('samples');
    try {
      work.write('other.alignment.json', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
      const { stdout } = await cli.run(['check', '--alignment', 'other.alignment.json', 'millrace.edl'], work.folder);
      expect(stdout).toContain('other.alignment.json is used: named on the command line.');
      expect(stdout).toContain('no picture with a sound of its pair');
    } finally {
      work.dispose();
    }
  });

  test('a path is shown as it was typed', async () => {
    const typed = samples.path('millrace.edl');
    const { stdout } = await cli.run(['check', '--format', 'json', typed], '/');
    expect((JSON.parse(stdout) as { files: { path: string }[] }).files.map(({ path }) => path)).toEqual([typed]);
    const dotted = await cli.run(['check', '--', './millrace.alignment.json'], samples.folder);
    expect(dotted.stdout).toContain('./millrace.alignment.json (alignment report)');
  });

  test('paths are those from where the program runs', async () => {
    const { stdout } = await cli.run(['check', 'samples/millrace.edl'], `${samplesFolder}/..`);
    expect(stdout).toContain('samples/millrace.edl:20:30: error sound-leads');
    expect(stdout).toContain('see   samples/millrace.alignment.json:26:5: ');
  });
});
