/**
 * The clap desk in an editor that is nothing but a page: recordings out of the folder that is open, and files that a person gives it from
 * their own disk, a recording of two hours among them. The pair is written into the report as text, and taken back there.
 *
 * The scene is computed (test/unit/desk/scene.ts): the clap is at a known sample, and the hands are together from a known frame on.
 */

import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Frame, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  CLAP,
  FIRST_CLOSED,
  H264,
  hasFfmpeg,
  REPORT,
  REPORT_NAME,
  stretchRecording,
  writeCamera,
  writeRecording,
} from '../unit/desk/scene.ts';
import { RETRY_COUNT, THEMES, type Theme } from './editorHost.ts';
import { OUTPUT, startPackedWebHost } from './web/packedWebHost.ts';
import { again, frameWith, openFile, runCommand, textAt } from './web/person.ts';
import { reasonToSkipWeb, type WebHost } from './web/webHost.ts';

const skipped = (await reasonToSkipWeb()) ?? ((await hasFfmpeg()) ? null : 'no ffmpeg to make a camera file with');
if (skipped !== null) console.log(`test/editor/webDesk skipped: ${skipped}`);

const patience = { timeout: 60_000 };
const FRAME_AT_FIRST = `The start of frame 58 (14:03:22:10) is heard at sample ${CLAP}.`;
/** A report whose recordings lie in no folder of the editor. */
const FAR = 'far/day3.alignment.json';

