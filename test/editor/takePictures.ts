/**
 * Pictures of the sample in the editor, for people to look at: the cut with its hints and its lens, one finding with its hover, the
 * report in use, and the list of problems, each format in another theme.
 */

import { join } from 'node:path';
import type { Locator, Page } from 'playwright-core';
import { type EditorHost, THEMES } from './editorHost.ts';
import { again, chooseTheme, command, openFile, output, PATIENCE_MS, picture, untilStarted } from './person.ts';

export interface Picture {
  readonly name: string;
  /** What the hover in the picture says. */
  readonly hoverText: string;
}

const SAMPLES = { light: 'millrace.edl', dark: 'millrace.otio', contrast: 'millrace.timeline.xml' } as const;

export async function takePictures(host: EditorHost): Promise<readonly Picture[]> {
  const page = await host.openPage(THEMES.light, [['openFile', host.address(join(host.workspace, SAMPLES.light))]]);
  await untilStarted(page);
  const pictures: Picture[] = [];
  for (const name of ['light', 'dark', 'contrast'] as const) {
    await openFile(page, SAMPLES[name]);
    await chooseTheme(page, THEMES[name]);
    const hoverText = await hoverFirstLead(page);
    await picture(page, `finding-${name}`);
    pictures.push({ name, hoverText });
    await showStatus(page);
    await picture(page, `status-${name}`);
    await page.keyboard.press('Escape');
    await showProblems(page);
    await picture(page, `problems-${name}`);
    await page.keyboard.press('Control+J');
  }
  pictures.push(await takeReadmePicture(page));
  await page.context().close();
  return pictures;
}

/** The picture of the README, which is kept in client/media/finding.png: one finding with its hover, nothing else. */
async function takeReadmePicture(page: Page): Promise<Picture> {
  await command(page, 'View: Close All Editors');
  await openFile(page, 'millrace.edl');
  await chooseTheme(page, THEMES.dark);
  await page.keyboard.press('Control+B');
  // The editor lets a hover be a quarter of its own height.
  await page.setViewportSize({ width: 1000, height: 1500 });
  const hoverText = await hoverFirstLead(page);
  await page.screenshot({ path: join(output, 'finding.png'), clip: { x: 0, y: 36, width: 1000, height: 620 } });
  return { name: 'README', hoverText };
}

/** Goes from finding to finding by the editor's own command until one says that sound leads, and shows the hover there. */
async function hoverFirstLead(page: Page): Promise<string> {
  await page.locator('.monaco-editor .view-line').first().click();
  await page.keyboard.press('Control+Home');
  await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor({ timeout: PATIENCE_MS });
  const finding = page.locator('.marker-widget');
  for (let step = 0; step < LARGEST_STEP_COUNT; step += 1) {
    await page.keyboard.press('F8');
    await finding.waitFor({ timeout: PATIENCE_MS });
    if (((await finding.textContent()) ?? '').includes('leads by')) break;
  }
  await page.keyboard.press('Escape');
  await finding.waitFor({ state: 'detached', timeout: PATIENCE_MS });
  const hover = page.locator('.monaco-hover:visible').filter({ hasText: 'recorder started' }).first();
  let text: string | null = null;
  await again(page, async () => {
    // The keys show a hover, and move the focus into one that is shown.
    await page.keyboard.press('Escape');
    await page.keyboard.press('Control+K');
    await page.keyboard.press('Control+I');
    await hover.waitFor({ timeout: HOVER_MS });
    // The editor adds its own line once the fixes are there, and may close a hover that it draws anew.
    await isShown(hover.getByText('Quick Fix'));
    text = await hover.textContent({ timeout: HOVER_MS });
  });
  return text ?? '';
}

const HOVER_MS = 5_000;

async function isShown(place: Locator): Promise<boolean> {
  return place.waitFor({ timeout: HOVER_MS }).then(
    () => true,
    () => false,
  );
}

/** Opens what the language's own status entry says: the report in use and why. */
async function showStatus(page: Page): Promise<void> {
  await again(page, async () => {
    await page.keyboard.press('Escape');
    await page.locator('[id="status.languageStatus"]').hover();
    await page.locator('.hover-language-status').first().waitFor({ timeout: HOVER_MS });
  });
}

async function showProblems(page: Page): Promise<void> {
  await page.keyboard.press('Control+Shift+M');
  await page.locator('.markers-panel .monaco-list-row').filter({ hasText: 'leads by' }).first().waitFor({ timeout: PATIENCE_MS });
}

/** The samples have fewer findings than this. */
const LARGEST_STEP_COUNT = 20;
