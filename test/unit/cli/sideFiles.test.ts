/**
 * Reports and settings that several timelines share are told once, and an acceptance counts as unused only when no timeline of
 * the run uses it.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../../server/src/core/audit.ts';
import { buildLineIndex, positionAt } from '../../../server/src/core/text/lineIndex.ts';
import type { Output } from './outputSchema.ts';
import { buildCli, type Cli, makeWorkspace, samplesFolder, type Workspace } from './runCli.ts';

let cli: Cli;
let work: Workspace;

beforeAll(async () => {
  cli = await buildCli();
  work = makeWorkspace('samples');
});

afterAll(() => {
  cli.dispose();
  work.dispose();
});

async function checked(...words: string[]): Promise<Output> {
  return JSON.parse((await cli.run(['check', '--format', 'json', ...words], work.folder)).stdout) as Output;
}

describe('an acceptance in the settings', () => {
  test('is used when one of the timelines needs it, unused when none does', async () => {
    work.write(
      'afterclap.json',
      `{ "alignment": ["millrace.alignment.json"], "edlRate": "24000/1001",
  "accept": [
    { "code": "rate-mismatch", "clip": "race, wide", "reason": "the post house asked for 24" },
    { "code": "sound-leads", "clip": "nobody", "reason": "left over" }
  ] }
`,
    );
    const settings = (output: Output) =>
      output.files.find(({ format }) => format === 'settings')?.findings.map(({ range }) => range.start.line);
    // The list writes no rates, so it never finds a rate-mismatch; OTIO does.
    expect(settings(await checked('millrace.edl'))).toEqual([3, 4]);
    expect(settings(await checked('millrace.edl', 'millrace.otio'))).toEqual([4]);
  });
});

describe('a broken report that three timelines share', () => {
  test('is told once', async () => {
    const broken = makeWorkspace('samples');
    try {
      const text = readFileSync(join(samplesFolder, 'millrace.alignment.json'), 'utf8');
      broken.write('millrace.alignment.json', text.replace('"picture": "cam-a-07"', '"picture": "cam-a-77"'));
      const { stdout } = await cli.run(['check', '--format', 'json', '.'], broken.folder);
      const reports = (JSON.parse(stdout) as Output).files.filter(({ format }) => format === 'alignment');
      expect(reports.map(({ findings }) => findings.map(({ code }) => code))).toEqual([['report-invalid']]);
    } finally {
      broken.dispose();
    }
  });
});

describe('the command line and the audit', () => {
  const read = (name: string): string => readFileSync(join(samplesFolder, name), 'utf8');

  test.each([
    ['millrace.edl', 'edl'],
    ['millrace.otio', 'otio'],
    ['millrace.timeline.xml', 'xml'],
  ] as const)('say the same about %s', async (name, format) => {
    const text = read(name);
    const result: Audit = audit({
      format,
      text,
      reports: [readReport('millrace.alignment.json', read('millrace.alignment.json'))],
      settings: readSettings('afterclap.json', read('afterclap.json')),
    });
    const index = buildLineIndex(text);
    const fresh = makeWorkspace('samples');
    try {
      const { stdout } = await cli.run(['check', '--format', 'json', name], fresh.folder);
      const printed = (JSON.parse(stdout) as Output).files[0]?.findings.map(({ code, severity, message, range }) => ({
        code,
        severity,
        message,
        start: { line: range.start.line - 1, column: range.start.column - 1 },
      }));
      expect(printed).toEqual(
        result.findings.map(({ code, severity, message, place }) => ({
          code,
          severity,
          message,
          start: positionAt(index, place.span.start),
        })),
      );
    } finally {
      fresh.dispose();
    }
  });
});

describe('a report that was named on the command line', () => {
  test('is shown as typed; findings that lead into it still have their line', async () => {
    const fresh = makeWorkspace('samples');
    try {
      const { stdout } = await cli.run(['check', './millrace.alignment.json', 'millrace.edl'], fresh.folder);
      expect(stdout).toContain('see   millrace.alignment.json:26:5: ');
      expect(stdout).toContain('./millrace.alignment.json (alignment report)');
    } finally {
      fresh.dispose();
    }
  });
});
