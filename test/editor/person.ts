/**
 * What a person does with mouse and keys in the editor's page, and what they look at.
 *
 * A busy machine loses keys, and shows a menu before it takes clicks: each step is repeated until what it should bring about is
 * there, and says what was not there when its patience ends.
 */

import { join } from 'node:path';
import type { Frame, Locator, Page } from 'playwright-core';
import type { Theme } from './editorHost.ts';

/** For one thing to appear that an editor on a busy machine takes its time for. */
export const PATIENCE_MS = 30_000;
/** For an editor to start. */
const START_MS = 60_000;
/** After this a key counts as lost. */
const KEY_MS = 2_000;

export const output = join(import.meta.dirname, 'output');

/** Waits until the folder is read and shown, which is when the editor takes keys. */
export async function untilStarted(page: Page, timeout = START_MS): Promise<void> {
  await page.locator('.explorer-folders-view .monaco-list-row').first().waitFor({ timeout });
}

/** Runs a command by the palette; `title` as it stands there, with its category. */
export async function command(page: Page, title: string): Promise<void> {
  const input = page.locator('.quick-input-widget input').first();
  const entry = page.locator('.quick-input-list .monaco-list-row').filter({ hasText: title }).first();
  await again(page, async () => {
    if (!(await input.isVisible())) await page.keyboard.press('F1');
    await input.waitFor({ timeout: KEY_MS });
    await input.fill(`>${title}`, { timeout: KEY_MS });
    await entry.click({ timeout: KEY_MS });
  });
  await leaveAlone(page);
}

/** Takes the pointer to where nothing is; what it points at explains itself over all else. */
async function leaveAlone(page: Page): Promise<void> {
  await page.mouse.move(0, 0);
}

/** Opens a file by its name, or by its whole path where it lies outside of the workspace, and gives its text the focus. */
export async function openFile(page: Page, path: string): Promise<void> {
  const name = path.slice(path.lastIndexOf('/') + 1);
  const input = page.locator('.quick-input-widget input').first();
  const entry = page.locator('.quick-input-list .monaco-list-row').filter({ hasText: name }).first();
  const tab = page.locator('.tab.active').getByText(name, { exact: true });
  await again(page, async () => {
    if (!(await input.isVisible())) await page.keyboard.press('Control+P');
    await input.waitFor({ timeout: KEY_MS });
    await input.fill(path, { timeout: KEY_MS });
    // A list that is still being filled may lose the click.
    await entry.click({ timeout: KEY_MS });
    await tab.waitFor({ timeout: 3 * KEY_MS });
  });
  await page.locator('.monaco-editor .view-line').first().waitFor({ timeout: PATIENCE_MS });
}

/** Opens the menu of a place and chooses an entry. A menu takes no click in its first tenth of a second. */
export async function chooseFromMenu(page: Page, place: Locator, entry: string): Promise<void> {
  const item = page.locator('.context-view .action-label').getByText(entry);
  await again(page, async () => {
    await place.click({ button: 'right', timeout: KEY_MS });
    await item.waitFor({ timeout: KEY_MS });
    for (let click = 0; click < 5 && (await item.isVisible()); click += 1) {
      await item.click({ timeout: KEY_MS });
      await item.waitFor({ state: 'detached', timeout: KEY_MS / 4 }).catch(() => undefined);
    }
    await item.waitFor({ state: 'detached', timeout: KEY_MS });
  });
}

/** Takes another theme in the editor's own list of them; a page that is opened anew for each costs many times as much. */
export async function chooseTheme(page: Page, theme: Theme): Promise<void> {
  const { label, mark } = THEME_LOOKS[theme];
  if (await page.locator(`.monaco-workbench.${mark}`).isVisible()) return;
  await command(page, 'Preferences: Color Theme');
  await page.locator('.quick-input-widget input').first().fill(label);
  await page.locator('.quick-input-list .monaco-list-row').filter({ hasText: label }).first().click({ timeout: PATIENCE_MS });
  await page.locator(`.monaco-workbench.${mark}`).waitFor({ timeout: PATIENCE_MS });
  await leaveAlone(page);
}

/** The name in the list, and how the workbench is marked. */
const THEME_LOOKS: Readonly<Record<Theme, { readonly label: string; readonly mark: string }>> = {
  'Default Light Modern': { label: 'Light Modern', mark: 'vs' },
  'Default Dark Modern': { label: 'Dark Modern', mark: 'vs-dark' },
  'Default High Contrast': { label: 'Dark High Contrast', mark: 'hc-black' },
};

/** Repeats a step until it succeeds. */
export async function again(page: Page, step: () => Promise<void>): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    try {
      await step();
      return;
    } catch (error) {
      if (Date.now() > deadline) throw error;
      await page.keyboard.press('Escape');
    }
  }
}

/** The message that says `text`. */
export function toast(page: Page, text: string): Locator {
  return page.locator('.notification-toast').filter({ hasText: text }).first();
}

/** Things of the editor fade in and glide; a picture shows where they end. */
export async function picture(page: Page, name: string): Promise<void> {
  await page.screenshot({ path: join(output, `${name}.png`), animations: 'disabled' });
}

/** The page of a webview that holds `inside`: it stands in a frame within a frame. */
export async function frameWith(page: Page, inside: string): Promise<Frame> {
  const deadline = Date.now() + PATIENCE_MS;
  for (;;) {
    for (const frame of page.frames()) {
      const isThere = (count: number): boolean => count > 0;
      if (
        await frame
          .locator(inside)
          .count()
          .then(isThere, () => false)
      )
        return frame;
    }
    if (Date.now() > deadline) throw new Error(`no frame holds ${inside}`);
    await page.waitForTimeout(100);
  }
}

/** Waits until a place looks the same twice: what glides or is drawn anew has come to rest. */
export async function untilStill(place: Locator): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  let before: Buffer = Buffer.alloc(0);
  while (Date.now() < deadline) {
    const now = await place.screenshot();
    if (now.equals(before)) return;
    before = now;
  }
}

/**
 * Loads the window anew once the editor has written down `kept`, a part of what a panel's page remembers, and lets it open what was
 * open.
 *
 * In a browser the editor writes down what is open every few seconds, while nothing else is to be done; a window that is loaded anew
 * before then comes back as it was written down last. On a desktop it is written down when the window is left.
 */
export async function loadAnew(page: Page, kept: string): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  while (!(await isWrittenDown(page, kept))) {
    if (Date.now() > deadline) throw new Error(`the editor wrote nothing down that holds ${kept}`);
    // Asked too often, it is never idle.
    await page.waitForTimeout(1_000);
  }
  const address = new URL(page.url());
  // Asked for no file, the editor opens what was open.
  address.searchParams.delete('payload');
  await page.goto(address.href);
}

/** Whether what the editor remembers of its window holds `text`. It packs JSON into JSON, so backslashes don't count. */
function isWrittenDown(page: Page, text: string): Promise<boolean> {
  return page.evaluate(`(async () => {
    const done = (request) => new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    for (const { name } of await indexedDB.databases()) {
      if (!name.startsWith('vscode-web-state-db-')) continue;
      const base = await done(indexedDB.open(name));
      try {
        for (const store of base.objectStoreNames) {
          const values = await done(base.transaction(store).objectStore(store).getAll());
          if (values.some((value) => String(value).replaceAll('\\\\', '').includes(${JSON.stringify(text)}))) return true;
        }
      } finally {
        base.close();
      }
    }
    return false;
  })()`);
}
