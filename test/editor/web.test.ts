/**
 * The product in an editor that is nothing but a page: extension and server are workers, and the folder is a virtual one. What needs
 * a program is absent there or says so; all else works, and the clap desk has webDesk.test.ts. Pictures for people to look at are left
 * in test/editor/output.
 */

import { join } from 'node:path';
import type { Frame, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { RETRY_COUNT, type Theme } from './editorHost.ts';
import { chooseFromMenu, loadAnew } from './person.ts';
import { OUTPUT, startPackedWebHost } from './web/packedWebHost.ts';
import {
  again,
  chooseInChart,
  expectReadOut,
  expectSelection,
  frameWith,
  hoverOn,
  lagInChart,
  message,
  offeredCommands,
  openFile,
  runCommand,
  textAt,
  untilChecked,
} from './web/person.ts';
import { runWebSuite } from './web/runWebSuite.ts';
import { reasonToSkipWeb, type WebHost, type WebSuiteName } from './web/webHost.ts';

const skipped = await reasonToSkipWeb();
if (skipped !== null) console.log(`test/editor/web skipped: ${skipped}`);

const PATIENCE_MS = 60_000;
const TWO_DAYS = 'days/shoot.code-workspace';
/** See suite/rootChecks.ts. */
const COUNTS_OF_DAYS: Readonly<Record<string, string>> = { one: '9 in, 3 lead, 5 lag, 1 drifts', two: '12 in, 2 lead, 4 lag' };
/** The lens of the sample; see samples/README.md. */
const COUNTS = '9 in, 3 lead, 5 lag, 1 drifts';
const EARLY = 'leads by 41.7 ms, 1 frame, 2002 samples';

describe.skipIf(skipped !== null)('in an editor that is a page', { retry: RETRY_COUNT }, () => {
  let host: WebHost;

  beforeAll(async () => {
    host = await startPackedWebHost();
  }, 200_000);

  afterAll(() => host?.stop());

  it('the packed extension does all that the suite asks', async () => {
    await expectAllOk('index');
  }, 200_000);

  it('two folders in one window are checked against a report each', async () => {
    await expectAllOk('twoRoots', host.address(TWO_DAYS));
  }, 200_000);

  describe('a person', () => {
    let page: Page;
    let chart: Frame;

    beforeAll(async () => {
      page = await open('Default Dark Modern');
    }, 120_000);

    it('reads a finding, and its page opens inside of the editor', async () => {
      const hover = await hoverOn(page, '09:12:48:03', 'leads cam-a-01 by 1 frame');
      await picture(page, 'hover-dark');
      await hover.getByRole('link', { name: 'sound-leads' }).click();
      await page.locator('.tab.active').getByText('sound-leads.md').waitFor({ timeout: PATIENCE_MS });
      await frameWith(page, 'h1:has-text("sound-leads")');
      await picture(page, 'page-dark');
      await openFile(page, 'millrace/millrace.edl');
    }, 120_000);

    it('fixes a finding from the light bulb, and takes it back', async () => {
      await again(page, async () => {
        await textAt(page, '09:12:48:03').click({ timeout: 4000 });
        await page.keyboard.press('Control+.');
        await page.locator('.action-widget').getByText('Slip').first().waitFor({ timeout: 4000 });
      });
      await picture(page, 'fix-dark');
      await page.keyboard.press('Enter');
      await textAt(page, '09:12:48:02').waitFor();
      await page.getByText('leads 41.7 ms, 1 f').waitFor({ state: 'detached' });
      await page.getByText('10 in, 2 lead, 5 lag, 1 drifts').first().waitFor();
      await page.keyboard.press('Control+Z');
      await textAt(page, '09:12:48:03').waitFor();
      await page.getByText('leads 41.7 ms, 1 f').waitFor();
      await page.getByText(COUNTS).first().waitFor();
    }, 120_000);

    it('finds nothing in palette, menu or tasks that needs a program', async () => {
      const offered = await offeredCommands(page, 'Afterclap: ');
      await picture(page, 'palette-dark');
      await page.keyboard.press('Escape');
      expect(offered.filter((title) => /Lag Chart|Alignment Report|in This File/.test(title))).toHaveLength(3);
      expect(offered.filter((title) => /measure|compare|hand|convert/i.test(title))).toEqual([]);
      const menu = page.locator('.context-view .monaco-menu');
      await again(page, async () => {
        await page.locator('.explorer-folders-view').getByText('days', { exact: true }).click({ button: 'right', timeout: 4000 });
        await menu.getByText('New File').waitFor({ timeout: 4000 });
      });
      expect(await menu.getByText(/afterclap|measure|compare/i).count()).toBe(0);
      await page.keyboard.press('Escape');
      // The editor offers no tasks at all where it can start none.
      expect((await offeredCommands(page, 'Tasks: ')).filter((title) => /afterclap/i.test(title))).toEqual([]);
      await page.keyboard.press('Escape');
    }, 120_000);

    it('is told in one sentence why such a command can not run', async () => {
      await runCommand(page, 'Driver: Ask for Measuring');
      await message(page, "Measuring recordings can't be done in a browser").waitFor();
      await picture(page, 'measure-dark');
      await runCommand(page, 'Driver: Ask for Comparing');
      await message(page, "Comparing with the last commit can't be done in a browser").waitFor();
      await runCommand(page, 'Notifications: Clear All Notifications');
    }, 120_000);

    it('opens the lag chart, and a mark leads to its number in the text', async () => {
      await page.getByRole('button', { name: 'Open the Lag Chart' }).click();
      chart = await frameWith(page, 'main.page tbody tr');
      expect(await chart.locator('caption').textContent()).toBe('Comparisons: 18');
      expect(await lagInChart(chart, 'door, latch (deck)')).toBe(EARLY);
      await picture(page, 'chart-dark');
      // The one at the upper edge lags 9.5 s; it is the only mark there, in the first part of the record.
      const box = (await chart.locator('.chart').boundingBox()) as { x: number; y: number; width: number };
      for (let x = 60; x < box.width - 60; x += 4) {
        await page.mouse.move(box.x + x, box.y + 17);
        if (((await chart.locator('.readout strong').textContent()) ?? '').startsWith('door, reverse (deck)')) break;
      }
      expect(await chart.locator('.readout strong').textContent()).toContain('lags by 9.513 s');
      await page.mouse.down();
      await page.mouse.up();
      await expectSelection(page, 'Ln 36, Col 41 (11 selected)');
    }, 120_000);

    it('sees the chart follow the text as it is typed, and the report when others change it', async () => {
      await chart.locator('.chart').press('Home');
      await chooseInChart(chart, 'PageDown', EARLY);
      await chart.locator('.chart').press('Enter');
      await expectSelection(page, 'Ln 20, Col 41 (11 selected)');
      await page.keyboard.type('09:12:48:02');
      await expect.poll(() => lagInChart(chart, 'door, latch (deck)'), { timeout: PATIENCE_MS }).toBe('is exact');
      await page.keyboard.press('Control+Z');
      await expect.poll(() => lagInChart(chart, 'door, latch (deck)'), { timeout: PATIENCE_MS }).toBe(EARLY);
      await runCommand(page, 'Driver: Change the Report');
      await expect.poll(() => lagInChart(chart, 'door, latch (deck)'), { timeout: PATIENCE_MS }).toBe('is exact');
      await expectReadOut(chart, 'door, latch (deck) is exact.');
    }, 120_000);

    it('saves the chart as a picture', async () => {
      await chart.getByRole('button', { name: 'Save SVG' }).click();
      const dialog = page.locator('.quick-input-widget');
      await dialog.getByText('Save the lag chart').waitFor();
      await dialog.getByText('OK', { exact: true }).click();
      await page.locator('.explorer-folders-view').getByText('millrace.lag-chart.svg').waitFor();
    }, 120_000);

    it('has its chart again when the page is loaded anew', async () => {
      await loadAnew(page, `"uri":"${host.address('millrace/millrace.edl')}"`);
      chart = await frameWith(page, 'main.page tbody tr');
      expect(await lagInChart(chart, 'door, latch (deck)')).toBe(EARLY);
    }, 120_000);

    it('is led through the first steps, without those that need programs', async () => {
      await runCommand(page, 'Welcome: Open Walkthrough...');
      await again(page, async () => {
        await page.locator('.quick-input-widget .quick-input-box input').fill('Afterclap', { timeout: 4000 });
        await page.locator('.quick-input-list .monaco-list-row').getByText('Start with Afterclap').click({ timeout: 4000 });
      });
      const steps = page.locator('.getting-started-step .step-title');
      await steps.getByText('Read a finding').waitFor();
      await picture(page, 'walkthrough-dark');
      expect(await steps.allTextContents()).toEqual(['Open a cut', 'Read a finding', 'Slip a clip', 'See the whole cut']);
    }, 120_000);

    it('opens a copy of the sample', async () => {
      await runCommand(page, 'Afterclap: Open the Sample...');
      await page.locator('.quick-input-widget').getByText('Where shall the folder of the sample go?').waitFor();
      await page.locator('.quick-input-list .monaco-list-row').getByText('days').waitFor();
      await page.locator('.quick-input-widget').getByText('OK', { exact: true }).click();
      await page.locator('.explorer-folders-view').getByText('millrace-2', { exact: true }).waitFor();
      await page.locator('.breadcrumbs-control').getByText('millrace-2').first().waitFor();
      await page.getByText(COUNTS).first().waitFor();
      await picture(page, 'sample-dark');
      await page.context().close();
    }, 120_000);
  });

  describe('in high contrast, and without its server at first', () => {
    const missing = '**/dist/browser/server.js';
    let page: Page;

    beforeAll(async () => {
      const file = host.address('millrace/millrace.edl');
      page = await host.openPage({ theme: 'Default High Contrast', file, missing });
      page.setDefaultTimeout(PATIENCE_MS);
    }, 120_000);

    it('it is said that nothing is checked, and a window that is loaded anew has the server', async () => {
      await message(page, 'The server could not be loaded.').waitFor();
      await page.locator('[id="status.languageStatus"]').hover();
      await page.getByText('The server is not running, so nothing is checked').waitFor();
      await picture(page, 'not-loaded-contrast');
      await page.context().unroute(missing);
      await page.locator('.hover-language-status').getByText('Restart').click();
      // The status covers the message while the pointer rests on it.
      await page.mouse.move(700, 300);
      await message(page, 'The server could not be started again').getByText('Load the Window Anew').click();
      await untilChecked(page);
    }, 120_000);

    it('findings, hover, status and chart are there', async () => {
      await lookAround(page, 'contrast');
      await page.context().close();
    }, 120_000);
  });

  describe('in a read-only folder', () => {
    let page: Page;
    let chart: Frame;
    const complaints: string[] = [];

    beforeAll(async () => {
      page = await open('Default Light Modern', 'shelf:/', 'shelf:/millrace.edl');
      page.on('pageerror', (error) => complaints.push(error.message));
      page.on('console', (line) => {
        if (line.type() === 'error' && /afterclap/i.test(line.text())) complaints.push(line.text());
      });
    }, 120_000);

    it('findings, hover, status and chart are there', async () => {
      chart = await lookAround(page, 'light');
      expect(await lagInChart(chart, 'door, latch (deck)')).toBe(EARLY);
    }, 120_000);

    it('a fix changes nothing and says why', async () => {
      await page.keyboard.press('Control+1');
      await runCommand(page, 'Afterclap: Fix All Safe Findings in This File');
      await message(page, 'Nothing was changed: millrace.edl is read-only here.').waitFor();
      await picture(page, 'read-only-fix-all');
      await page.getByText(COUNTS).first().waitFor();
      await runCommand(page, 'Notifications: Clear All Notifications');
    }, 120_000);

    it('the picture of the chart is not saved there, and another folder is asked for', async () => {
      await chart.getByRole('button', { name: 'Save SVG' }).click();
      const dialog = page.locator('.quick-input-widget');
      await dialog.getByText('Save the lag chart').waitFor();
      await dialog.getByText('OK', { exact: true }).click();
      await dialog.getByText('This folder cannot be used as a save destination').waitFor();
      await page.keyboard.press('Escape');
    }, 120_000);

    it('the sample is not copied there, and it is said why', async () => {
      await runCommand(page, 'Afterclap: Open the Sample...');
      const dialog = page.locator('.quick-input-widget');
      await dialog.getByText('Where shall the folder of the sample go?').waitFor();
      await dialog.getByText('OK', { exact: true }).click();
      await message(page, 'The sample could not be copied').waitFor();
      expect(complaints).toEqual([]);
      await page.context().close();
    }, 120_000);
  });

  describe('in a window with two folders', () => {
    const lens = (folder: string): Locator => groupOf(folder).getByText(COUNTS_OF_DAYS[folder] as string);
    let page: Page;

    beforeAll(async () => {
      page = await host.openPage({
        theme: 'Default Light Modern',
        workspaceFile: host.address(TWO_DAYS),
        file: host.address('days/one/cut.edl'),
      });
      page.setDefaultTimeout(PATIENCE_MS);
      // Hints stand at the ends of lines, and are there only where they are seen.
      await page.setViewportSize({ width: 1920, height: 900 });
      await untilChecked(page);
    }, 120_000);

    const groupOf = (folder: string): Locator =>
      page
        .locator('.editor-group-container')
        .filter({ has: page.locator('.breadcrumbs-control').getByText(folder, { exact: true }) });

    it('both cuts stand side by side, each with the lens and the hints of its own folder', async () => {
      await chooseFromMenu(page, page.locator('.explorer-folders-view').getByText('cut.edl').nth(1), 'Open to the Side');
      for (const folder of Object.keys(COUNTS_OF_DAYS)) await lens(folder).waitFor();
      await groupOf('one').getByText('leads 41.7 ms, 1 f').waitFor();
      expect(
        await groupOf('two')
          .getByText(/^(leads|lags) /)
          .count(),
      ).toBe(0);
      // Away from the list of files, whose tips cover the text.
      await page.mouse.move(0, 0);
      await picture(page, 'two-folders-light');
    }, 120_000);

    it('a click on a lens opens the report of its own folder, whichever has the focus', async () => {
      for (const folder of ['one', 'two']) {
        await lens(folder).click();
        await groupOf(folder).locator('.tab.active').getByText('day.alignment.json').waitFor();
        await groupOf(folder).locator('.tab').getByText('cut.edl').click();
      }
    }, 120_000);

    it('the chart of each shows the lags by its own report', async () => {
      // A chart opens to the right of its cut: that of the left one covers the right one.
      for (const [folder, lag] of [
        ['two', 'is exact'],
        ['one', EARLY],
      ] as const) {
        await groupOf(folder).locator('.tab').getByText('cut.edl').click();
        await groupOf(folder).getByRole('button', { name: 'Open the Lag Chart' }).click();
        const chart = await frameWith(page, `body[data-uri$="/days/${folder}/cut.edl"] tbody tr`);
        expect(await lagInChart(chart, 'door, latch (deck)')).toBe(lag);
      }
      await picture(page, 'two-folders-charts-light');
      await page.context().close();
    }, 120_000);
  });

  it('nothing outside of this machine was asked for in all of this', () => {
    expect(host.refused).toEqual([]);
  });

  async function expectAllOk(suite: WebSuiteName, workspaceFile?: string): Promise<void> {
    const { code, log } = await runWebSuite(host, suite, workspaceFile);
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }

  async function open(theme: Theme, folder?: string, file?: string): Promise<Page> {
    const page = await host.openPage({
      theme,
      file: file ?? host.address('millrace/millrace.edl'),
      ...(folder === undefined ? {} : { folder }),
    });
    page.setDefaultTimeout(PATIENCE_MS);
    await untilChecked(page);
    return page;
  }
});

/** Looks at a finding with its hover, and at the chart with a mark chosen. */
async function lookAround(page: Page, name: string): Promise<Frame> {
  await page.setViewportSize({ width: 1440, height: 900 });
  await page.getByText(COUNTS).first().waitFor();
  // The editor's own part of a hover comes first, and that of the server a moment later.
  await hoverOn(page, '09:12:48:03', 'leads cam-a-01 by 1 frame');
  await picture(page, `hover-${name}`);
  await again(page, async () => {
    await page.mouse.move(700, 500);
    await page.locator('[id="status.languageStatus"]').hover({ timeout: 4000 });
    for (const words of ['millrace.alignment.json', '18 pairs compared', 'Frame rate 23.976']) {
      await page.locator('.hover-language-status').getByText(words).first().waitFor({ timeout: 4000 });
    }
  });
  await picture(page, `status-${name}`);
  await page.mouse.move(700, 300);
  await page.getByRole('button', { name: 'Open the Lag Chart' }).click();
  const chart = await frameWith(page, 'main.page tbody tr');
  await chooseInChart(chart, 'PageDown', EARLY);
  await chooseInChart(chart, 'PageDown', 'lags by 125.1 ms');
  await picture(page, `chart-${name}`);
  return chart;
}

/** Things of the editor fade in. */
async function picture(page: Page, name: string): Promise<void> {
  await page.waitForTimeout(500);
  await page.screenshot({ path: join(OUTPUT, `web-${name}.png`) });
}
