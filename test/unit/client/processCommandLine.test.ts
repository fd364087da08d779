/**
 * The command line as the editor runs it: what it hands on, and that stopping it leaves nothing behind.
 */

import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ProgressEvent } from '../../../client/src/commandLine/commandLine.ts';
import { processCommandLine } from '../../../client/src/node/processCommandLine.ts';
import { buildCli, type Cli } from '../cli/runCli.ts';
import { SAMPLE_RATE, waveOf } from '../measure/recordings.ts';

let folder: string;
let cli: Cli;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'afterclap-process-'));
  cli = await buildCli();
});
afterAll(() => {
  rmSync(folder, { recursive: true });
  cli.dispose();
});

function script(text: string): string {
  const path = join(folder, 'script.mjs');
  writeFileSync(path, text);
  return path;
}

describe('a run', () => {
  test('hands on words, folder, output and messages; no shell reads them', async () => {
    const echo = script(
      'console.log(JSON.stringify([process.argv.slice(2), process.cwd()])); console.error("afterclap: no $HOME");',
    );
    const { exitCode, output, messages } = await processCommandLine(echo)({ words: ['a b', '$HOME', '*'], folder });
    expect([exitCode, JSON.parse(output), messages]).toEqual([0, [['a b', '$HOME', '*'], folder], ['no $HOME']]);
  });

  test('tells what is printed as it comes, with messages as they were written', async () => {
    const talk = script(
      'console.log("one"); setTimeout(() => { console.error("afterclap: two"); console.error("{\\"share\\":1,\\"step\\":\\"x\\"}"); }, 50);',
    );
    const texts: string[] = [];
    const { output, messages } = await processCommandLine(talk)({ words: [], folder, onText: (text) => texts.push(text) });
    expect([texts.join(''), output, messages]).toEqual(['one\nafterclap: two\n', 'one\n', ['two']]);
  });

  test('takes lines as they were written, however they come', async () => {
    const pieces = script(`
      const write = (text) => new Promise((done) => process.stderr.write(text, () => setTimeout(done, 20)));
      await write('{"share":0.5,"st'); await write('ep":"one"}\\r\\nafter'); await write('clap: two\\nthree');
      process.exitCode = 2;`);
    const events: ProgressEvent[] = [];
    const run = await processCommandLine(pieces)({ words: [], folder, onProgress: (event) => events.push(event) });
    expect(run).toEqual({ exitCode: 2, output: '', messages: ['two', 'three'] });
    expect(events).toEqual([{ share: 0.5, step: 'one', timeLeft: null, done: null }]);
  });

  test('that can not begin is told like one that failed', async () => {
    const { exitCode, messages } = await processCommandLine(cli.bundle)({ words: ['list'], folder: join(folder, 'gone') });
    expect(exitCode).toBeNull();
    expect(messages[0]).toMatch(/^the command line could not be started: /);
  });
});

describe('stopping a measurement', () => {
  test('ends it by itself, with its own sentence, and leaves no report and no half file', async () => {
    const day = mkdtempSync(join(folder, 'day-'));
    // Long enough to be in the middle of it when the first step is told.
    const scene = waveOf(
      Float64Array.from({ length: 60 * SAMPLE_RATE }, (_, index) => 0.1 * Math.sin(index * index)),
      {
        kind: 's16',
      },
    );
    for (const name of ['a.wav', 'b.wav', 'c.wav', 'd.wav']) writeFileSync(join(day, name), scene);
    const stopper = new AbortController();
    const { exitCode, messages } = await processCommandLine(cli.bundle)({
      words: ['measure', '.', '--out=day.alignment.json', '--progress=json'],
      folder: day,
      signal: stopper.signal,
      onProgress: () => stopper.abort(),
    });
    expect(exitCode).toBe(2);
    expect(messages.at(-1)).toContain('nothing was written');
    expect(readdirSync(day).sort()).toEqual(['a.wav', 'b.wav', 'c.wav', 'd.wav']);
    expect(existsSync(join(day, 'day.alignment.json'))).toBe(false);
  });
});
