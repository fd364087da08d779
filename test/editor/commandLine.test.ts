/**
 * Measuring a folder and comparing with the last commit in a real editor: what the suite asks of the extension host, and the way a
 * person goes, with the editor's own dialogs, messages and Cancel. Pictures are left in test/editor/output to be looked at.
 */

import { execFile } from 'node:child_process';
import { cp, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, reasonToSkip, startEditorHost, type Theme } from './editorHost.ts';
import { runSuite } from './runSuite.ts';
import { fillLongDay, makeShoot, reasonWithoutGit } from './shoot.ts';

const run = promisify(execFile);
const root = join(import.meta.dirname, '..', '..');
const output = join(import.meta.dirname, 'output');
const skipped = reasonToSkip() ?? (await reasonWithoutGit());
if (skipped !== null) console.log(`test/editor/commandLine skipped: ${skipped}`);

describe.skipIf(skipped !== null)('commands that start programs, in a real editor', () => {
  let host: EditorHost;
  /** One page for all that is measured, so that the extension starts once. */
  let page: Page;

  beforeAll(async () => {
    await run(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const folder = await mkdtemp(join(tmpdir(), 'afterclap-vsix-'));
    const vsix = join(folder, 'afterclap.vsix');
    await run('npm', ['run', 'package', '--', '--out', vsix], { cwd: root });
    await mkdir(output, { recursive: true });
    const shoot = await makeShoot();
    host = await startEditorHost(vsix, shoot);
    await fillLongDay(join(host.workspace, 'long'));
    await rm(shoot, { recursive: true });
    await rm(folder, { recursive: true });
    page = await open('Default Light Modern');
  }, 300_000);

  afterAll(() => host?.stop(), 60_000);

  it('a person measures a folder, and the report opens', async () => {
    await askForFolder();
    await picture(page, 'measure-clap-log');
    await page.keyboard.press('Enter');
    const message = toast(page, 'day2.alignment.json');
    await message.waitFor();
    expect(await message.textContent()).toContain('2 pairs in day2.alignment.json. Check the cut by eye and ear.');
    await page.locator('.tab.active').getByText('day2.alignment.json').waitFor();
    await picture(page, 'measure-report');
    await message.getByText('Show Output').click();
    // The channel comes to the front. Its text goes through a native part that this host, built without any, does not have.
    const channel = page.locator('.part.panel select').first();
    await channel.waitFor({ state: 'attached' });
    await expect.poll(() => channel.evaluate(selectedText), { timeout: 30_000 }).toBe('Afterclap: Measure and Compare');
  }, 200_000);

  it('a report that exists is never replaced without a word', async () => {
    const path = join(host.workspace, 'day2', 'day2.alignment.json');
    const before = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }\n';
    await writeFile(path, before);
    await pickFolder('day2');
    await page.keyboard.press('Enter');
    await page.locator('.quick-input-widget').getByText('Merge into day2.alignment.json').waitFor();
    await picture(page, 'measure-exists');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    await page.locator('.quick-input-widget').getByText('Name of the new report').waitFor();
    await page.keyboard.press('Control+A');
    await page.keyboard.type('day2.alignment.json');
    await page.locator('.quick-input-widget').getByText('day2.alignment.json exists').waitFor();
    await picture(page, 'measure-taken-name');
    await page.keyboard.press('Escape');
    expect(await readFile(path, 'utf8')).toBe(before);
  }, 200_000);

  it('a measurement is stopped by Cancel, and nothing is left of it', async () => {
    const before = await readdir(join(host.workspace, 'long'));
    await pickFolder('long');
    await page.keyboard.press('Enter');
    const progress = toast(page, 'Measuring long');
    await progress.getByText(/\d+ %.*DECK_00/).waitFor();
    await picture(page, 'measure-progress');
    await progress.getByText('Cancel').click();
    await toast(page, 'Measuring was stopped; long.alignment.json was not touched.').waitFor();
    expect(await readdir(join(host.workspace, 'long'))).toEqual(before);
  }, 200_000);

  it('a folder without recordings is told in the words of the command', async () => {
    await pickFolder('empty');
    await page.keyboard.press('Enter');
    await toast(
      page,
      'The recordings could not be measured: this folder holds no recording: neither WAV nor a camera file',
    ).waitFor();
    await picture(page, 'measure-empty');
    expect(await readdir(join(host.workspace, 'day2', 'empty'))).toEqual([]);
    await page.context().close();
  }, 200_000);

  it('a changed cut is reviewed beside its timeline, and its clips are marked', async () => {
    const path = join(host.workspace, 'millrace.edl');
    const committed = await readFile(path, 'utf8');
    await run(process.execPath, [join(root, 'dist', 'afterclap.mjs'), 'check', path, '--fix']).catch(() => undefined);
    for (const [name, theme] of [
      ['light', 'Default Light Modern'],
      ['dark', 'Default Dark Modern'],
      ['contrast', 'Default High Contrast'],
    ] as const) {
      const page = await open(theme, path);
      await page.setViewportSize({ width: 1500, height: 850 });
      await page.locator('.monaco-editor .view-line').first().click();
      await command(page, 'Afterclap: Compare with the Last Commit');
      await page.locator('.tab.active').getByText('millrace.edl since the last commit').waitFor();
      await page.keyboard.press('Control+B');
      await page.locator('.detected-link').first().waitFor();
      await picture(page, `compare-${name}`);
      if (name === 'dark') {
        await page.getByText('09:12:48:02').first().hover();
        await page.locator('.monaco-hover:visible').getByText('Since the last commit').waitFor();
        await picture(page, 'compare-hover');
      }
      expect(await page.locator('.margin-view-overlays .codicon, .glyph-margin-widgets .cgmr').count()).toBeGreaterThan(0);
      await page.context().close();
    }
    await writeFile(path, committed);
  }, 300_000);

  it('outside of git there is one clear message', async () => {
    const path = join(host.workspace, '..', 'alone.edl');
    await cp(join(host.workspace, 'millrace.edl'), path);
    const page = await open('Default Dark Modern', path);
    await page.locator('.monaco-editor .view-line').first().click();
    await command(page, 'Afterclap: Compare with the Last Commit');
    await toast(page, "alone.edl can't be compared with the last commit: not a git repository").waitFor();
    await picture(page, 'compare-no-git');
    await page.context().close();
  }, 200_000);

  it('the commands do all that the suite asks', async () => {
    await rm(join(host.workspace, 'day2', 'day2.alignment.json'), { force: true });
    const { code, log } = await runSuite(host, 'commandLine.ts');
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 300_000);

  async function open(theme: Theme, path?: string): Promise<Page> {
    const page = await host.openPage(theme, path === undefined ? [] : [['openFile', host.address(path)]], undefined, true);
    // The first command starts the extension, which takes its time on a busy machine.
    page.setDefaultTimeout(90_000);
    return page;
  }

  /** By the palette and the editor's own folder dialog, up to the question for the clap log. */
  async function askForFolder(): Promise<void> {
    const dialog = page.locator('.quick-input-widget');
    await again(page, async () => {
      await command(page, 'Afterclap: Measure Recordings in a Folder...');
      await dialog.getByText('Folder with the recordings').waitFor({ timeout: STEP_MS });
      await dialog.locator('.monaco-list-row').first().waitFor({ timeout: STEP_MS });
      await dialog
        .locator('input[type=text]')
        .first()
        .fill(`${join(host.workspace, 'day2')}/`);
      await dialog.locator('.monaco-list-row').filter({ hasText: 'empty' }).waitFor({ timeout: STEP_MS });
    });
    await dialog.getByText('Measure', { exact: true }).click();
    await dialog.getByText('Is there a clap log?').waitFor();
  }

  /** By the explorer's menu, where the folder is in sight. */
  async function pickFolder(name: string): Promise<void> {
    const explorer = page.locator('.explorer-folders-view');
    await page.keyboard.press('Escape');
    const row = explorer.getByText(name, { exact: true });
    const item = page.locator('.context-view .action-label').getByText('Measure Recordings in a Folder...');
    await again(page, async () => {
      await row.click({ button: 'right', timeout: STEP_MS });
      await item.click({ timeout: STEP_MS });
      await page.locator('.quick-input-widget').getByText('Is there a clap log?').waitFor({ timeout: 30_000 });
    });
  }
});

/** Runs in the page. */
function selectedText(select: unknown): string | null {
  return (
    (select as { readonly selectedOptions: readonly { readonly textContent: string | null }[] }).selectedOptions[0]
      ?.textContent ?? null
  );
}

/** Things of the editor fade in. */
async function picture(page: Page, name: string): Promise<void> {
  await page.waitForTimeout(600);
  await page.screenshot({ path: join(output, `${name}.png`) });
}

async function command(page: Page, title: string): Promise<void> {
  const found = page.locator('.quick-input-list .monaco-list-row').filter({ hasText: title }).first();
  await again(page, async () => {
    await page.keyboard.press('F1');
    await page.locator('.quick-input-widget input').first().waitFor({ timeout: STEP_MS });
    await page.keyboard.type(title);
    await found.waitFor({ timeout: STEP_MS });
  });
  await page.keyboard.press('Enter');
}

const STEP_MS = 5000;
const LARGEST_ATTEMPT_COUNT = 10;

/** A busy machine may lose keys, or not know the commands before the extension is read. */
async function again(page: Page, step: () => Promise<void>): Promise<void> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      await step();
      return;
    } catch (error) {
      if (attempt === LARGEST_ATTEMPT_COUNT) {
        await page.screenshot({ path: join(output, 'command-failed.png') });
        throw error;
      }
      await page.keyboard.press('Escape');
    }
  }
}

function toast(page: Page, text: string): Locator {
  return page.locator('.notification-toast, .notification-list-item').filter({ hasText: text }).first();
}
