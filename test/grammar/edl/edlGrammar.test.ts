/**
 * Runs the grammar's assertion files through the engine that colours text in the editor.
 *
 * In an assertion file a line `*   ^^^ scope` speaks of the characters above it. By hand, from the repository's root:
 * node node_modules/vscode-tmgrammar-test/dist/unit.js --config test/grammar/edl/grammar.json 'test/grammar/edl/*.edl'
 */

import { execFile } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../../..');
const files = readdirSync(import.meta.dirname).filter((name) => name.endsWith('.edl'));

function runAssertions(path: string): Promise<{ readonly isGood: boolean; readonly output: string }> {
  const tool = resolve(root, 'node_modules/vscode-tmgrammar-test/dist/unit.js');
  const config = resolve(import.meta.dirname, 'grammar.json');
  return new Promise((done) => {
    execFile(process.execPath, [tool, '--config', config, path], { cwd: root }, (error, stdout, stderr) => {
      done({ isGood: error === null, output: `${stdout}${stderr}` });
    });
  });
}

describe('the grammar of edit decision lists', () => {
  it.each(files)('colours %s as its assertions say', async (name) => {
    const { isGood, output } = await runAssertions(resolve(import.meta.dirname, name));
    expect(isGood, output).toBe(true);
  });

  it('would be caught colouring otherwise', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'afterclap-grammar-'));
    try {
      const wrong = join(folder, 'wrong.edl');
      writeFileSync(wrong, '* SYNTAX TEST "source.afterclap-edl" "wrong"\n\nTITLE: X\n* <----- comment.line\n');
      expect((await runAssertions(wrong)).isGood).toBe(false);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('names one word of a double click: a timecode is one word', () => {
    const { wordPattern } = JSON.parse(
      readFileSync(resolve(root, 'syntaxes/afterclap-edl.language-configuration.json'), 'utf8'),
    ) as {
      wordPattern: string;
    };
    expect('001  CAM_A V C 01:00:00;00'.match(new RegExp(wordPattern, 'g'))).toEqual(['001', 'CAM_A', 'V', 'C', '01:00:00;00']);
  });
});
