/**
 * Bad input: a clear message, no crash, nothing written, whatever stands in the way.
 */

import { execFileSync, spawn } from 'node:child_process';
import { chmodSync, cpSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Output } from './outputSchema.ts';
import { buildCli, type Cli, makeWorkspace, type Outcome, samplesFolder, type Workspace } from './runCli.ts';

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

/** Runs with `--fix`, and makes sure that no file was touched and nothing looks like a crash. */
async function checkUnwritten(...words: string[]): Promise<Outcome> {
  const before = contents();
  const outcome = await cli.run(['check', '--fix', ...words], work.folder);
  expect(contents()).toEqual(before);
  expect(outcome.stderr).not.toMatch(/bug in the program|\n {4}at /);
  return outcome;
}

function contents(): Record<string, string> {
  const names = readdirSync(work.folder, { recursive: true, encoding: 'utf8', withFileTypes: true });
  return Object.fromEntries(
    names
      .filter((entry) => entry.isFile())
      .map((entry) => [entry.name, readFileSync(`${entry.parentPath}/${entry.name}`, 'latin1')]),
  );
}

describe('a timeline that is none', () => {
  test.each(['cut.edl', 'cut.otio', 'cut.timeline.xml'])('%s is empty', async (name) => {
    work.write(name, '');
    const { exitCode, stdout, stderr } = await checkUnwritten(name);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toBe(`afterclap: ${name} is empty: there is nothing in it to check; export it again\n`);
  });

  test('is a recording under the wrong name', async () => {
    work.write('cut.edl', Buffer.concat([Buffer.from('RIFF'), Buffer.alloc(4000)]));
    const { exitCode, stderr } = await checkUnwritten('cut.edl');
    expect(exitCode).toBe(2);
    expect(stderr).toBe('afterclap: cut.edl holds no text, but binary data; check what was exported\n');
  });

  test('is a folder with the name of a file', async () => {
    mkdirSync(work.path('cut.edl'));
    const { exitCode, stderr } = await checkUnwritten('cut.edl');
    expect(exitCode).toBe(2);
    expect(stderr).toContain('cut.edl holds no timeline');
  });

  test('can not be opened', async () => {
    chmodSync(work.path('millrace.edl'), 0);
    const { exitCode, stdout, stderr } = await cli.runAsNobody(['check', 'millrace.edl'], work.folder);
    expect({ exitCode, stdout }).toEqual({ exitCode: 2, stdout: '' });
    expect(stderr).toBe("afterclap: can't read millrace.edl: permission denied\n");
  });

  test('stands in a folder that can not be written: reported as it is, with exit code 2', async () => {
    chmodSync(work.folder, 0o555);
    const { exitCode, stdout, stderr } = await cli.runAsNobody(['check', '--fix', 'millrace.edl'], work.folder);
    chmodSync(work.folder, 0o755);
    expect(exitCode).toBe(2);
    expect(stderr).toBe("afterclap: can't write millrace.edl: permission denied\n");
    expect(stdout).toContain('error sound-leads');
    expect(stdout).not.toContain('Written into the file');
  });

  test('is no regular file', async (context) => {
    if (process.platform === 'win32') context.skip('there are no named pipes in folders here');
    execFileSync('mkfifo', [work.path('pipe.edl')]);
    const { exitCode, stderr } = await cli.run(['check', 'pipe.edl'], work.folder);
    expect(exitCode).toBe(2);
    expect(stderr).toBe('afterclap: pipe.edl is not a regular file, but a device or a pipe\n');
  });

  test('among good ones does not keep them from being checked', async () => {
    work.write('a.edl', '');
    const { exitCode, stdout, stderr } = await cli.run(['check', '.'], work.folder);
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/^afterclap: a\.edl is empty[^\n]*\n$/);
    expect(stdout).toContain('millrace.edl:20:30: error sound-leads');
  });
});

describe('a timeline that is broken', () => {
  test.each(['millrace.edl', 'millrace.otio', 'millrace.timeline.xml'])(
    '%s cut off at every 1/50th is read as far as it goes',
    async (name) => {
      const text = readFileSync(work.path(name), 'utf8');
      const folder = work.path('cut-off');
      mkdirSync(folder);
      cpSync(work.path('millrace.alignment.json'), `${folder}/millrace.alignment.json`);
      for (let part = 1; part < 50; part += 1) {
        work.write(`cut-off/${String(part).padStart(2, '0')}-${name}`, text.slice(0, Math.floor((text.length * part) / 50)));
      }
      const { exitCode, stdout, stderr } = await cli.run(
        ['check', '--format', 'json', '--alignment', 'millrace.alignment.json', 'cut-off'],
        work.folder,
      );
      expect(stderr).not.toContain('bug');
      expect([0, 1]).toContain(exitCode);
      const files = (JSON.parse(stdout) as Output).files.filter(({ format }) => format !== 'alignment');
      expect(files.length).toBe(49);
      if (name === 'millrace.edl') return;
      // JSON and XML without their end are broken wherever they end.
      for (const file of files)
        expect(
          file.findings.some(({ code }) => code === 'unreadable'),
          file.path,
        ).toBe(true);
    },
  );

  test.each([
    ['zero', '0.0'],
    ['negative', '-24.0'],
  ])('a %s rate is told on its characters', async (_title, rate) => {
    work.write('cut.otio', readFileSync(work.path('millrace.otio'), 'utf8').replace('"rate": 24.0', `"rate": ${rate}`));
    const { exitCode, stdout } = await cli.run(['check', 'cut.otio'], work.folder);
    expect(exitCode).toBe(1);
    expect(stdout).toContain(`"rate": ${rate}`);
  });

  test('100,000 stacks inside one another', async () => {
    const depth = 100_000;
    const open = '{"OTIO_SCHEMA":"Stack.1","children":[';
    work.write('deep.otio', `{"OTIO_SCHEMA":"Timeline.1","tracks":${open.repeat(depth)}${']}'.repeat(depth)}}`);
    const { exitCode, stderr } = await checkUnwritten('deep.otio');
    expect(stderr).not.toContain('Maximum call stack');
    expect([0, 1]).toContain(exitCode);
  });

  test('one line of 50 MB', async () => {
    const text = readFileSync(work.path('millrace.otio'), 'utf8').replaceAll(/\n */g, '');
    work.write('long.otio', text.replace('"metadata": {}', `"metadata": {"note": "${'x'.repeat(50_000_000)}"}`));
    const { exitCode, stdout, stderr } = await cli.run(['check', 'long.otio'], work.folder);
    expect({ exitCode, stderr }).toEqual({ exitCode: 1, stderr: '' });
    expect(stdout).toContain('error sound-leads');
    expect(stdout.length).toBeLessThan(100_000);
  });
});