describe.skipIf(skipped !== null)('the clap desk in an editor that is a page', { retry: RETRY_COUNT }, () => {
  let host: WebHost;
  let card: string;
  let page: Page;
  let desk: Frame;

  beforeAll(async () => {
    card = await mkdtemp(join(tmpdir(), 'afterclap-card-'));
    await writeRecording(card);
    await stretchRecording(card);
    await writeCamera(card, H264);
    host = await startPackedWebHost(async (workspace) => {
      const shoot = join(workspace, 'shoot');
      await writeRecording(shoot);
      await writeCamera(shoot, H264);
      const long = join(workspace, 'long');
      await writeRecording(long);
      await stretchRecording(long);
      await mkdir(join(workspace, 'far'));
      await writeFile(join(workspace, FAR), REPORT);
    });
    ({ page, desk } = await openDesk(host, THEMES.dark, `shoot/${REPORT_NAME}`));
  }, 300_000);

  afterAll(async () => {
    await host?.stop();
    await rm(card, { recursive: true, force: true });
  });

  it('finds recording and camera file beside the report, and hears the claps that were computed', async () => {
    await expect.poll(() => headline(desk), patience).toBe(FRAME_AT_FIRST);
    await desk.getByText('2 claps were heard.').waitFor(patience);
    await desk.locator('figure.picked canvas[data-state="shown"]').waitFor(patience);
    expect(await desk.locator('.file-line:visible').count()).toBe(0);
  }, 120_000);

  it('writes the pair into the report as text: its numbers change, and undo takes them back', async () => {
    await desk.locator('#bench').focus();
    for (let frame = 58; frame > FIRST_CLOSED; frame -= 1) await page.keyboard.press('ArrowLeft');
    await expect.poll(() => headline(desk), patience).toContain(`The start of frame ${FIRST_CLOSED} `);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-dark.png') });
    await page.keyboard.press('Enter');
    await desk.getByText(`Written into ${REPORT_NAME}`).waitFor(patience);
    await textAt(page, `"frame": ${FIRST_CLOSED}`).waitFor(patience);
    await expect.poll(() => desk.locator('#difference').textContent(), patience).toBe('This is where the report has it.');
    await again(page, async () => {
      await page.keyboard.press('Control+1');
      await page.locator('.monaco-editor.focused').waitFor({ timeout: 4000 });
    });
    await page.keyboard.press('Control+Z');
    await textAt(page, '"frame": 58').waitFor(patience);
    await expect.poll(() => headline(desk), patience).toBe(FRAME_AT_FIRST);
  }, 120_000);

  it('plays picture and sound around the clap, and stops by itself', async () => {
    await desk.locator('#bench').focus();
    await page.keyboard.press('Space');
    await desk.getByRole('button', { name: 'Stop', exact: true }).first().waitFor(patience);
    await desk.getByRole('button', { name: 'Play', exact: true }).waitFor(patience);
    await page.context().close();
  }, 120_000);

  it('is given a recording of two hours from a disk, and reads it by ranges', async () => {
    ({ page, desk } = await openDesk(host, THEMES.light, FAR));
    await desk.getByText('DECK_0020.wav is not there').waitFor(patience);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-nothing-light.png') });
    await give(page, desk, 'Choose the recording…', join(card, 'DECK_0020.wav'));
    await desk.getByText('Only 8 s around the clap were listened to.').waitFor(patience);
    await expect.poll(() => headline(desk), patience).toBe(FRAME_AT_FIRST);
    await desk.locator('.clap').getByText('edge within').first().waitFor(patience);
    await desk.locator('#bench').focus();
    await page.keyboard.press('Shift+0');
    await desk.locator('#hint').getByText('only parts of it were read').waitFor(patience);
    await page.keyboard.press('0');
  }, 120_000);

  it('is given a camera file, whose frames it shows', async () => {
    await desk.getByText('CAM_A_0020.mp4 is not there').waitFor(patience);
    await give(page, desk, 'Choose the camera file…', join(card, H264.name));
    await desk.locator('figure.picked canvas[data-state="shown"]').waitFor(patience);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-given-light.png') });
  }, 120_000);

  it('keeps what it was given, and what was picked, while it is hidden', async () => {
    await desk.locator('#bench').focus();
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => headline(desk), patience).toContain('The start of frame 57 ');
    await openFile(page, 'millrace/afterclap.json');
    await page.getByRole('tab', { name: /^Clap desk/ }).click();
    desk = await frameWith(page, 'main.desk #bench');
    await expect.poll(() => headline(desk), patience).toContain('The start of frame 57 ');
    await desk.locator('#bench').focus();
    await page.keyboard.press('+');
    await desk.locator('figure.picked canvas[data-state="shown"]').waitFor(patience);
    expect(await desk.locator('.file-line:visible').count()).toBe(0);
    await page.context().close();
  }, 120_000);

  it('is given what is no recording, then one whose file goes away, and says each', async () => {
    ({ page, desk } = await openDesk(host, THEMES.dark, FAR));
    const other = join(card, 'notes.wav');
    await writeFile(other, 'No recording, but notes of the day.');
    await give(page, desk, 'Choose the recording…', other);
    await desk.getByText("notes.wav can't be shown. This is not a WAV file").waitFor(patience);
    const short = join(card, 'short');
    await writeRecording(short);
    await give(page, desk, 'Choose the recording…', join(short, 'DECK_0020.wav'));
    await desk.getByText('2 claps were heard.').waitFor(patience);
    await rm(short, { recursive: true });
    await desk.locator('#bench').focus();
    for (let step = 0; step < 4; step += 1) await page.keyboard.press('+');
    await desk.getByText("DECK_0020.wav can't be read any more. Is its disk still there?").waitFor(patience);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-gone-dark.png') });
    await page.context().close();
  }, 120_000);

  it('takes no recording out of a folder that hands out whole files only, where it is very long, and says what to do', async () => {
    ({ page, desk } = await openDesk(host, THEMES.light, `long/${REPORT_NAME}`));
    await desk.getByText('DECK_0020.wav has 989 MB. A folder like this one hands out whole files only').waitFor(patience);
    await desk.getByText("Choose the file from this computer's disk instead.").waitFor(patience);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-too-long-light.png') });
    await page.context().close();
  }, 120_000);

  it('writes nothing into a report that is read-only, and says why', async () => {
    ({ page, desk } = await openDesk(host, THEMES.contrast, 'shelf:/millrace.alignment.json'));
    await give(page, desk, 'Choose the recording…', join(card, 'DECK_0020.wav'));
    await expect.poll(() => headline(desk), patience).toContain('is heard at sample');
    const before = await headline(desk);
    await desk.locator('#bench').focus();
    // A key pressed while the focus comes back from the browser's dialog is lost.
    const pressed = async (): Promise<string> => {
      await page.keyboard.press('ArrowRight');
      return headline(desk);
    };
    await expect.poll(pressed, patience).not.toBe(before);
    await page.keyboard.press('Enter');
    await desk.getByText('Nothing was written: millrace.alignment.json is read-only here.').waitFor(patience);
    await page.screenshot({ path: join(OUTPUT, 'web-desk-read-only-contrast.png') });
    expect(await page.locator('.tab.dirty').count()).toBe(0);
    await page.context().close();
  }, 120_000);
});

/** Opens a report, puts the caret on its pair, and opens the desk beside it. */
async function openDesk(host: WebHost, theme: Theme, report: string): Promise<{ readonly page: Page; readonly desk: Frame }> {
  const isShelf = report.startsWith('shelf:');
  const page = await host.openPage({
    theme,
    file: isShelf ? report : host.address(report),
    ...(isShelf ? { folder: 'shelf:/' } : {}),
  });
  page.setDefaultTimeout(60_000);
  await page.setViewportSize({ width: 1440, height: 900 });
  await page.locator('.monaco-editor .view-line').filter({ hasText: '"pairs"' }).click();
  await page.keyboard.press('ArrowDown');
  await page.getByRole('button', { name: 'Open the Clap Desk' }).waitFor();
  await runCommand(page, 'Afterclap: Open the Clap Desk');
  const desk = await frameWith(page, 'main.desk #bench');
  return { page, desk };
}

/** By the browser's own dialog. */
async function give(page: Page, desk: Frame, button: string, path: string): Promise<void> {
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), desk.getByRole('button', { name: button }).click()]);
  await chooser.setFiles(path);
}

async function headline(desk: Frame): Promise<string> {
  return (await desk.locator('#headline').textContent()) ?? '';
}
