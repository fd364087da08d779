/**
 * `--format json`: the public form, and that it says what the text says.
 */

import { Ajv } from 'ajv';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { placeCut } from '../../../.build/samples/place.ts';
import { type Output, type OutputFile, outputSchema } from './outputSchema.ts';
import { buildCli, type Cli, makeWorkspace, type Workspace } from './runCli.ts';

const isOutput = new Ajv({ allErrors: true, allowUnionTypes: true }).compile(outputSchema);

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

async function json(words: readonly string[], folder = samples.folder): Promise<Output> {
  const { stdout } = await cli.run(['check', '--format', 'json', ...words], folder);
  const output: unknown = JSON.parse(stdout);
  expect(isOutput(output), JSON.stringify(isOutput.errors)).toBe(true);
  return output as Output;
}

describe('the form', () => {
  test('holds for a folder with all formats, a report and settings', async () => {
    const { files } = await json(['.']);
    expect(files.map(({ path, format, rate, alignment }) => [path, format, rate, alignment])).toEqual([
      ['millrace.edl', 'edl', '24000/1001', 'millrace.alignment.json'],
      ['millrace.otio', 'otio', '24000/1001', 'millrace.alignment.json'],
      ['millrace.timeline.xml', 'xml', '24000/1001', 'millrace.alignment.json'],
      ['afterclap.json', 'settings', null, null],
      ['millrace.alignment.json', 'alignment', null, null],
    ]);
  });

  test('keeps its members in one order', async () => {
    const { stdout } = await cli.run(['check', '--format', 'json', 'millrace.edl'], samples.folder);
    const [file] = (JSON.parse(stdout) as Output).files as [OutputFile];
    expect(Object.keys(JSON.parse(stdout) as object)).toEqual(['version', 'files']);
    expect(Object.keys(file)).toEqual(['path', 'format', 'rate', 'alignment', 'findings', 'pairs', 'accepted']);
    expect(Object.keys(file.findings[0] as object)).toEqual([
      'code',
      'severity',
      'message',
      'range',
      'picture',
      'sound',
      'lag',
      'cause',
      'fixable',
    ]);
    expect(Object.keys(file.pairs[0] as object)).toEqual([
      'picture',
      'sound',
      'pictureClip',
      'soundClip',
      'record',
      'lag',
      'verdict',
    ]);
  });

  test('is the same bytes on every run', async () => {
    const words = ['check', '--format', 'json', '.'];
    expect(await cli.run(words, samples.folder)).toEqual(await cli.run(words, samples.folder));
  });

  test('is whole where nothing could be checked', async () => {
    const { exitCode, stdout } = await cli.run(['check', '--format', 'json', 'nothere.edl'], samples.folder);
    expect(exitCode).toBe(2);
    expect(JSON.parse(stdout)).toEqual({ version: 1, files: [] });
  });
});

describe('what it says', () => {
  test.each(['millrace.edl', 'millrace.otio', 'millrace.timeline.xml'])(
    '%s: every comparison, in order of record start, exact',
    async (name) => {
      const [file] = (await json([name])).files;
      expect(file?.pairs).toEqual(placeCut().pairs);
    },
  );

  test('lines and columns count from 1, columns in UTF-16 units', async () => {
    const work = makeWorkspace('samples');
    try {
      // Two emoji are four UTF-16 units. The reel is only as wide as the column so that the label stands at a known place.
      work.write('wide.edl', '* 🎬🎬\n001  CAMA0001 V  C  24:00:00:00 24:00:10:00 01:00:00:00 01:00:10:00\n');
      const [file] = (await json(['wide.edl'], work.folder)).files;
      const { start, end } = file?.findings.find(({ code }) => code !== 'unmeasured')?.range ?? {};
      expect(start?.line).toBe(2);
      expect(start?.column).toBe(21);
      expect(end).toEqual({ line: 2, column: 32 });
    } finally {
      work.dispose();
    }
  });

  test('fixable is what --fix does', async () => {
    const work = makeWorkspace('samples');
    try {
      const before = (await json(['millrace.otio'], work.folder)).files[0];
      const after = (await json(['--fix', 'millrace.otio'], work.folder)).files[0];
      const left = after?.findings.map(({ code, message }) => `${code} ${message}`) ?? [];
      const fixable = before?.findings.filter((finding) => finding.fixable) ?? [];
      expect(fixable.length).toBe(5);
      for (const { code, message } of fixable) expect(left).not.toContain(`${code} ${message}`);
      expect(after?.findings.filter((finding) => finding.fixable)).toEqual([]);
    } finally {
      work.dispose();
    }
  });

  test('several reports for one timeline are all named', async () => {
    const work = makeWorkspace('samples');
    try {
      work.write('second.alignment.json', '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
      work.write('afterclap.json', '{ "alignment": ["millrace.alignment.json", "second.alignment.json"] }');
      const [file] = (await json(['millrace.otio'], work.folder)).files;
      expect(file?.alignment).toBe('millrace.alignment.json');
      expect(file?.alignments).toEqual(['millrace.alignment.json', 'second.alignment.json']);
    } finally {
      work.dispose();
    }
  });

  test('an accepted exception is kept, with its reason', async () => {
    const [file] = (await json(['millrace.timeline.xml'])).files;
    expect(file?.accepted?.map(({ code, reason }) => [code, reason])).toEqual([
      ['sound-lags', 'the bell hangs across the valley and should be heard late'],
    ]);
  });
});
