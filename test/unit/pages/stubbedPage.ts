/**
 * What the tests of all pages beside the text share: a page of ours in Debian's Chromium, as the bundle that is shipped, under its own
 * HTML and policy, with the editor's theme variables made by hand. Each page's tests put a stub in the place of the editor.
 */

import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { pageHtml } from '../../../client/src/pages/pageHtml.ts';

const root = repositoryRoot(import.meta.dirname);

/** The nearest folder upwards with a manifest: a bench is bundled into another place. */
function repositoryRoot(folder: string): string {
  return existsSync(join(folder, 'package.json')) ? folder : repositoryRoot(dirname(folder));
}

export function chromiumPath(): string | null {
  const named = process.env['AFTERCLAP_CHROMIUM'];
  const candidates = [...(named === undefined ? [] : [named]), '/usr/bin/chromium', '/usr/bin/chromium-browser'];
  return candidates.find((path) => existsSync(path)) ?? null;
}

/** The colours that a theme gives the page; made up for the tests, far enough apart to be told by eye. */
export const THEMES = {
  light: {
    kind: 'vscode-light',
    colours: ['#ffffff', '#3b3b3b', '#717171', '#d11a1a', '#a86100', '#0b5fc4', '#005fb8', '#e2e2e2', '#f0f0f0', '#cecece'],
  },
  dark: {
    kind: 'vscode-dark',
    colours: ['#1f1f1f', '#cccccc', '#9d9d9d', '#f4605a', '#d9a514', '#4ba3f5', '#0078d4', '#3a3a3a', '#313131', '#454545'],
  },
  contrast: {
    kind: 'vscode-high-contrast',
    colours: [
      '#000000',
      '#ffffff',
      '#ffffff',
      '#ff8a80',
      '#ffd866',
      '#6fc3ff',
      '#f38518',
      '#000000',
      '#000000',
      '#6fc3df',
      '#6fc3df',
    ],
  },
  'contrast-light': {
    kind: 'vscode-high-contrast-light',
    colours: [
      '#ffffff',
      '#1a1a1a',
      '#1a1a1a',
      '#a1160a',
      '#6b4c00',
      '#0a3f8f',
      '#006bbd',
      '#ffffff',
      '#ffffff',
      '#0f4a85',
      '#0f4a85',
    ],
  },
} as const;

export type ThemeName = keyof typeof THEMES;

const VARIABLES = [
  'editor-background',
  'editor-foreground',
  'descriptionForeground',
  'editorError-foreground',
  'editorWarning-foreground',
  'editorInfo-foreground',
  'focusBorder',
  'button-secondaryBackground',
  'dropdown-background',
  'widget-border',
  'contrastBorder',
];

export interface ServedPage {
  readonly origin: string;
  readonly files: ReadonlyMap<string, { readonly contentType: string; readonly body: string }>;
  readonly browser: Browser;
}

/** Bundles a page and starts a browser for it. `uri` is of the text that the page is about. */
export async function servePage(bundle: 'chart' | 'desk', title: string, uri: string): Promise<ServedPage> {
  const origin = `https://${bundle}.test`;
  const folder = await mkdtemp(join(tmpdir(), `afterclap-${bundle}-`));
  await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs'), bundle, `--out=${folder}`]);
  const [script, style] = [`${bundle}.js`, `${bundle}.css`];
  const html = pageHtml({
    title,
    source: origin,
    scriptUri: `${origin}/${script}`,
    styleUri: `${origin}/${style}`,
    nonce: 'fresh',
    uri,
  });
  const files = new Map([
    [`/${script}`, { contentType: 'text/javascript', body: await readFile(join(folder, script), 'utf8') }],
    [`/${style}`, { contentType: 'text/css', body: await readFile(join(folder, style), 'utf8') }],
    ['/', { contentType: 'text/html', body: html }],
  ]);
  await rm(folder, { recursive: true });
  const browser = await chromium.launch({ executablePath: chromiumPath() as string, args: ['--no-sandbox', '--disable-gpu'] });
  return { origin, files, browser };
}

export interface PageLooks {
  readonly width: number;
  readonly height: number;
  readonly isMotionReduced: boolean;
  readonly areColoursForced: boolean;
}

/** An empty page that will be given `served` and nothing else, with all that the browser complains of. */
export async function emptyPage(
  { browser, origin, files }: ServedPage,
  { width, height, isMotionReduced, areColoursForced }: PageLooks,
): Promise<{ readonly context: BrowserContext; readonly page: Page; readonly complaints: readonly string[] }> {
  const context = await browser.newContext({
    viewport: { width, height },
    reducedMotion: isMotionReduced ? 'reduce' : 'no-preference',
    forcedColors: areColoursForced ? 'active' : 'none',
  });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  await page.route(
    () => true,
    (route) => {
      const url = new URL(route.request().url());
      const file = url.origin === origin ? files.get(url.pathname) : undefined;
      return file === undefined ? route.abort() : route.fulfill(file);
    },
  );
  return { context, page, complaints };
}

/** As the editor does it: colours on the root element, the kind of theme on the body. */
export async function setTheme(page: Page, name: ThemeName): Promise<void> {
  const { kind, colours } = THEMES[name];
  await page.evaluate(
    ([kindName, pairs]) => {
      const { document } = globalThis as unknown as Themed;
      for (const [variable, colour] of pairs) document.documentElement.style.setProperty(`--vscode-${variable}`, colour);
      document.body.className = kindName;
    },
    [kind, VARIABLES.map((variable, at) => [variable, colours[at] ?? ''])] as unknown as [string, [string, string][]],
  );
}

/** The browser's own, of which only the page knows. */
interface Themed {
  readonly document: {
    readonly documentElement: { readonly style: { readonly setProperty: (name: string, value: string) => void } };
    readonly body: { className: string };
  };
}
