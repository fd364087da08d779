/**
 * The clap desk in a real editor: opened from the report and from a recording, a frame picked by keys on what the camera file shows,
 * nudged, written into the report as text, and taken back there. And pictures of it in three themes, in test/editor/output.
 *
 * The scene is computed (test/unit/desk/scene.ts): the clap is at a known sample, and the hands are together from a known frame on.
 */

import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Frame, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  CLAP,
  FIRST_CLOSED,
  H264,
  hasFfmpeg,
  REPORT,
  REPORT_NAME,
  SECOND_CLAP,
  writeCamera,
  writeRecording,
} from '../unit/desk/scene.ts';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, THEMES, type Theme } from './editorHost.ts';
import { packApart } from './packApart.ts';
import { loadAnew } from './person.ts';

const output = join(import.meta.dirname, 'output');
const skipped = reasonToSkip() ?? ((await hasFfmpeg()) ? null : 'no ffmpeg to make a camera file with');
if (skipped !== null) console.log(`test/editor/desk skipped: ${skipped}`);

const PATIENCE_MS = 60_000;

const patience = { timeout: PATIENCE_MS };

describe.skipIf(skipped !== null)('the clap desk in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  let page: Page;
  let desk: Frame;

  beforeAll(async () => {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    const scene = await mkdtemp(join(tmpdir(), 'afterclap-desk-scene-'));
    await writeRecording(scene);
    await writeCamera(scene, H264);
    const { vsix, folder } = await packApart();
    await mkdir(output, { recursive: true });
    host = await startEditorHost(vsix, scene);
    await rm(folder, { recursive: true, force: true });
    await rm(scene, { recursive: true, force: true });
    ({ page, desk } = await openDesk(host, 'Default Dark Modern'));
  }, 400_000);

  afterAll(() => host?.stop());

  it('opens on the pair at the caret, and hears the claps that were computed', async () => {
    await expect
      .poll(() => headline(desk), { timeout: PATIENCE_MS })
      .toBe(`The start of frame 58 (14:03:22:10) is heard at sample ${CLAP}.`);
    await desk.getByText('2 claps were heard.').waitFor({ timeout: PATIENCE_MS });
  });

  it("shows the camera's frames, decoded by the editor itself", async () => {
    await desk.locator('figure.picked canvas[data-state="shown"]').waitFor({ timeout: PATIENCE_MS });
    expect(await desk.locator('figure.picked figcaption').textContent()).toBe(
      'Frame 58, 14:03:22:10: where the report has the clap',
    );
    expect(await desk.locator('#picture-line').isVisible()).toBe(false);
  });

  it('picks the first frame with the hands together by keys, and says what that changes', async () => {
    await desk.locator('#bench').focus();
    for (let frame = 58; frame > FIRST_CLOSED; frame -= 1) await page.keyboard.press('ArrowLeft');
    await expect.poll(() => headline(desk), patience).toContain(`The start of frame ${FIRST_CLOSED} `);
    await page.keyboard.press('Shift+ArrowLeft');
    await expect.poll(() => headline(desk), patience).toContain(`The start of frame ${FIRST_CLOSED - 0.1} `);
    await expect.poll(() => desk.locator('#limits').textContent(), patience).toContain('better a lag than a lead');
    await page.keyboard.press('Shift+ArrowRight');
    await page.keyboard.press('ArrowUp');
    await expect.poll(() => headline(desk), patience).toContain(`is heard at sample ${CLAP + 1}.`);
    await page.keyboard.press('ArrowDown');
    await expect
      .poll(() => desk.locator('#difference').textContent(), patience)
      .toBe('Heard 83.4 ms (2 frames at 23.976, 4004 samples) earlier than by the report.');
  });

  it('plays picture and sound around the clap, and stops by itself', async () => {
    await page.keyboard.press('Space');
    await desk.getByRole('button', { name: 'Stop', exact: true }).first().waitFor({ timeout: PATIENCE_MS });
    await desk.getByRole('button', { name: 'Play', exact: true }).waitFor({ timeout: PATIENCE_MS });
  });

  it('writes the pair into the report as text: its numbers change, and not a character else', async () => {
    await desk.locator('#bench').focus();
    await page.keyboard.press('Enter');
    await desk.getByText(`Written into ${REPORT_NAME}`).waitFor({ timeout: PATIENCE_MS });
    await expect
      .poll(() => desk.locator('#difference').textContent(), { timeout: PATIENCE_MS })
      .toBe('This is where the report has it.');
    await saveReport(page);
    // A frame of 24000/1001 is 41.708 ms, rounded up; one sample of doubt is 0.021 ms.
    const wanted = REPORT.replace('"frame": 58', `"frame": ${FIRST_CLOSED}`)
      .replace('"early": 20.9, "late": 20.9', '"early": 0.021, "late": 41.73')
      .replace('"by": "eye"', '"by": "clap"');
    await expect.poll(() => readFile(join(host.workspace, REPORT_NAME), 'utf8'), { timeout: PATIENCE_MS }).toBe(wanted);
  }, 120_000);

  it('is taken back by undo in the report, and the desk follows', async () => {
    await focusReport(page);
    await page.keyboard.press('Control+Z');
    await saveReport(page);
    await expect.poll(() => readFile(join(host.workspace, REPORT_NAME), 'utf8'), { timeout: PATIENCE_MS }).toBe(REPORT);
    await expect.poll(() => headline(desk), { timeout: PATIENCE_MS }).toContain('The start of frame 58 ');
  }, 120_000);

  it('keeps what was picked while it is hidden behind another tab', async () => {
    await desk.locator('#bench').focus();
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => headline(desk), patience).toContain('The start of frame 57 ');
    await writeFile(join(host.workspace, 'notes.txt'), 'Nothing of importance.');
    await page.keyboard.press('Control+P');
    const input = page.locator('.quick-input-widget input').first();
    await input.waitFor({ timeout: PATIENCE_MS });
    await input.fill('notes.txt');
    await page.locator('.quick-input-list .monaco-list-row').getByText('notes.txt').first().waitFor({ timeout: PATIENCE_MS });
    await page.keyboard.press('Enter');
    await page.getByRole('tab', { name: /^notes\.txt/ }).waitFor({ timeout: PATIENCE_MS });
    await page.getByRole('tab', { name: /^Clap desk/ }).click();
    desk = await deskFrame(page);
    await expect.poll(() => headline(desk), { timeout: PATIENCE_MS }).toContain('The start of frame 57 ');
    await page.context().close();
  }, 120_000);

  it("opens from a recording in the explorer's menu", async () => {
    const opened = await host.openPage('Default Dark Modern', []);
    const item = opened.getByRole('menuitem', { name: 'Open the Clap Desk' });
    // The menu has the extension's entries once the editor knows the extension.
    for (let attempt = 0; attempt < 20 && !(await item.isVisible()); attempt += 1) {
      await opened.keyboard.press('Escape');
      await opened.getByRole('treeitem', { name: 'DECK_0020.wav' }).click({ button: 'right' });
      await opened.waitForTimeout(1000);
    }
    await item.click();
    const found = await deskFrame(opened);
    await expect.poll(() => headline(found), { timeout: PATIENCE_MS }).toContain(`is heard at sample ${CLAP}.`);
    await opened.context().close();
  }, 120_000);

  it('can be looked at in light, dark and high contrast', async () => {
    const shown: string[] = [];
    for (const [name, theme] of Object.entries(THEMES)) {
      const opened = await openDesk(host, theme);
      await opened.page.keyboard.press('Control+B');
      await opened.desk.getByText('2 claps were heard.').waitFor({ timeout: PATIENCE_MS });
      await opened.desk.locator('#bench').focus();
      for (let frame = 58; frame > FIRST_CLOSED; frame -= 1) await opened.page.keyboard.press('ArrowLeft');
      await opened.desk.locator('figure.picked canvas[data-state="shown"]').waitFor({ timeout: PATIENCE_MS });
      await opened.page.waitForTimeout(800);
      await opened.page.screenshot({ path: join(output, `desk-${name}.png`) });
      await opened.page.keyboard.press('Control+K');
      await opened.page.keyboard.press('Control+M');
      await opened.page.waitForTimeout(1200);
      await opened.page.screenshot({ path: join(output, `desk-${name}-wide.png`) });
      shown.push(await headline(opened.desk));
      await opened.page.context().close();
    }
    expect(shown).toEqual(Object.keys(THEMES).map(() => expect.stringContaining(`The start of frame ${FIRST_CLOSED} `)));
    await takeReadmePicture(host);
  }, 400_000);

  it('is there again, with its pair and the frame that was picked, when the window is loaded anew', async () => {
    const report = join(host.workspace, SECOND_REPORT_NAME);
    await writeFile(report, SECOND_REPORT);
    // In a window of its own: one in which much was done was seen to write nothing down for half a minute.
    ({ page, desk } = await openDesk(host, THEMES.dark, SECOND_REPORT_NAME));
    await expect.poll(() => headline(desk), patience).toContain('The start of frame 58 (14:03:22:10) ');
    await desk.locator('#bench').focus();
    for (let frame = 58; frame > FIRST_CLOSED; frame -= 1) await page.keyboard.press('ArrowLeft');
    await expect.poll(() => headline(desk), patience).toBe(PICKED);
    await loadAnew(page, `"choice":{"seen":{"frame":"${FIRST_CLOSED}"`);
    desk = await deskFrame(page);
    await expect.poll(() => headline(desk), patience).toBe(PICKED);
    await page.getByRole('tab', { name: `Clap desk: ${SECOND_REPORT_NAME}` }).waitFor(patience);
    expect(await desk.locator('#difference').textContent()).toBe(
      'Heard 83.4 ms (2 frames at 23.976, 4004 samples) earlier than by the report.',
    );
    // It was picked, and nothing was written.
    expect(await readFile(report, 'utf8')).toBe(SECOND_REPORT);
    await page.context().close();
  }, 120_000);
});

