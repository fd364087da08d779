/**
 * The lag chart in a real editor: it opens beside the text, leads to the text and is led by it, follows edits of the timeline and of
 * the report, and is saved as a picture. And pictures of it in three themes for people to look at, in test/editor/output.
 */

import { execFile } from 'node:child_process';
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Frame, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, THEMES } from './editorHost.ts';
import { packApart } from './packApart.ts';
import {
  chooseTheme,
  command,
  frameWith,
  loadAnew,
  openFile,
  output,
  PATIENCE_MS,
  picture,
  untilStarted,
  untilStill,
} from './person.ts';

const root = join(import.meta.dirname, '..', '..');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor/chart skipped: ${skipped}`);

describe.skipIf(skipped !== null)('the lag chart in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  /** One page for all; another one after a failure. */
  let page: Page;
  let chart: Frame;
  let isOpen = false;

  beforeAll(async () => {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const { vsix, folder } = await packApart();
    await mkdir(output, { recursive: true });
    host = await startEditorHost(vsix, join(root, 'samples'));
    await rm(folder, { recursive: true, force: true });
  }, 300_000);

  beforeEach(async () => {
    if (isOpen) return;
    ({ page, chart } = await openChart(host));
    isOpen = true;
  }, 90_000);

  afterEach(async ({ task }) => {
    if (task.result?.state !== 'fail' || !isOpen) return;
    await page.screenshot({ path: join(output, `failed-${task.name.replaceAll(/\W+/g, '-')}.png`) });
    await page.context().close();
    isOpen = false;
  }, 60_000);

  afterAll(() => host?.stop(), 60_000);

  // The numbers are those of samples/README.md: a plain cut, and one with the sound a frame early.
  it('shows every comparison of the sample, with its numbers in words', async () => {
    expect(await chart.locator('caption').textContent()).toBe('Comparisons: 18');
    expect(await lagOf(chart, 'door, latch (deck)')).toBe('leads by 41.7 ms, 1 frame, 2002 samples');
    expect(await lagOf(chart, 'door, wide (deck)')).toBe('is exact');
  });

  it('leads to the text: Enter selects the number that slips the clip, and the clip is marked as at the caret', async () => {
    await chart.locator('.chart').focus();
    for (const key of ['Home', 'PageDown', 'Enter']) await page.keyboard.press(key);
    await expectSelection(page, 'Ln 20, Col 41 (11 selected)');
    await chart.locator('.chart').focus();
    await page.keyboard.press('Escape');
    await chart.getByText('At the caret: ').waitFor({ timeout: PATIENCE_MS });
    expect(await readout(chart)).toBe('door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples.');
  }, 60_000);

  it('leads to the text by a click on a mark', async () => {
    await chart.locator('.chart').focus();
    await page.keyboard.press('Escape');
    // The one at the upper edge lags 9.5 s; it is the only mark there, in the first part of the record.
    const box = (await chart.locator('.chart').boundingBox()) as { x: number; y: number; width: number };
    for (let x = 96; x < box.width - 60; x += 4) {
      await page.mouse.move(box.x + x, box.y + 17);
      if (((await readout(chart)) ?? '').startsWith('door, reverse (deck)')) break;
    }
    expect(await readout(chart)).toContain('lags by 9.513 s');
    await page.mouse.down();
    await page.mouse.up();
    await expectSelection(page, 'Ln 36, Col 41 (11 selected)');
  }, 60_000);

  it('follows the text as it is typed: a frame taken back, and the sound is exact', async () => {
    await chart.locator('.chart').focus();
    for (const key of ['Home', 'PageDown', 'Enter']) await page.keyboard.press(key);
    await expectSelection(page, 'Ln 20, Col 41 (11 selected)');
    await page.keyboard.type('09:12:48:02');
    await expectLag(chart, 'door, latch (deck)', 'is exact');
    await page.keyboard.press('Control+Z');
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
  }, 60_000);

  it('follows the report on disk', async () => {
    const report = join(host.workspace, 'millrace.alignment.json');
    const text = await readFile(report, 'utf8');
    // One frame of sound later in the file: what led by a frame is exact now.
    await writeFile(report, text.replace('"frame": 132, "sample": 440286 }', '"frame": 132, "sample": 442288 }'));
    await expectLag(chart, 'door, latch (deck)', 'is exact');
    await writeFile(report, text);
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
  }, 60_000);

  it('is saved as a picture', async () => {
    await chart.getByRole('button', { name: 'Save SVG' }).click();
    const box = page.locator('.quick-input-widget input').first();
    await box.waitFor({ timeout: PATIENCE_MS });
    await expect.poll(() => box.inputValue(), { timeout: PATIENCE_MS }).toMatch(/millrace\.lag-chart\.svg$/);
    await page.keyboard.press('Enter');
    const saved = join(host.workspace, 'millrace.lag-chart.svg');
    await expect.poll(() => readFile(saved, 'utf8').catch(() => ''), { timeout: PATIENCE_MS }).toContain('</svg>');
    expect(await readFile(saved, 'utf8')).toContain('door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples');
  }, 60_000);

  it('comes back up to date after it was hidden behind another tab', async () => {
    await page.keyboard.press('Control+2');
    await openFile(page, 'README.md');
    await page.getByRole('tab', { name: /^Lag chart/ }).click();
    chart = await frameWith(page, CHART);
    await expectLag(chart, 'door, latch (deck)', 'leads by 41.7 ms, 1 frame, 2002 samples');
    await page.getByRole('tab', { name: /^README\.md/ }).click({ button: 'middle' });
  }, 60_000);

  it('says so when its timeline is closed, and opens it again', async () => {
    await page.getByRole('tab', { name: /^millrace\.edl/ }).click({ button: 'middle' });
    await chart.getByText('millrace.edl is not open.').waitFor({ timeout: PATIENCE_MS });
    await chart.getByRole('button', { name: 'Open the timeline' }).click();
    await chart.locator('.chart').waitFor({ timeout: PATIENCE_MS });
  }, 60_000);

  it('can be looked at in light, dark and high contrast', async () => {
    const surface = chart.locator('.chart');
    for (const [name, theme] of Object.entries(THEMES)) {
      await chooseTheme(page, theme);
      await surface.focus();
      for (const key of ['Home', 'PageDown', 'PageDown']) await page.keyboard.press(key);
      await expect.poll(() => readout(chart), { timeout: PATIENCE_MS }).toContain('lags by 125.1 ms');
      await untilStill(surface);
      await picture(page, `chart-${name}`);
      await widenChart(page);
      await untilStill(surface);
      await picture(page, `chart-${name}-wide`);
      const table = chart.getByRole('button', { name: 'Table', exact: true });
      await table.click();
      await chart.locator('.table:not(.unseen)').waitFor();
      await untilStill(surface);
      await picture(page, `chart-${name}-table`);
      await table.click();
      await widenChart(page);
    }
  }, 120_000);

  it('can be shown in the README: the picture that is kept in client/media/lag-chart.png', async () => {
    await chooseTheme(page, THEMES.dark);
    await page.setViewportSize({ width: 1100, height: 700 });
    await widenChart(page);
    const surface = chart.locator('.chart');
    await surface.focus();
    for (const key of ['Home', 'PageDown']) await page.keyboard.press(key);
    await expect.poll(() => readout(chart), { timeout: PATIENCE_MS }).toContain('leads by 41.7 ms');
    await untilStill(surface);
    await page.screenshot({ path: join(output, 'lag-chart.png'), clip: { x: 53, y: 68, width: 1042, height: 592 } });
    // What is open is not written down while one part fills the window.
    await widenChart(page);
  }, 60_000);

  it('is there again, with what was filtered, when the window is loaded anew', async () => {
    // In a window of its own: after all that the others did to theirs, the editor was seen to write nothing down for half a minute.
    await page.context().close();
    ({ page, chart } = await openChart(host));
    await chart.getByLabel('in 9').uncheck();
    await expect.poll(() => chart.locator('caption').textContent(), { timeout: PATIENCE_MS }).toBe('Comparisons: 9');
    await loadAnew(page, '"verdicts":["leads","lags","drifts"]');
    chart = await frameWith(page, CHART);
    await expect.poll(() => chart.locator('caption').textContent(), { timeout: PATIENCE_MS }).toBe('Comparisons: 9');
  }, 90_000);
});

const CHART = 'main.page .chart';

/** Opens the edit list of the sample and its chart by the button above the text, and waits until the chart has its data. */
async function openChart(host: EditorHost): Promise<{ readonly page: Page; readonly chart: Frame }> {
  const file = join(host.workspace, 'millrace.edl');
  const page = await host.openPage(THEMES.dark, [['openFile', host.address(file)]]);
  await page.setViewportSize({ width: 1440, height: 900 });
  await untilStarted(page);
  await page.locator('.monaco-editor .view-line').first().click();
  await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor({ timeout: PATIENCE_MS });
  await page.keyboard.press('Control+B');
  await page.getByRole('button', { name: 'Open the Lag Chart' }).click({ timeout: PATIENCE_MS });
  const chart = await frameWith(page, CHART);
  await chart.locator('tbody tr').first().waitFor({ state: 'attached', timeout: PATIENCE_MS });
  return { page, chart };
}

/** What is selected in the text; the editor's status says it only while the text has the focus. */
async function expectSelection(page: Page, words: string): Promise<void> {
  const isSelected = async (): Promise<boolean> => {
    await page.keyboard.press('Control+1');
    return page.getByText(words).isVisible();
  };
  await expect.poll(isSelected, { timeout: PATIENCE_MS, interval: 250 }).toBe(true);
}

function readout(chart: Frame): Promise<string | null> {
  return chart.locator('.readout strong').textContent();
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

/** The chart alone, as it is seen by whoever gives it the window; or beside the text again. */
async function widenChart(page: Page): Promise<void> {
  await command(page, 'View: Toggle Maximize Editor Group');
}
