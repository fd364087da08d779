/**
 * Measuring a folder and comparing with the last commit in a real editor: what the suite asks of the extension host, and the way a
 * person goes, with the editor's own dialogs, messages and Cancel. Pictures are left in test/editor/output to be looked at.
 */

import { execFile } from 'node:child_process';
import { cp, mkdir, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, THEMES } from './editorHost.ts';
import { packApart } from './packApart.ts';
import {
  again,
  chooseFromMenu,
  chooseTheme,
  command,
  openFile,
  output,
  PATIENCE_MS,
  picture,
  toast,
  untilStarted,
} from './person.ts';
import { runSuite } from './runSuite.ts';
import { fillLongDay, makeShoot, reasonWithoutGit } from './shoot.ts';

const run = promisify(execFile);
const skipped = reasonToSkip() ?? (await reasonWithoutGit());
if (skipped !== null) console.log(`test/editor/commandLine skipped: ${skipped}`);

describe.skipIf(skipped !== null)('commands that start programs, in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  let commandLine: string;
  let packed: string;
  /** One page for all, so that the extension starts once; another one after a failure. */
  let page: Page | null = null;

  beforeAll(async () => {
    await run(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const { vsix, folder } = await packApart();
    packed = folder;
    commandLine = join(folder, 'dist', 'afterclap.mjs');
    await mkdir(output, { recursive: true });
    const shoot = await makeShoot();
    host = await startEditorHost(vsix, shoot);
    await fillLongDay(join(host.workspace, 'long'));
    await rm(shoot, { recursive: true });
  }, 300_000);

  beforeEach(async () => {
    if (page !== null) return;
    page = await host.openPage('Default Light Modern', [], { showsMessages: true });
    page.setDefaultTimeout(PATIENCE_MS);
    await untilStarted(page);
  }, 90_000);

  afterEach(async ({ task }) => {
    if (task.result?.state !== 'fail') return;
    await page?.screenshot({ path: join(output, `failed-${task.name.replaceAll(/\W+/g, '-')}.png`) });
    await page?.context().close();
    page = null;
  }, 60_000);

  afterAll(async () => {
    await host?.stop();
    await rm(packed, { recursive: true, force: true });
  }, 60_000);

  it('a person measures a folder, and the report opens', async () => {
    const seen = shown();
    await rm(join(host.workspace, 'day2', 'day2.alignment.json'), { force: true });
    await askForFolder(seen);
    await seen.keyboard.press('Enter');
    const message = toast(seen, 'day2.alignment.json');
    await message.waitFor();
    expect(await message.textContent()).toContain('2 pairs in day2.alignment.json. Check the cut by eye and ear.');
    await seen.locator('.tab.active').getByText('day2.alignment.json').waitFor();
    await picture(seen, 'measure-report');
    await message.getByText('Show Output').click();
    // The channel comes to the front. Its text goes through a native part that this host, built without any, does not have.
    const channel = seen.locator('.part.panel select').first();
    await channel.waitFor({ state: 'attached' });
    await expect.poll(() => channel.evaluate(selectedText), { timeout: PATIENCE_MS }).toBe('Afterclap: Measure and Compare');
  }, 90_000);

  it('a report that exists is never replaced without a word', async () => {
    const seen = shown();
    const path = join(host.workspace, 'day2', 'day2.alignment.json');
    const before = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }\n';
    await writeFile(path, before);
    const dialog = seen.locator('.quick-input-widget');
    await pickFolder(seen, 'day2');
    await seen.keyboard.press('Enter');
    await dialog.getByText('Merge into day2.alignment.json').waitFor();
    await picture(seen, 'measure-exists');
    await seen.keyboard.press('ArrowDown');
    await seen.keyboard.press('Enter');
    await dialog.getByText('Name of the new report').waitFor();
    await dialog.locator('input').first().fill('day2.alignment.json');
    await dialog.getByText('day2.alignment.json exists').waitFor();
    await picture(seen, 'measure-taken-name');
    await seen.keyboard.press('Escape');
    await dialog.waitFor({ state: 'hidden' });
    expect(await readFile(path, 'utf8')).toBe(before);
  }, 60_000);

  it('a measurement is stopped by Cancel, and nothing is left of it', async () => {
    const seen = shown();
    const before = await readdir(join(host.workspace, 'long'));
    await pickFolder(seen, 'long');
    await seen.keyboard.press('Enter');
    const progress = toast(seen, 'Measuring long');
    await progress.getByText(/\d+ %.*DECK_00/).waitFor();
    await picture(seen, 'measure-progress');
    await progress.getByText('Cancel').click();
    await toast(seen, 'Measuring was stopped; long.alignment.json was not touched.').waitFor();
    expect(await readdir(join(host.workspace, 'long'))).toEqual(before);
  }, 60_000);

  it('what is asked can be looked at in light, dark and high contrast', async () => {
    const seen = shown();
    for (const [name, theme] of Object.entries(THEMES)) {
      await chooseTheme(seen, theme);
      await pickFolder(seen, 'day2');
      await picture(seen, `measure-clap-log-${name}`);
      await seen.keyboard.press('Escape');
    }
  }, 60_000);

  it('a folder without recordings is told in the words of the command', async () => {
    const seen = shown();
    await pickFolder(seen, 'empty');
    await seen.keyboard.press('Enter');
    const words = 'The recordings could not be measured: this folder holds no recording: neither WAV nor a camera file';
    await toast(seen, words).waitFor();
    for (const [name, theme] of Object.entries(THEMES)) {
      await chooseTheme(seen, theme);
      await picture(seen, `measure-empty-${name}`);
    }
    expect(await readdir(join(host.workspace, 'day2', 'empty'))).toEqual([]);
  }, 60_000);

  it('a changed cut is reviewed beside its timeline, and its clips are marked quietly', async () => {
    const seen = shown();
    const path = join(host.workspace, 'millrace.edl');
    const committed = await readFile(path, 'utf8');
    await run(process.execPath, [commandLine, 'check', path, '--fix']).catch(() => undefined);
    await seen.setViewportSize({ width: 1500, height: 850 });
    await openFile(seen, 'millrace.edl');
    if (await seen.locator('.part.panel').isVisible()) await seen.keyboard.press('Control+J');
    await command(seen, 'Notifications: Clear All Notifications');
    await command(seen, 'Afterclap: Compare with the Last Commit');
    await seen.locator('.tab.active').getByText('millrace.edl since the last commit').waitFor();
    await seen.locator('.detected-link').first().waitFor();
    await seen.keyboard.press('Control+B');
    const marks = seen.locator('.glyph-margin-widgets .cgmr');
    await expect.poll(() => marks.count(), { timeout: PATIENCE_MS }).toBeGreaterThan(0);
    for (const [name, theme] of Object.entries(THEMES)) {
      await chooseTheme(seen, theme);
      await picture(seen, `compare-${name}`);
    }
    await again(seen, async () => {
      await seen.getByText('09:12:48:02').first().hover();
      await seen.locator('.monaco-hover:visible').getByText('Since the last commit').waitFor({ timeout: 5_000 });
    });
    await picture(seen, 'compare-hover');
    // The marks go with the review.
    await seen.locator('.tab.active').getByText('millrace.edl since the last commit').click({ button: 'middle' });
    await expect.poll(() => marks.count(), { timeout: PATIENCE_MS }).toBe(0);
    await writeFile(path, committed);
  }, 90_000);

  it('outside of git there is one clear message', async () => {
    const seen = shown();
    const path = join(host.workspace, '..', 'alone.edl');
    await cp(join(host.workspace, 'millrace.edl'), path);
    await openFile(seen, path);
    await command(seen, 'Afterclap: Compare with the Last Commit');
    await toast(seen, "alone.edl can't be compared with the last commit: not a git repository").waitFor();
    await picture(seen, 'compare-no-git');
  }, 60_000);

  it('the commands do all that the suite asks', async () => {
    await page?.context().close();
    page = null;
    await rm(join(host.workspace, 'day2', 'day2.alignment.json'), { force: true });
    const { code, log } = await runSuite(host, 'commandLine.ts');
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 120_000);

  function shown(): Page {
    if (page === null) throw new Error('no page is open');
    return page;
  }

  /** By the palette and the editor's own folder dialog, up to the question for the clap log. */
  async function askForFolder(seen: Page): Promise<void> {
    const dialog = seen.locator('.quick-input-widget');
    const folder = `${join(host.workspace, 'day2')}/`;
    await command(seen, 'Afterclap: Measure Recordings in a Folder...');
    await dialog.getByText('Folder with the recordings').waitFor();
    await dialog.locator('.monaco-list-row').first().waitFor();
    await dialog.locator('input[type=text]').first().fill(folder);
    await dialog.locator('.monaco-list-row').filter({ hasText: 'empty' }).waitFor();
    await dialog.getByText('Measure', { exact: true }).click();
    await dialog.getByText('Is there a clap log?').waitFor();
  }

  /** By the explorer's menu. */
  async function pickFolder(seen: Page, name: string): Promise<void> {
    const tree = seen.locator('.explorer-folders-view');
    const row = tree.getByText(name, { exact: true });
    if (name === 'empty' && !(await row.isVisible())) await tree.getByText('day2', { exact: true }).click();
    await chooseFromMenu(seen, row, 'Measure Recordings in a Folder...');
    await seen.locator('.quick-input-widget').getByText('Is there a clap log?').waitFor();
  }
});

/** Runs in the page. */
function selectedText(select: unknown): string | null {
  return (
    (select as { readonly selectedOptions: readonly { readonly textContent: string | null }[] }).selectedOptions[0]
      ?.textContent ?? null
  );
}
