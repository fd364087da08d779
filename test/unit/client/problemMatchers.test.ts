/**
 * The manifest's problem matchers on what the command line really prints, held against its JSON output: every finding comes out with
 * its file, place, severity, code and message, and nothing else does.
 *
 * How an editor applies a matcher is taken from the documentation of tasks: patterns match consecutive lines, and a severity that is
 * none of 'error', 'warning' and 'info' falls back to the matcher's own.
 */

import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildCli, type Cli, repositoryRoot, samplesFolder } from '../cli/runCli.ts';

interface Pattern {
  readonly regexp: string;
  readonly [group: string]: number | string | boolean;
}

interface Matcher {
  readonly name: string;
  readonly severity: string;
  readonly pattern: Pattern | readonly Pattern[];
}

interface Problem {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly severity: string;
  readonly code: string;
  readonly message: string;
}

const manifest = JSON.parse(readFileSync(join(repositoryRoot, 'package.json'), 'utf8'));
const matchers: readonly Matcher[] = manifest.contributes.problemMatchers;
const matcher = (name: string): Matcher => {
  const found = matchers.find((each) => each.name === name);
  if (found === undefined) throw new Error(`no problem matcher ${name}`);
  return found;
};

let cli: Cli;
let folder: string;
beforeAll(async () => {
  cli = await buildCli();
  folder = mkdtempSync(join(tmpdir(), 'afterclap-matchers-'));
  cpSync(samplesFolder, join(folder, 'day 1'), { recursive: true });
  // A broken text, a report that contradicts itself, hints for information, and names that are hard on a pattern.
  writeFileSync(join(folder, 'day 1', 'cut: 2.edl'), 'TITLE: BROKEN\n001  DECK0001 A     C   nonsense\n');
  const settings = { alignment: ['millrace.alignment.json'], rules: { 'sound-lags': 'information' }, edlRate: 24, grids: 1 };
  writeFileSync(join(folder, 'day 1', 'afterclap.json'), JSON.stringify(settings));
  const cut = readFileSync(join(folder, 'day 1', 'millrace.edl'), 'utf8');
  writeFileSync(join(folder, 'day 1', 'names.edl'), cut.replaceAll('door, latch (deck)', 'a.edl:3:4: error sound-lags: deck'));
});
afterAll(() => {
  cli.dispose();
  rmSync(folder, { recursive: true });
});

/** As an editor does it: all patterns of a matcher on as many lines in a row. */
function problemsOf(output: string, { pattern, severity: fallback }: Matcher): readonly Problem[] {
  const patterns = Array.isArray(pattern) ? pattern : [pattern as Pattern];
  const lines = output.split('\n');
  const problems: Problem[] = [];
  for (let at = 0; at < lines.length; at += 1) {
    const values = new Map<string, string>();
    const isMatched = patterns.every(({ regexp, ...groups }, offset) => {
      const match = new RegExp(regexp).exec(lines[at + offset] ?? '');
      for (const [name, group] of Object.entries(groups)) values.set(name, match?.[Number(group)] ?? '');
      return match !== null;
    });
    if (!isMatched) continue;
    const value = (name: string): string => values.get(name) ?? '';
    const severity = ['error', 'warning', 'info'].includes(value('severity')) ? value('severity') : fallback;
    const place = { file: value('file'), line: Number(value('line')), column: Number(value('column')) };
    problems.push({ ...place, severity, code: value('code'), message: value('message') });
  }
  return problems;
}

async function foundInJson(path: string): Promise<readonly Problem[]> {
  const { stdout } = await cli.run(['check', path, '--format=json'], folder);
  const { files } = JSON.parse(stdout) as {
    readonly files: readonly {
      readonly path: string;
      readonly findings: readonly {
        readonly code: string;
        readonly severity: string;
        readonly message: string;
        readonly range: { readonly start: { readonly line: number; readonly column: number } };
      }[];
    }[];
  };
  return files.flatMap((file) =>
    file.findings.map(({ code, severity, message, range }) => ({
      file: file.path,
      line: range.start.line,
      column: range.start.column,
      severity: severity === 'information' ? 'info' : severity,
      code,
      message,
    })),
  );
}

describe('the problem matchers of the manifest', () => {
  test('the folder they are tried on has findings of all three severities, in timelines and beside them', async () => {
    const found = await foundInJson('.');
    expect(new Set(found.map(({ severity }) => severity))).toEqual(new Set(['error', 'warning', 'info']));
    expect(new Set(found.map(({ code }) => code))).toContain('unreadable');
    expect(new Set(found.map(({ file }) => file.split('/').at(-1)))).toEqual(
      new Set(['millrace.edl', 'millrace.otio', 'millrace.timeline.xml', 'cut: 2.edl', 'names.edl', 'afterclap.json']),
    );
  });

  test('$afterclap-lines takes every finding from --format=lines, whole, and nothing else', async () => {
    const { stdout } = await cli.run(['check', '.', '--format=lines'], folder);
    expect(problemsOf(stdout, matcher('afterclap-lines'))).toEqual(await foundInJson('.'));
  });

  test('it takes them from a path that begins at the root, too', async () => {
    const path = join(folder, 'day 1', 'millrace.edl');
    const { stdout } = await cli.run(['check', path, '--format=lines'], folder);
    const found = problemsOf(stdout, matcher('afterclap-lines'));
    expect(found.length).toBeGreaterThan(5);
    expect(found).toEqual(await foundInJson(path));
  });

  test('$afterclap takes every finding from the text that people read, its message as far as the first line goes', async () => {
    const { stdout } = await cli.run(['check', '.'], folder);
    const found = problemsOf(stdout, matcher('afterclap'));
    const expected = await foundInJson('.');
    const place = ({ message: _, ...rest }: Problem): object => rest;
    expect(found.map(place)).toEqual(expected.map(place));
    for (const [index, { message }] of found.entries()) {
      expect(message.length).toBeGreaterThan(20);
      expect(expected[index]?.message.startsWith(message)).toBe(true);
    }
  });

  test('neither takes what the other is for, help, or sentences about a run', async () => {
    const lines = (await cli.run(['check', '.', '--format=lines'], folder)).stdout;
    const text = (await cli.run(['check', '.'], folder)).stdout;
    const help = (await cli.run(['check', '--help'], folder)).stdout;
    expect(problemsOf(lines, matcher('afterclap'))).toEqual([]);
    expect(problemsOf(text, matcher('afterclap-lines'))).toEqual([]);
    for (const { name } of matchers) expect(problemsOf(help, matcher(name))).toEqual([]);
  });

  test('they ask for no file that may be there or not: an editor drops what it has not looked up when a task ends', () => {
    for (const { fileLocation } of manifest.contributes.problemMatchers) {
      // biome-ignore lint/suspicious/noTemplateCurlyInString: the editor's own variable.
      expect(fileLocation).toEqual(['relative', '${workspaceFolder}']);
    }
  });

  test('they leave open documents to the server, under an owner of their own', () => {
    // Under the server's own name, a task on one file would clear the findings of all others.
    for (const each of manifest.contributes.problemMatchers) {
      expect(each).toMatchObject({ applyTo: 'closedDocuments', owner: 'afterclap-task', source: 'afterclap' });
    }
  });
});
