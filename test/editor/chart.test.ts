/**
 * The lag chart in a real editor: it opens beside the text, leads to the text and is led by it, follows edits of the timeline and of
 * the report, and is saved as a picture. And pictures of it in three themes for people to look at, in test/editor/output.
 */

import { execFile } from 'node:child_process';
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Frame, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, type Theme } from './editorHost.ts';
import { packApart } from './packApart.ts';

const root = join(import.meta.dirname, '..', '..');
const output = join(import.meta.dirname, 'output');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor/chart skipped: ${skipped}`);

const PATIENCE_MS = 60_000;

describe.skipIf(skipped !== null)('the lag chart in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  let page: Page;
  let chart: Frame;

  beforeAll(async () => {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const { vsix, folder } = await packApart();
    await mkdir(output, { recursive: true });
    host = await startEditorHost(vsix, join(root, 'samples'));
    await rm(folder, { recursive: true, force: true });
    ({ page, chart } = await openChart(host, 'Default Dark Modern'));
  }, 400_000);

  afterAll(() => host?.stop());

  // The numbers are those of samples/README.md: a plain cut, and one with the sound a frame early.
  it('shows every comparison of the sample, with its numbers in words', async () => {
    expect(await chart.locator('caption').textContent()).toBe('Comparisons: 18');
    expect(await lagOf(chart, 'door, latch (deck)')).toBe('leads by 41.7 ms, 1 frame, 2002 samples');
    expect(await lagOf(chart, 'door, wide (deck)')).toBe('is exact');
  });

  it('leads to the text: Enter selects the number that slips the clip, and the clip is marked as at the caret', async () => {
    await chart.locator('.chart').focus();
    for (const key of ['PageDown', 'Enter']) await page.keyboard.press(key);
    await expectSelection(page, 'Ln 20, Col 41 (11 selected)');
    await chart.locator('.chart').focus();
    await page.keyboard.press('Escape');
    await chart.getByText('At the caret: ').waitFor({ timeout: PATIENCE_MS });
    expect(await chart.locator('.readout strong').textContent()).toBe(
      'door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples.',
    );
  }, 120_000);

  it('leads to the text by a click on a mark', async () => {
    await chart.locator('.chart').focus();
    await page.keyboard.press('PageDown');
    await page.keyboard.press('PageDown');
    await page.keyboard.press('Escape');
    // The one at the upper edge lags 9.5 s; it is the only mark there, in the first part of the record.
    const box = (await chart.locator('.chart').boundingBox()) as { x: number; y: number; width: number };
    for (let x = 96; x < box.width - 60; x += 4) {
      await page.mouse.move(box.x + x, box.y + 17);
      if (((await chart.locator('.readout strong').textContent()) ?? '').startsWith('door, reverse (deck)')) break;
    }
    expect(await chart.locator('.readout strong').textContent()).toContain('lags by 9.513 s');
    await page.mouse.down();
    await page.mouse.up();
    await expectSelection(page, 'Ln 36, Col 41 (11 selected)');
  }, 120_000);

  it('follows the text as it is typed: a frame taken back, and the sound is exact', async () => {
    await chart.locator('.chart').focus();
    for (const key of ['Home', 'PageDown', 'Enter']) await page.keyboard.press(key);
    await expectSelection(page, 'Ln 20, Col 41 (11 selected)');
    await page.keyboard.type('09:12:48:02');
    await expectLag(chart, 'door, latch (deck)', 'is exact');
    await page.keyboard.press('Control+Z');
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
  }, 120_000);

  it('follows the report on disk', async () => {
    const report = join(host.workspace, 'millrace.alignment.json');
    const text = await readFile(report, 'utf8');
    // One frame of sound later in the file: what led by a frame is exact now.
    await writeFile(report, text.replace('"frame": 132, "sample": 440286 }', '"frame": 132, "sample": 442288 }'));
    await expectLag(chart, 'door, latch (deck)', 'is exact');
    await writeFile(report, text);
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
  }, 120_000);

  it('is saved as a picture', async () => {
    await chart.getByRole('button', { name: 'Save SVG' }).click();
    const box = page.locator('.quick-input-widget input').first();
    await box.waitFor({ timeout: PATIENCE_MS });
    await expect.poll(() => box.inputValue(), { timeout: PATIENCE_MS }).toMatch(/millrace\.lag-chart\.svg$/);
    await page.keyboard.press('Enter');
    const saved = join(host.workspace, 'millrace.lag-chart.svg');
    await expect.poll(() => readFile(saved, 'utf8').catch(() => ''), { timeout: PATIENCE_MS }).toContain('</svg>');
    expect(await readFile(saved, 'utf8')).toContain('door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples');
  }, 120_000);

  it('comes back up to date after it was hidden behind another tab', async () => {
    await page.keyboard.press('Control+2');
    await page.keyboard.press('Control+P');
    const input = page.locator('.quick-input-widget input').first();
    await input.waitFor({ timeout: PATIENCE_MS });
    await input.fill('README.md');
    await page.locator('.quick-input-list .monaco-list-row').getByText('README.md').first().waitFor();
    await page.keyboard.press('Enter');
    await page.getByRole('tab', { name: /^README\.md/ }).waitFor({ timeout: PATIENCE_MS });
    await page.getByRole('tab', { name: /^Lag chart/ }).click();
    chart = await chartFrame(page);
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
  }, 120_000);

  it('says so when its timeline is closed, and opens it again', async () => {
    await page.getByRole('tab', { name: /^millrace\.edl/ }).click({ button: 'middle' });
    await chart.getByText('millrace.edl is not open.').waitFor({ timeout: PATIENCE_MS });
    await chart.getByRole('button', { name: 'Open the timeline' }).click();
    await chart.locator('.chart').waitFor({ timeout: PATIENCE_MS });
  }, 120_000);

  it('is there again, with what was filtered, when the window is loaded anew', async () => {
    await chart.getByLabel('in 9').uncheck();
    await expect.poll(() => chart.locator('caption').textContent(), { timeout: PATIENCE_MS }).toBe('Comparisons: 9');
    // The editor writes down what is open a little after it was opened.
    await page.waitForTimeout(3000);
    // Asked for no file, the editor opens what was open.
    const address = new URL(page.url());
    address.searchParams.delete('payload');
    await page.goto(address.href);
    chart = await chartFrame(page);
    await expect.poll(() => chart.locator('caption').textContent(), { timeout: PATIENCE_MS }).toBe('Comparisons: 9');
    await page.context().close();
  }, 200_000);

  it('can be looked at in light, dark and high contrast', async () => {
    const shown: string[] = [];
    for (const [name, theme] of Object.entries(THEMES)) {
      const opened = await openChart(host, theme, 'button');
      await opened.chart.locator('.chart').focus();
      for (const key of ['PageDown', 'PageDown']) await opened.page.keyboard.press(key);
      await opened.page.waitForTimeout(400);
      await opened.page.screenshot({ path: join(output, `chart-${name}.png`) });
      await widenChart(opened.page);
      await opened.page.screenshot({ path: join(output, `chart-${name}-wide.png`) });
      await opened.chart.getByRole('button', { name: 'Table', exact: true }).click();
      await opened.chart.locator('.table:not(.unseen)').waitFor();
      await opened.page.screenshot({ path: join(output, `chart-${name}-table.png`) });
      shown.push((await opened.chart.locator('.readout strong').textContent()) ?? '');
      await opened.page.context().close();
    }
    expect(shown).toEqual(Object.keys(THEMES).map(() => expect.stringContaining('lags by 125.1 ms')));
    await takeReadmePicture(host);
  }, 400_000);
});

const THEMES: Readonly<Record<string, Theme>> = {
  light: 'Default Light Modern',
  dark: 'Default Dark Modern',
  contrast: 'Default High Contrast',
};

/** Opens the edit list of the sample and its chart, and waits until the chart has its data. */
async function openChart(
  host: EditorHost,
  theme: Theme,
  by: 'command' | 'button' = 'command',
): Promise<{ readonly page: Page; readonly chart: Frame }> {
  const page = await host.openPage(theme, [['openFile', host.address(join(host.workspace, 'millrace.edl'))]]);
  await page.setViewportSize({ width: 1440, height: 900 });
  await page.locator('.monaco-editor .view-line').first().click();
  await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor({ timeout: PATIENCE_MS });
  await page.keyboard.press('Control+B');
  if (by === 'command') await command(page, 'Afterclap: Open the Lag Chart');
  else await page.getByRole('button', { name: 'Open the Lag Chart' }).click();
  const chart = await chartFrame(page);
  await chart.locator('tbody tr').first().waitFor({ state: 'attached', timeout: PATIENCE_MS });
  await page.keyboard.press('Escape');
  return { page, chart };
}

async function command(page: Page, title: string): Promise<void> {
  const input = page.locator('.quick-input-widget input').first();
  // A key pressed while the focus is on its way is lost.
  for (let attempt = 0; attempt < 20 && !(await input.isVisible()); attempt += 1) {
    await page.keyboard.press('F1');
    await page.waitForTimeout(500);
  }
  await input.fill(`>${title}`);
  await page.locator('.quick-input-list .monaco-list-row').getByText(title.replace(/^.*: /, '')).first().waitFor();
  await page.keyboard.press('Enter');
}

/** What is selected in the text; the editor's status says it only while the text has the focus. */
async function expectSelection(page: Page, words: string): Promise<void> {
  await page.waitForTimeout(500);
  await page.keyboard.press('Control+1');
  await page.getByText(words).waitFor({ timeout: PATIENCE_MS });
}

/** The page stands in a frame within a frame. */
async function chartFrame(page: Page): Promise<Frame> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    for (const frame of page.frames()) {
      if (
        (await frame
          .locator('main.page .chart')
          .count()
          .catch(() => 0)) > 0
      )
        return frame;
    }
    if (Date.now() > deadline) throw new Error('the chart did not open');
    await page.waitForTimeout(200);
  }
}

function rowOf(chart: Frame, clip: string) {
  return chart
    .locator('tbody tr')
    .filter({ has: chart.locator('td:nth-child(2)').getByText(clip, { exact: true }) })
    .first();
}

async function lagOf(chart: Frame, clip: string): Promise<string> {
  return (await rowOf(chart, clip).locator('td:nth-child(3)').textContent()) ?? '';
}

async function expectLag(chart: Frame, clip: string, lag: string): Promise<void> {
  await expect.poll(() => lagOf(chart, clip), { timeout: PATIENCE_MS }).toBe(lag);
}

/** The chart alone, as it is seen by whoever gives it the window. */
async function widenChart(page: Page): Promise<void> {
  await page.keyboard.press('Control+K');
  await page.keyboard.press('Control+M');
  await page.waitForTimeout(800);
}

/** The picture of the README, which is kept in client/media/lag-chart.png: the chart alone, one mark chosen. */
async function takeReadmePicture(host: EditorHost): Promise<void> {
  const { page, chart } = await openChart(host, 'Default Dark Modern');
  await page.setViewportSize({ width: 1100, height: 700 });
  await widenChart(page);
  await chart.locator('.chart').focus();
  await page.keyboard.press('PageDown');
  await page.waitForTimeout(800);
  await page.screenshot({ path: join(output, 'lag-chart.png'), clip: { x: 53, y: 68, width: 1042, height: 592 } });
  await page.context().close();
}
