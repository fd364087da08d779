/**
 * Kate with the set-up of our page. Debian 12 has 22.12, whose language client asks for no diagnostics, watches no files, takes no versioned
 * edits, and knows a language by its highlighting alone. A lead of one frame and a lag of three at 24000/1001 are 2002 and 6006 samples at
 * 48 kHz (SMPTE ST 12-1 rates).
 */

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { firstLineOf } from './editorRun.ts';
import { type Kate, startKate, until } from './kateRun.ts';

const FIXTURES = join(import.meta.dirname, '..', 'fixtures', 'editor');
const RENAMED = ['day1.alignment.json', 'interview.otio', 'interview.timeline.xml'];

const START_PATIENCE_MS = 100_000;

// Without a screen it says its version only where it is told to do without.
const version = await firstLineOf('env', ['QT_QPA_PLATFORM=offscreen', 'kate', '--version'], 'Kate is not installed here');
const tools = await firstLineOf(
  'sh',
  ['-c', 'command -v Xvfb && command -v xdotool'],
  'Kate needs Xvfb and xdotool to be driven',
);

describe.skipIf(version === null || tools === null)(`in ${version ?? 'Kate (not installed)'}`, () => {
  let kate: Kate;
  let fixed: string;

  beforeAll(async () => {
    kate = await startKate('interview.edl', 6, 30);
    const original = await kate.workspace.read('interview.edl');
    fixed = original.replace('00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00');
    expect(fixed).not.toBe(original);
  }, START_PATIENCE_MS);

  afterAll(() => kate?.leave());

  it('the server is started for our files, in the folder of the report', async () => {
    const { params } = await kate.answerTo('initialize');
    expect(params.rootUri.replace(/\/$/, '')).toBe(kate.workspace.uri(''));
    expect((await kate.told('textDocument/didOpen')).params.textDocument.uri).toBe(kate.workspace.uri('interview.edl'));
  });

  it('Symbol Info shows the times and the lag', async () => {
    await kate.keys('alt+l', 'y');
    const { result } = await kate.answerTo('textDocument/hover');
    expect(result.contents.value).toContain('deck-01 leads cam-a-01 by 1 frame (41.7 ms, 2002 samples).');
    await kate.keys('Escape');
  });

  it('Go to Definition opens the report at the recording', async () => {
    await kate.keys('alt+l', 'g');
    const { result } = await kate.answerTo('textDocument/definition');
    const { line, character } = result[0].range.start;
    const report = await kate.workspace.read('day1.alignment.json');
    expect(report.split('\n')[line]?.slice(character)).toMatch(/^"deck-01"/);
    await kate.titled('day1.alignment.json');
    await kate.keys('ctrl+w');
    await kate.titled('interview.edl');
  });

  it('Find References finds all clips of the recording in all timelines of the folder', async () => {
    await kate.keys('ctrl+alt+l');
    const { result } = await kate.answerTo('textDocument/references');
    // Four clips in each of three timelines, the entry of the report and its pair.
    expect(result).toHaveLength(14);
  });

  it('Code Action makes the fix that was chosen, and no other change', async () => {
    await kate.keys('alt+l', 'c');
    const { result } = await kate.answerTo('textDocument/codeAction');
    expect(result[0].title).toBe("Slip 'INTERVIEW, QUESTION SOUND' to be heard 1 frame at 23.976 (41.7 ms) later");
    await kate.keys('Down', 'Return');
    await kate.told('textDocument/didChange');
    await kate.keys('ctrl+s');
    await kate.told('textDocument/didSave');
    expect(await kate.workspace.read('interview.edl')).toBe(fixed);
  });

  it('findings are known to it by their codes, and Quick Fix makes all fixes at once, as the page warns', async () => {
    await until('findings of the fixed text', async () => {
      const told = (await kate.passed()).filter(({ message }) => message?.method === 'textDocument/publishDiagnostics');
      return told.at(-1)?.message.params.diagnostics.length === 1 ? true : null;
    });
    // To line 14, where the other finding is.
    await kate.keys('ctrl+g', '1', '4', 'Return', 'ctrl+period');
    const { params } = await kate.answerTo('textDocument/codeAction', 2);
    expect(params.context.diagnostics).toMatchObject([{ code: 'sound-lags', range: { start: { line: 13, character: 29 } } }]);
    expect(params.context.diagnostics[0].message).toContain('Sound deck-01 lags by 125.1 ms (3 frames at 23.976, 6006 samples)');
    const spoiled = await until('a number over the other', async () => {
      const text = (await kate.texts()).at(-1);
      return text?.includes('00:00:37:1200:00:37:12') ? text : null;
    });
    expect(spoiled).not.toBe(fixed);
  });

  it('Undo takes back what was too much', async () => {
    for (let step = 0; step < 6 && (await kate.texts()).at(-1) !== fixed; step += 1) {
      const before = (await kate.texts()).length;
      await kate.keys('ctrl+z');
      await until('the text before', async () => ((await kate.texts()).length > before ? true : null));
    }
    expect((await kate.texts()).at(-1)).toBe(fixed);
  });

  it('a report that another program wrote counts once a file is saved', async () => {
    const report = await kate.workspace.read('day1.alignment.json');
    await kate.workspace.write('day1.alignment.json', report.replace('"sample": 264264', '"sample": 262262'));
    // What was undone counts as not saved.
    await kate.keys('ctrl+s');
    await kate.told('textDocument/didSave', 2);
    // By the new report the clap is heard one frame earlier: what was in leads by one, what lagged by three lags by two.
    const codes = await until('findings by the new report', async () => {
      const told = (await kate.passed()).filter(({ message }) => message?.method === 'textDocument/publishDiagnostics');
      const found = told.at(-1)?.message.params.diagnostics.map(({ code }: { readonly code: string }) => code);
      return found?.length === 4 ? [...found].sort() : null;
    });
    expect(codes).toEqual(['sound-lags', 'sound-leads', 'sound-leads', 'sound-leads']);
  });

  it('the server ends with it', async () => {
    await kate.keys('ctrl+q');
    expect(await kate.ended()).toBe(true);
  });
});

describe.skipIf(version === null || tools === null)(`renaming in ${version ?? 'Kate (not installed)'}`, () => {
  let kate: Kate;

  afterAll(() => kate?.leave());

  it('changes the report and every timeline that names the recording', { timeout: START_PATIENCE_MS }, async () => {
    const text = await readFile(join(FIXTURES, 'interview.otio'), 'utf8');
    const lines = text.slice(0, text.indexOf('DECK_0001')).split('\n');
    kate = await startKate('interview.otio', lines.length, (lines.at(-1)?.length ?? 0) + 2);
    await kate.keys('F2');
    await kate.dialog('Rename', 'ctrl+a');
    await kate.type('DECK_0099.wav');
    await kate.keys('Return');
    const { result } = await kate.answerTo('textDocument/rename');
    expect(
      Object.keys(result.changes)
        .map((uri) => uri.split('/').at(-1))
        .sort(),
    ).toEqual(RENAMED);
    await until('the new name', async () => ((await kate.texts()).length >= RENAMED.length ? true : null));
    // Saves all files.
    await kate.dialog('interview', 'ctrl+l');
    await kate.told('textDocument/didSave', RENAMED.length);
    for (const name of RENAMED) {
      const before = await readFile(join(FIXTURES, name), 'utf8');
      expect(before).toContain('DECK_0001');
      expect(await kate.workspace.read(name)).toBe(before.replaceAll('DECK_0001', 'DECK_0099'));
    }
  });
});
