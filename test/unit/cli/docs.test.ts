/**
 * Command lines that the documentation shows can be typed: the command exists, and so do its flags.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildCli, type Cli, repositoryRoot } from './runCli.ts';

let cli: Cli;

beforeAll(async () => {
  cli = await buildCli();
});

afterAll(() => cli.dispose());

interface Shown {
  readonly line: string;
  readonly words: readonly string[];
}

/** Everything in code blocks that begins with the program, up to a comment, a redirection or another command. */
function commandLines(file: string): readonly Shown[] {
  const text = readFileSync(join(repositoryRoot, file), 'utf8');
  const blocks = [...text.matchAll(/^```\w*\n(.*?)^```/gms)].map(([, block]) => block ?? '');
  return blocks.flatMap((block) =>
    [...block.matchAll(/(?:^|\s)(?:afterclap|\S*\/afterclap\.mjs) ([a-z-]+(?: [^\n]*)?)$/gm)].map(([, written = '']) => {
      const line = written.replace(/\s+(?:#|>|\|\|).*$/, '').trim();
      // An expression of a workflow is one word.
      return { line, words: line.replaceAll(/\$\{\{.*?\}\}/g, 'x').split(/\s+/) };
    }),
  );
}

describe.each(['README.md', 'server/docs/ci.md'])('%s', (file) => {
  const shown = commandLines(file);

  test('shows command lines', () => {
    expect(shown.length).toBeGreaterThan(5);
  });

  test.each([...new Set(shown.map(({ words }) => words[0] ?? ''))])(
    '%s is a command, with the flags that are shown',
    async (name) => {
      const { exitCode, stdout } = await cli.run([name, '--help'], repositoryRoot);
      expect(exitCode).toBe(0);
      const flags = shown
        .filter(({ words }) => words[0] === name)
        .flatMap(({ words }) => words.filter((word) => /^--[a-z]/.test(word)));
      for (const flag of flags) expect(stdout).toMatch(new RegExp(`^  ${flag}(?: |$)`, 'm'));
    },
  );
});
