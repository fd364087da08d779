/**
 * Pictures of the sample in the editor: the cut with its findings, and one finding with its hover, in three themes.
 */

import { join } from 'node:path';
import type { Locator, Page } from 'playwright-core';
import type { EditorHost, Theme } from './editorHost.ts';

export interface Picture {
  readonly file: string;
  /** What the hover in the picture says. */
  readonly hoverText: string;
}

const VIEWS: readonly (readonly [name: string, theme: Theme, sample: string])[] = [
  ['light', 'Default Light Modern', 'millrace.edl'],
  ['dark', 'Default Dark Modern', 'millrace.otio'],
  ['contrast', 'Default High Contrast', 'millrace.edl'],
  ['light', 'Default Light Modern', 'millrace.timeline.xml'],
];

export async function takePictures(host: EditorHost, output: string): Promise<readonly Picture[]> {
  const pictures: Picture[] = [];
  for (const [name, theme, sample] of VIEWS) {
    const page = await host.openPage(theme, [['openFile', host.address(join(host.workspace, sample))]]);
    const file = join(output, `${sample}-${name}.png`);
    pictures.push({ file, hoverText: await hoverFirstLead(page) });
    await page.screenshot({ path: file });
    await showStatus(page);
    await page.screenshot({ path: join(output, `${sample}-${name}-status.png`) });
    await page.context().close();
  }
  pictures.push(await takeReadmePicture(host, output));
  return pictures;
}

/** The picture of the README, which is kept in client/media/finding.png: one finding with its hover, nothing else. */
async function takeReadmePicture(host: EditorHost, output: string): Promise<Picture> {
  const page = await host.openPage('Default Dark Modern', [['openFile', host.address(join(host.workspace, 'millrace.edl'))]]);
  // The editor lets a hover be a quarter of its own height.
  await page.setViewportSize({ width: 1000, height: 1500 });
  const hoverText = await hoverFirstLead(page, async () => page.keyboard.press('Control+B'));
  const file = join(output, 'finding.png');
  await page.screenshot({ path: file, clip: { x: 0, y: 36, width: 1000, height: 620 } });
  await page.context().close();
  return { file, hoverText };
}

/** Goes from finding to finding by the editor's own command until one says that sound leads, and shows the hover there. */
async function hoverFirstLead(page: Page, prepare: () => Promise<void> = async () => undefined): Promise<string> {
  await page.locator('.monaco-editor .view-line').first().click();
  await prepare();
  await page.locator('[id="status.problems"]').getByText(/[1-9]/).waitFor({ timeout: 60_000 });
  const finding = page.locator('.marker-widget');
  for (let step = 0; step < LARGEST_STEP_COUNT; step += 1) {
    await page.keyboard.press('F8');
    await finding.waitFor();
    if (((await finding.textContent()) ?? '').includes('leads by')) break;
  }
  await page.keyboard.press('Escape');
  await finding.waitFor({ state: 'detached' });
  const hover = page.locator('.monaco-hover:visible').filter({ hasText: 'recorder started' }).first();
  for (let attempt = 0; attempt < LARGEST_ATTEMPT_COUNT; attempt += 1) {
    await page.keyboard.press('Escape');
    await page.keyboard.press('Control+K');
    await page.keyboard.press('Control+I');
    if (!(await isShown(hover, HOVER_PATIENCE_MS))) continue;
    // The editor adds its own line once the fixes are there, and may close a hover that it draws anew.
    await isShown(hover.getByText('Quick Fix'), HOVER_PATIENCE_MS);
    const text = await hover.textContent({ timeout: HOVER_PATIENCE_MS }).catch(() => null);
    if (text !== null) return text;
  }
  throw new Error('no hover stays on the first lead');
}

/** A busy machine may close the list of problems a moment late and lose the keys that come before. */
const LARGEST_ATTEMPT_COUNT = 10;
const HOVER_PATIENCE_MS = 5_000;

async function isShown(place: Locator, milliseconds: number): Promise<boolean> {
  try {
    await place.waitFor({ timeout: milliseconds });
    return true;
  } catch {
    return false;
  }
}

/** Opens what the language's own status entry says: the report in use and why. */
async function showStatus(page: Page): Promise<void> {
  await page.keyboard.press('Escape');
  await page.locator('[id="status.languageStatus"]').hover();
  await page.locator('.hover-language-status').first().waitFor({ timeout: 20_000 });
}

/** The samples have fewer findings than this. */
const LARGEST_STEP_COUNT = 20;
