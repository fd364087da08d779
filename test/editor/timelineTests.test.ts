/**
 * Timelines as tests in a real editor: what the extension host is told, and what a person sees of it in the editor's own view.
 *
 * The workspace holds the sample, whose cut is out in three formats; a cut that is in; one without a report; and one that breaks off.
 * Pictures in light and dark are left in test/editor/output to be looked at.
 */

import { execFile } from 'node:child_process';
import { cp, mkdir, mkdtemp, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type EditorHost, RETRY_COUNT, reasonToSkip, startEditorHost, THEMES } from './editorHost.ts';
import { packApart } from './packApart.ts';
import { again, chooseTheme, command, output, PATIENCE_MS, picture, untilStarted } from './person.ts';
import { runSuite } from './runSuite.ts';

const root = join(import.meta.dirname, '..', '..');
const fixtures = join(root, 'test', 'fixtures', 'editor');
const skipped = reasonToSkip();
if (skipped !== null) console.log(`test/editor/timelineTests skipped: ${skipped}`);

describe.skipIf(skipped !== null)('timelines as tests in a real editor', { retry: RETRY_COUNT }, () => {
  let host: EditorHost;
  let page: Page;

  beforeAll(async () => {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installHost.mjs')]);
    await mkdir(output, { recursive: true });
    const { vsix, folder } = await packApart();
    const workspace = await makeTestWorkspace();
    host = await startEditorHost(vsix, workspace);
    for (const path of [workspace, folder]) await rm(path, { recursive: true });
  }, 300_000);

  afterAll(() => host?.stop(), 60_000);

  it('the extension host does all that the suite asks', async () => {
    const { code, log } = await runSuite(host, 'timelineTests.ts');
    console.log(log.filter((line) => /^(not )?ok: /.test(line)).join('\n'));
    expect(log.filter((line) => line.startsWith('not ok: '))).toEqual([]);
    expect(code).toBe(0);
  }, 200_000);

  it('the view lists them by folder, and says behind each name what became of it', async () => {
    const file = host.address(join(host.workspace, 'millrace', 'millrace.edl'));
    page = await host.openPage(THEMES.light, [['openFile', file]], { showsMessages: true });
    page.setDefaultTimeout(PATIENCE_MS);
    await untilStarted(page);
    await page.setViewportSize({ width: 1440, height: 900 });
    await command(page, 'Testing: Focus on Test Explorer View');
    await row('reels/day1').waitFor();
    await command(page, 'Test: Run All Tests');
    await command(page, 'Testing: Focus on Test Explorer View');
    for (const folder of ['reels/day1', 'millrace', 'broken', 'bare']) await unfold(folder);
    // The 18 comparisons of samples/README.md.
    const counts = '9 in, 3 lead, 5 lag, 1 drifts';
    await expect
      .poll(labels, { timeout: PATIENCE_MS })
      .toEqual([
        'bare (Skipped)',
        'alone.edl: nothing compared: no alignment report (Skipped)',
        'broken (Errored)',
        "half.otio: this text can't be read as a timeline (Errored)",
        'millrace (Failed)',
        `millrace.edl: ${counts} (Failed)`,
        `millrace.otio: ${counts} (Failed)`,
        `millrace.timeline.xml: ${counts} (Failed)`,
        'reels/day1 (Passed)',
        'interview.edl: 4 in (Passed)',
      ]);
  }, 120_000);

  it('a failed timeline shows its findings in the text, with links to picture and report', async () => {
    await again(page, async () => {
      await row('millrace.edl').dblclick({ timeout: 5000 });
      await finding().getByText('the report').waitFor({ timeout: 5000 });
    });
    for (const [name, theme] of Object.entries(THEMES)) {
      await chooseTheme(page, theme);
      await picture(page, `tests-${name}`);
    }
    const links = await finding().locator('a').allTextContents();
    expect(links[0]).toMatch(/^sound-(leads|lags)$|^sound-drifts$/);
    expect(links.slice(1)).toEqual([
      expect.stringMatching(/^millrace\/millrace\.edl:\d+:\d+$/),
      expect.stringMatching(/^millrace\/millrace\.alignment\.json:\d+:\d+$/),
    ]);
    await finding().locator('a').last().click();
    await page.locator('.tab.active').getByText('millrace.alignment.json').waitFor();
  }, 120_000);

  it('what was run of a text that is changed is out of date, and says nothing any more', async () => {
    await again(page, async () => {
      await row('interview.edl').dblclick({ timeout: 5000 });
      await page.locator('.tab.active').getByText('interview.edl').waitFor({ timeout: 5000 });
    });
    await page.locator('.editor-instance .view-line').first().click();
    await page.keyboard.press('End');
    await page.keyboard.type(' X');
    await expect.poll(() => labelOf('interview.edl'), { timeout: PATIENCE_MS }).toMatch(/^interview\.edl \(Passed\).*outdated/);
    // Many programs write a file by putting a new one in its place.
    const [old, fresh] = ['bare/alone.edl', '../fresh.edl'].map((path) => join(host.workspace, path)) as [string, string];
    await cp(old, fresh);
    await rename(fresh, old);
    await expect.poll(() => labelOf('alone.edl'), { timeout: PATIENCE_MS }).toMatch(/^alone\.edl \(Skipped\).*outdated/);
  }, 120_000);

  it('a timeline that is to be run continuously is checked again as it is typed', async () => {
    await row('interview.edl').hover();
    await row('interview.edl').getByRole('button', { name: 'Turn on Continuous Run' }).click();
    await page.locator('.editor-instance .view-line').first().click();
    await page.keyboard.press('Control+Z');
    await expect.poll(() => labelOf('interview.edl'), { timeout: PATIENCE_MS }).toBe('interview.edl: 4 in (Passed)');
    await command(page, 'Go to Line/Column...');
    await page.keyboard.type('6:30');
    await page.keyboard.press('Enter');
    for (let at = 0; at < '00:00:10:00'.length; at += 1) await page.keyboard.press('Shift+ArrowRight');
    // The first sound is heard from a second later in its recording on.
    await page.keyboard.type('00:00:11:00');
    await expect.poll(() => labelOf('interview.edl'), { timeout: PATIENCE_MS }).toBe('interview.edl: 3 in, 1 leads (Failed)');
    await picture(page, 'tests-continuous');
    await page.context().close();
  }, 120_000);

  it('several folders have a line each, and one that is added gets its own', async () => {
    const workspaceFile = join(host.workspace, '..', 'shoot.code-workspace');
    const write = (paths: readonly string[]): Promise<void> =>
      writeFile(workspaceFile, JSON.stringify({ folders: paths.map((path) => ({ path: join(host.workspace, path) })) }));
    await write(['millrace', 'reels']);
    const file = host.address(join(host.workspace, 'millrace', 'millrace.edl'));
    page = await host.openPage(THEMES.dark, [['openFile', file]], { workspaceFile });
    page.setDefaultTimeout(PATIENCE_MS);
    // A busy editor now and then opens such a workspace without any of its folders, its own Explorer too; a person loads it anew.
    for (let attempt = 0; attempt < 3 && !(await isFilled(page)); attempt += 1) await page.reload();
    await untilStarted(page);
    await command(page, 'Testing: Focus on Test Explorer View');
    await expect.poll(labels, { timeout: PATIENCE_MS }).toEqual([unset('millrace'), unset('reels')]);
    await unfold('reels');
    await unfold('day1');
    await expect.poll(labels).toEqual(['millrace', 'reels', 'day1', 'interview.edl'].map(unset));
    await write(['millrace', 'reels', 'bare']);
    await expect
      .poll(labels, { timeout: PATIENCE_MS })
      .toEqual(['bare', 'millrace', 'reels', 'day1', 'interview.edl'].map(unset));
    await page.context().close();
  }, 120_000);

  async function isFilled(opened: Page): Promise<boolean> {
    return untilStarted(opened, 15_000).then(
      () => true,
      () => false,
    );
  }

  /** As a line is read out before anything was run. */
  function unset(label: string): string {
    return `${label} (Not yet run)`;
  }

  function row(text: string): Locator {
    return page.locator('.test-explorer .monaco-list-row').filter({ hasText: text }).first();
  }

  async function unfold(folder: string): Promise<void> {
    await again(page, async () => {
      await row(folder).click({ timeout: 5000 });
      await page.keyboard.press('ArrowRight');
      await page
        .locator('.test-explorer .monaco-list-row[aria-expanded=true]')
        .filter({ hasText: folder })
        .waitFor({ timeout: 5000 });
    });
  }

  /** As they are read out, without the time that a check took. */
  async function labels(): Promise<readonly string[]> {
    const rows = page.locator('.test-explorer .monaco-list-row');
    // Lines that were drawn anew stand last in the page.
    const read = await rows.evaluateAll((all) =>
      all.map((each) => [Number(each.getAttribute('data-index')), each.ariaLabel ?? ''] as const),
    );
    const inOrder = read.toSorted(([left], [right]) => left - right).map(([, label]) => label);
    return inOrder.map((label) => label.replace(/, in [\d.]+m?s/, ''));
  }

  async function labelOf(file: string): Promise<string | undefined> {
    return (await labels()).find((label) => label.startsWith(file));
  }

  /** The message of a test, opened in the text. */
  function finding(): Locator {
    return page.locator('.test-output-peek-message-container');
  }
});

/** The folder is the caller's to remove. */
async function makeTestWorkspace(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-tests-'));
  await cp(join(root, 'samples'), join(folder, 'millrace'), { recursive: true });
  for (const name of ['reels/day1', 'bare', 'broken']) await mkdir(join(folder, name), { recursive: true });
  await cp(join(root, 'samples', 'millrace.edl'), join(folder, 'bare', 'alone.edl'));
  await writeFile(join(folder, 'broken', 'half.otio'), '{ "OTIO_SCHEMA": "Timeline.1", "tracks": ');
  await cp(join(fixtures, 'day1.alignment.json'), join(folder, 'reels', 'day1', 'day1.alignment.json'));
  const cut = await readFile(join(fixtures, 'interview.edl'), 'utf8');
  // Its sound is one frame early in the first clip and three late in the third.
  const clean = cut
    .replace('00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00')
    .replace('00:00:37:09 00:00:43:09', '00:00:37:12 00:00:43:12');
  await writeFile(join(folder, 'reels', 'day1', 'interview.edl'), clean);
  return folder;
}
