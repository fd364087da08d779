/**
 * Runs the grammar's assertion files through the engine that colours text in the editor.
 *
 * In an assertion file a line `//   ^^^ scope` speaks of the characters above it. By hand, from the repository's root:
 * node node_modules/vscode-tmgrammar-test/dist/unit.js --config test/grammar/xml/grammar.json 'test/grammar/xml/*.xml'
 */

import { execFile } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { Element } from '../../../server/src/core/formats/xml/timelineVocabulary.ts';

const root = resolve(import.meta.dirname, '../../..');
const files = readdirSync(import.meta.dirname).filter((name) => name.endsWith('.timeline.xml'));
const grammar = readFileSync(resolve(root, 'syntaxes/afterclap-xml.tmLanguage.json'), 'utf8');

function runAssertions(path: string): Promise<{ readonly isGood: boolean; readonly output: string }> {
  const tool = resolve(root, 'node_modules/vscode-tmgrammar-test/dist/unit.js');
  const config = resolve(import.meta.dirname, 'grammar.json');
  return new Promise((done) => {
    execFile(process.execPath, [tool, '--config', config, path], { cwd: root }, (error, stdout, stderr) => {
      done({ isGood: error === null, output: `${stdout}${stderr}` });
    });
  });
}

describe('the grammar of timeline XML', () => {
  it.each(files)('colours %s as its assertions say', async (name) => {
    const { isGood, output } = await runAssertions(resolve(import.meta.dirname, name));
    expect(isGood, output).toBe(true);
  });

  it('would be caught colouring otherwise', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'afterclap-grammar-'));
    try {
      const wrong = join(folder, 'wrong.timeline.xml');
      writeFileSync(wrong, '// SYNTAX TEST "source.afterclap-xml" "wrong"\n<Clip>\n//^^^ comment.block\n');
      expect((await runAssertions(wrong)).isGood).toBe(false);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('knows every element of the vocabulary', () => {
    const begins = [...grammar.matchAll(/"begin": "(.*)"/g)].map((match) => match[1] ?? '');
    const words = new Set(begins.flatMap((begin) => begin.match(/[A-Z][A-Za-z]+/g) ?? []));
    expect(Object.keys(Element).filter((name) => !words.has(name))).toEqual([]);
  });

  it('has the scope under which the extension registers it', () => {
    const manifest = JSON.parse(readFileSync(resolve(root, 'package.json'), 'utf8')) as {
      contributes?: { grammars?: { language: string; scopeName: string }[] };
    };
    const registered = manifest.contributes?.grammars?.find(({ language }) => language === 'afterclap-xml');
    expect(registered?.scopeName).toBe((JSON.parse(grammar) as { scopeName: string }).scopeName);
  });
});

describe('the language configuration', () => {
  const configuration = JSON.parse(readFileSync(resolve(root, 'syntaxes/afterclap-xml.language-configuration.json'), 'utf8')) as {
    wordPattern: string;
    indentationRules: { increaseIndentPattern: string };
  };

  it('takes a timecode, a number and a name as one word each', () => {
    const words = '<EntryPoint>24</EntryPoint> 01:00:00;02 cam-a-07'.match(new RegExp(configuration.wordPattern, 'g'));
    expect(words).toEqual(['EntryPoint', '24', 'EntryPoint', '01:00:00;02', 'cam-a-07']);
  });

  it('indents after an open tag, not after a closed one', () => {
    const pattern = new RegExp(configuration.indentationRules.increaseIndentPattern);
    expect(['<Track kind="Video">', '<Clip>', '  <cut:Gap>'].filter((line) => !pattern.test(line))).toEqual([]);
    expect(
      ['<Gap/>', '<Name>x</Name>', '</Clip>', '<?xml version="1.0"?>', '<!-- <Clip> -->'].filter((line) => pattern.test(line)),
    ).toEqual([]);
  });
});