const SECOND_REPORT_NAME = 'day3-both.alignment.json';
/** The pair with the camera file is the second one here: a desk that forgot its pair would come back with the first. */
const SECOND_REPORT = REPORT.replace(
  '"pairs": [',
  `"pairs": [
    { "picture": "cam-b-20", "sound": "deck-20", "at": { "frame": 12, "sample": ${SECOND_CLAP} }, "by": "eye" },`,
);
const PICKED = `The start of frame ${FIRST_CLOSED} (14:03:22:08) is heard at sample ${CLAP}.`;

/** Opens the report with the caret on the pair of the camera file, and the desk beside it. */
async function openDesk(
  host: EditorHost,
  theme: Theme,
  report = REPORT_NAME,
): Promise<{ readonly page: Page; readonly desk: Frame }> {
  const page = await host.openPage(theme, [['openFile', host.address(join(host.workspace, report))]]);
  await page.setViewportSize({ width: 1440, height: 900 });
  await page.locator('.monaco-editor .view-line').filter({ hasText: '"picture": "cam-a-20"' }).click();
  // The button is there once the editor knows the extension, and so is the command.
  await page.getByRole('button', { name: 'Open the Clap Desk' }).waitFor({ timeout: PATIENCE_MS });
  await command(page, 'Afterclap: Open the Clap Desk', 'Open the Clap Desk');
  const desk = await deskFrame(page);
  await desk.locator('#headline:not(:empty)').waitFor({ timeout: PATIENCE_MS });
  return { page, desk };
}

