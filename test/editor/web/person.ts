/**
 * What a person does in the page: keys, the palette, messages. A busy machine loses a key now and then, so each step is done again
 * until it shows.
 */

import type { Frame, Locator, Page } from 'playwright-core';

const PATIENCE_MS = 60_000;
const STEP_MS = 4000;

/** Waits until the findings of the files are there. */
export async function untilChecked(page: Page): Promise<void> {
  await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor({ timeout: PATIENCE_MS });
  await page.locator('.monaco-editor .view-line').first().waitFor({ timeout: PATIENCE_MS });
}

/** Does the steps until the last one shows what it should, at most for as long as a person would wait. */
export async function again(page: Page, steps: () => Promise<void>): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    try {
      await steps();
      return;
    } catch (error) {
      if (Date.now() > deadline) throw error;
      await page.keyboard.press('Escape');
    }
  }
}

/** The titles that the palette offers for `words`; it stays open. */
export async function offeredCommands(page: Page, words: string): Promise<readonly string[]> {
  const rows = page.locator('.quick-input-list .monaco-list-row');
  await again(page, async () => {
    await openPalette(page, words);
    await rows.filter({ hasText: words }).first().waitFor({ timeout: STEP_MS });
  });
  return rows.locator('.monaco-icon-label').allTextContents();
}

/** `title` as the palette shows it. */
export async function runCommand(page: Page, title: string): Promise<void> {
  await again(page, async () => {
    await openPalette(page, title);
    await page.locator('.quick-input-list .monaco-list-row').filter({ hasText: title }).first().click({ timeout: STEP_MS });
  });
}

async function openPalette(page: Page, words: string): Promise<void> {
  const input = page.locator('.quick-input-widget .quick-input-box input').first();
  await page.keyboard.press('F1');
  await input.waitFor({ timeout: STEP_MS });
  await input.fill(`>${words}`, { timeout: STEP_MS });
}

export async function openFile(page: Page, name: string): Promise<void> {
  await again(page, async () => {
    await page.keyboard.press('Control+P');
    const input = page.locator('.quick-input-widget .quick-input-box input').first();
    await input.waitFor({ timeout: STEP_MS });
    await input.fill(name, { timeout: STEP_MS });
    const base = name.slice(name.lastIndexOf('/') + 1);
    await page.locator('.quick-input-list .monaco-list-row').filter({ hasText: base }).first().click({ timeout: STEP_MS });
    await page.locator('.tab.active').getByText(base).first().waitFor({ timeout: STEP_MS });
  });
}

/** A piece of text in the editor in front. */
export function textAt(page: Page, text: string): Locator {
  return page.locator('.monaco-editor .view-line').getByText(text).first();
}

/** Rests the pointer on the text until the hover that holds `words` shows; its whole text. */
export async function hoverOn(page: Page, text: string, words: string): Promise<Locator> {
  const hover = page.locator('.monaco-hover:visible').filter({ hasText: words }).first();
  await again(page, async () => {
    await page.mouse.move(5, 400);
    await textAt(page, text).hover({ timeout: STEP_MS });
    await hover.waitFor({ timeout: STEP_MS });
  });
  return hover;
}

export function message(page: Page, text: string): Locator {
  return page.locator('.notification-toast, .notification-list-item').filter({ hasText: text }).first();
}

/** Selected as the status of the editor says; it says so only while the text has the focus. */
export async function expectSelection(page: Page, words: string): Promise<void> {
  await again(page, async () => {
    await page.keyboard.press('Control+1');
    await page.getByText(words).waitFor({ timeout: STEP_MS });
  });
}

/** The page of an extension stands in a frame within a frame: the one that holds `selector`, once it does. */
export async function frameWith(page: Page, selector: string): Promise<Frame> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    for (const frame of page.frames()) {
      const count = frame.locator(selector).count();
      if ((await count.catch(() => 0)) > 0) return frame;
    }
    if (Date.now() > deadline) throw new Error(`no page shows ${selector}`);
    await page.waitForTimeout(200);
  }
}

export async function lagInChart(chart: Frame, clip: string): Promise<string> {
  const row = chart
    .locator('tbody tr')
    .filter({ has: chart.locator('td:nth-child(2)').getByText(clip, { exact: true }) })
    .first();
  return (await row.locator('td:nth-child(3)').textContent()) ?? '';
}

/** Goes on in the chart by a key until it reads out `words`. */
export async function chooseInChart(chart: Frame, key: string, words: string): Promise<void> {
  await chart.locator('.chart').press(key);
  await expectReadOut(chart, words);
}

export async function expectReadOut(chart: Frame, words: string): Promise<void> {
  await chart.locator('.readout strong').filter({ hasText: words }).waitFor({ timeout: PATIENCE_MS });
}