describe('a report', () => {
  test('that is missing is told, and nothing passes for compared', async () => {
    const alone = makeWorkspace('empty');
    try {
      alone.write('cut.edl', readFileSync(work.path('millrace.edl')));
      const { stdout } = await cli.run(['check', 'cut.edl'], alone.folder);
      expect(stdout).toContain('report     No report is used: ');
      expect(stdout).toContain('information unmeasured');
      const asJson = await cli.run(['check', '--format', 'json', 'cut.edl'], alone.folder);
      expect(asJson.stderr).toMatch(/^afterclap: note: cut\.edl: No report is used: /);
      expect((JSON.parse(asJson.stdout) as Output).files[0]).toMatchObject({ alignment: null, pairs: [] });
    } finally {
      alone.dispose();
    }
  });

  test('that the settings name and is not there: exit code 2, on the characters that name it', async () => {
    work.write('afterclap.json', '{ "alignment": ["gone.alignment.json"] }\n');
    const { exitCode, stdout, stderr } = await checkUnwritten('millrace.edl');
    expect(exitCode).toBe(2);
    expect(stderr).toBe('afterclap: afterclap.json: The alignment report gone.alignment.json is not there.\n');
    expect(stdout).toContain('afterclap.json:1:17: error report-invalid');
  });

  test('of another version is not read, and says so', async () => {
    work.write(
      'millrace.alignment.json',
      readFileSync(work.path('millrace.alignment.json'), 'utf8').replace('"alignment": 1', '"alignment": 2'),
    );
    const { exitCode, stdout } = await checkUnwritten('millrace.edl');
    expect(exitCode).toBe(1);
    expect(stdout).toContain('millrace.alignment.json:2:16: error report-invalid');
    expect(stdout).toContain('version 2');
  });

  test('with a pair that names nobody: told on its name, the others still count', async () => {
    const text = readFileSync(work.path('millrace.alignment.json'), 'utf8');
    work.write('millrace.alignment.json', text.replace('"picture": "cam-a-07"', '"picture": "cam-a-77"'));
    const { exitCode, stdout } = await cli.run(['check', 'millrace.edl'], work.folder);
    expect(exitCode).toBe(1);
    expect(stdout).toContain('millrace.alignment.json:36:18: error report-invalid');
    expect(stdout).toContain('cam-a-77');
    expect(stdout).toContain('error sound-leads');
  });

  test('beside a second one, with nothing to say which: neither is guessed at', async () => {
    const two = makeWorkspace('empty');
    try {
      two.write('cut.edl', readFileSync(work.path('millrace.edl')));
      for (const name of ['day1', 'day2'])
        two.write(`${name}.alignment.json`, readFileSync(work.path('millrace.alignment.json')));
      const { stdout } = await cli.run(['check', 'cut.edl'], two.folder);
      expect(stdout).toContain('No report is used: there are 2 (day1.alignment.json, day2.alignment.json)');
    } finally {
      two.dispose();
    }
  });
});

describe('settings that are wrong', () => {
  test('exit with 2 and name the place', async () => {
    work.write('afterclap.json', '{ "alignment": ["millrace.alignment.json"], "tolerance": "ebu-r73" }\n');
    const { exitCode, stdout, stderr } = await cli.run(['check', 'millrace.edl'], work.folder);
    expect(exitCode).toBe(2);
    expect(stderr).toMatch(/^afterclap: afterclap\.json: [^\n]*ebu-r37[^\n]*\n$/);
    expect(stdout).toContain('afterclap.json:1:58: error report-invalid');
  });
});

describe('a reader that stops early', () => {
  test('is no error: no stack, and the exit code still says what was found', async () => {
    for (let copy = 0; copy < 20; copy += 1) cpSync(`${samplesFolder}/millrace.otio`, work.path(`copy${copy}.otio`));
    const child = spawn(process.execPath, [cli.bundle, 'check', '.'], { cwd: work.folder, stdio: ['ignore', 'pipe', 'pipe'] });
    let stderr = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text;
    });
    child.stdout.once('data', () => child.stdout.destroy());
    const exitCode = await new Promise<number | null>((resolve) => child.on('close', resolve));
    expect({ exitCode, stderr }).toEqual({ exitCode: 1, stderr: '' });
  });
});