async function command(page: Page, words: string, title: string): Promise<void> {
  const input = page.locator('.quick-input-widget input').first();
  // A key pressed while the focus is on its way is lost.
  for (let attempt = 0; attempt < 20 && !(await input.isVisible()); attempt += 1) {
    await page.keyboard.press('F1');
    await page.waitForTimeout(500);
  }
  await input.fill(`>${words}`);
  await page.locator('.quick-input-list .monaco-list-row').getByText(title).first().waitFor();
  await page.keyboard.press('Enter');
}

async function focusReport(page: Page): Promise<void> {
  await page.keyboard.press('Control+1');
  await page.locator('.monaco-editor.focused').waitFor({ timeout: PATIENCE_MS });
}

async function saveReport(page: Page): Promise<void> {
  await focusReport(page);
  await page.keyboard.press('Control+S');
}

/** The page stands in a frame within a frame. */
async function deskFrame(page: Page): Promise<Frame> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    for (const frame of page.frames()) {
      if (
        (await frame
          .locator('main.desk #bench')
          .count()
          .catch(() => 0)) > 0
      )
        return frame;
    }
    if (Date.now() > deadline) throw new Error('the clap desk did not open');
    await page.waitForTimeout(200);
  }
}

async function headline(desk: Frame): Promise<string> {
  return (await desk.locator('#headline').textContent()) ?? '';
}

/** The picture of the README, which is kept in client/media/clap-desk.png: the desk alone, the frame picked. */
async function takeReadmePicture(host: EditorHost): Promise<void> {
  const { page, desk } = await openDesk(host, THEMES.dark);
  await page.setViewportSize({ width: 1100, height: 860 });
  await page.keyboard.press('Control+B');
  await page.keyboard.press('Control+K');
  await page.keyboard.press('Control+M');
  await desk.getByText('2 claps were heard.').waitFor({ timeout: PATIENCE_MS });
  await desk.locator('#bench').focus();
  for (let frame = 58; frame > FIRST_CLOSED; frame -= 1) await page.keyboard.press('ArrowLeft');
  await desk.locator('figure.picked canvas[data-state="shown"]').waitFor({ timeout: PATIENCE_MS });
  await page.waitForTimeout(1200);
  await page.screenshot({ path: join(output, 'clap-desk.png'), clip: { x: 53, y: 68, width: 1042, height: 752 } });
  await page.context().close();
}
