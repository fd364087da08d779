/**
 * The first hour in a real editor: the walkthrough, from the sample to the chart, as a person clicks through it; the tasks; and what is
 * said where there is nothing to show. Pictures in light and dark are left in test/editor/output to be looked at.
 */

import { execFile } from 'node:child_process';
import { cp, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, type Theme } from './editorHost.ts';
import { packApart } from './packApart.ts';
import { again, chooseTheme, command, output, PATIENCE_MS, picture, toast } from './person.ts';
import { runSuite } from './runSuite.ts';

const root = join(import.meta.dirname, '..', '..');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor/welcome skipped: ${skipped}`);

const STEPS: readonly string[] = [
  'Open a cut',
  'Read a finding',
  'Slip a clip',
  'See the whole cut',
  'Measure a folder',
  'Review a new version',
];
const THEMES: readonly (readonly [string, Theme])[] = [
  ['light', 'Default Light Modern'],
  ['dark', 'Default Dark Modern'],
];

describe.skipIf(skipped !== null)('the first steps in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  let page: Page;

  beforeAll(async () => {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    await mkdir(output, { recursive: true });
    const { vsix, folder } = await packApart();
    const empty = await mkdtemp(join(tmpdir(), 'afterclap-empty-'));
    host = await startEditorHost(vsix, empty);
    for (const path of [empty, folder]) await rm(path, { recursive: true });
  }, 300_000);

  afterAll(() => host?.stop(), 60_000);

  it('the walkthrough shows each of its steps with its picture', async () => {
    page = await open('Default Light Modern');
    await openWalkthrough();
    for (const [name, theme] of THEMES) {
      await chooseTheme(page, theme);
      for (const [index, title] of STEPS.entries()) {
        await step(title).click();
        await expanded(title).waitFor();
        // The pictures stand in frames of their own, which come a little later.
        await page.waitForTimeout(700);
        await picture(page, `welcome-${index + 1}-${name}`);
      }
    }
    expect(await page.locator('.getting-started-step .step-title').allTextContents()).toEqual(STEPS);
  }, 200_000);

  it('its first step copies the sample into a folder of its own and opens the cut', async () => {
    await writeFile(join(host.workspace, 'millrace'), 'somebody else has this name');
    await step('Open a cut').click();
    await page.getByRole('button', { name: 'Open the Sample' }).click();
    const dialog = page.locator('.quick-input-widget');
    await dialog.getByText('Where shall the folder of the sample go?').waitFor();
    await picture(page, 'welcome-where');
    await dialog.getByText('Copy the Sample Here').click();
    await page.locator('.tab.active').getByText('millrace.edl').waitFor();
    await toast(page, 'Everything in it is invented; change it as you like.').waitFor();
    await picture(page, 'welcome-sample');
    expect(await readFile(join(host.workspace, 'millrace'), 'utf8')).toBe('somebody else has this name');
    const copy = join(host.workspace, 'millrace-2');
    expect((await readdir(copy)).toSorted()).toEqual((await readdir(join(root, 'samples'))).toSorted());
    for (const name of await readdir(copy)) {
      expect(await readFile(join(copy, name))).toEqual(await readFile(join(root, 'samples', name)));
    }
  }, 200_000);

  it('the next steps lead into the text from the page, and are ticked off', async () => {
    await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor();
    // The numbers are those of samples/README.md: the first finding of the edit list is a sound one frame early. A hover that
    // the editor closes while its text comes is asked for again.
    await again(page, async () => {
      await clickStep('Read a finding', 'Show the Next Finding');
      await page.locator('.monaco-hover:visible').getByText('leads').first().waitFor({ timeout: 10_000 });
    });
    await picture(page, 'welcome-hover');
    await again(page, async () => {
      await clickStep('Slip a clip', 'Show What Can Be Done');
      await page.locator('.action-widget').getByText('1 frame at 23.976').first().waitFor({ timeout: 10_000 });
    });
    await picture(page, 'welcome-fixes');
    await page.keyboard.press('Escape');
    await clickStep('See the whole cut', 'Open the Lag Chart');
    await page.getByRole('tab', { name: /^Lag chart: millrace\.edl/ }).waitFor();
    await showWalkthrough();
    for (const title of STEPS.slice(0, 4)) await ticked(title).waitFor();
    expect(await ticked('Review a new version').count()).toBe(0);
    await picture(page, 'welcome-ticked');
    await page.context().close();
  }, 300_000);

  it('a timeline without a report says so in its status, and what to do', async () => {
    await putSample();
    const alone = join(host.workspace, 'alone.edl');
    await writeFile(alone, await readFile(join(root, 'samples', 'millrace.edl')));
    page = await open('Default Light Modern', alone);
    const lens = page.locator('.codelens-decoration').getByText('nothing compared: no alignment report');
    await lens.waitFor();
    for (const [name, theme] of THEMES) {
      await chooseTheme(page, theme);
      await page.locator('[id="status.languageStatus"]').hover();
      await page.locator('.hover-language-status').getByText('No alignment report, so nothing is compared').waitFor();
      await picture(page, `welcome-no-report-${name}`);
      const message = toast(page, 'No report is used: no file *.alignment.json stands');
      await again(page, async () => {
        await lens.click();
        await message.getByText('Measure Recordings...').waitFor({ timeout: 5000 });
      });
      await picture(page, `welcome-no-report-why-${name}`);
      await command(page, 'Notifications: Clear All Notifications');
    }
    await page.context().close();
    await rm(alone);
  }, 200_000);

  it('the check runs as a task', async () => {
    await putSample();
    page = await open('Default Light Modern');
    await again(page, async () => {
      await command(page, 'Tasks: Run Task');
      const row = page.locator('.quick-input-widget .monaco-list-row');
      await row.filter({ hasText: 'afterclap' }).first().click({ timeout: 5000 });
      await row.filter({ hasText: 'check all timelines' }).first().click({ timeout: 20_000 });
    });
    await page.locator('.terminal-tab, .single-terminal-tab').getByText('check all timelines').waitFor();
    await page.waitForTimeout(3000);
    for (const [name, theme] of THEMES) {
      await chooseTheme(page, theme);
      await picture(page, `task-terminal-${name}`);
    }
    await page.context().close();
  }, 200_000);

  it('commands and tasks do all that the suite asks', async () => {
    await putSample();
    const tasks = [
      { label: 'own tolerance', type: 'afterclap', command: 'check', arguments: ['--tolerance=lead=50ms,lag=1f'] },
      { label: 'nonsense', type: 'afterclap', command: 'erase' },
    ];
    await mkdir(join(host.workspace, '.vscode'));
    await writeFile(join(host.workspace, '.vscode', 'tasks.json'), JSON.stringify({ version: '2.0.0', tasks }));
    const { code, log } = await runSuite(host, 'welcome.ts');
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 300_000);

  async function open(theme: Theme, path?: string): Promise<Page> {
    const payload = path === undefined ? [] : ([['openFile', host.address(path)]] as const);
    const opened = await host.openPage(theme, payload, { showsMessages: true });
    opened.setDefaultTimeout(2 * PATIENCE_MS);
    // The walkthrough has its pictures only where there is room beside the words.
    await opened.setViewportSize({ width: 1600, height: 900 });
    return opened;
  }

  /** The sample as its command leaves it, whatever the tests before have done. */
  async function putSample(): Promise<void> {
    for (const name of ['millrace', 'millrace-2']) await rm(join(host.workspace, name), { recursive: true, force: true });
    await cp(join(root, 'samples'), join(host.workspace, 'millrace'), { recursive: true });
  }

  async function openWalkthrough(): Promise<void> {
    await again(page, async () => {
      await command(page, 'Welcome: Open Walkthrough...');
      const row = page.locator('.quick-input-list .monaco-list-row');
      await row.getByText('Start with Afterclap').first().click({ timeout: 5000 });
      await step('Open a cut').waitFor({ timeout: 10_000 });
    });
  }

  async function showWalkthrough(): Promise<void> {
    await page
      .getByRole('tab', { name: /^Welcome/ })
      .first()
      .click();
    await page.locator('.gettingStartedContainer').waitFor();
  }

  /** Once the step is open, its button is pressed; a click in the middle of its opening is lost. */
  async function clickStep(title: string, button: string): Promise<void> {
    await showWalkthrough();
    await again(page, async () => {
      if ((await expanded(title).count()) === 0) await step(title).click({ timeout: 5000 });
      await page.getByRole('button', { name: button }).click({ timeout: 5000 });
    });
  }

  function step(title: string): Locator {
    return page.locator('.getting-started-step').filter({ hasText: title }).locator('.step-title').first();
  }

  function expanded(title: string): Locator {
    return page.locator('.getting-started-step.expanded').filter({ hasText: title });
  }

  function ticked(title: string): Locator {
    return page.locator('.getting-started-step').filter({ hasText: title }).locator('.codicon.complete');
  }
});
