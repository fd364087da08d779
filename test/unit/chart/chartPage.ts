/**
 * The page of the lag chart in Debian's Chromium, with a stub in the place of the editor: the page's own HTML with its own policy,
 * the bundle as it is shipped, and the editor's theme variables and messages made by hand.
 */

import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { type Browser, chromium, type Page } from 'playwright-core';
import type { FromPage, ToPage } from '../../../client/src/chart/chartMessages.ts';
import { pageHtml } from '../../../client/src/pages/pageHtml.ts';
import type { LagChart } from '../../../server/src/core/views/lagChartData.ts';

const root = repositoryRoot(import.meta.dirname);
const ORIGIN = 'https://chart.test';

/** The nearest folder upwards with a manifest: a bench is bundled into another place. */
function repositoryRoot(folder: string): string {
  return existsSync(join(folder, 'package.json')) ? folder : repositoryRoot(dirname(folder));
}

export function chromiumPath(): string | null {
  const named = process.env['AFTERCLAP_CHROMIUM'];
  const candidates = [...(named === undefined ? [] : [named]), '/usr/bin/chromium', '/usr/bin/chromium-browser'];
  return candidates.find((path) => existsSync(path)) ?? null;
}

export interface ChartPageHost {
  readonly open: (options?: ChartPageOptions) => Promise<OpenChart>;
  readonly stop: () => Promise<void>;
}

interface ChartPageOptions {
  readonly chart?: LagChart;
  readonly theme?: ThemeName;
  readonly isMotionReduced?: boolean;
  readonly areColoursForced?: boolean;
  readonly width?: number;
  readonly height?: number;
  /** What the page left behind in an earlier life. */
  readonly memory?: unknown;
}

export interface OpenChart {
  readonly page: Page;
  readonly send: (message: ToPage) => Promise<void>;
  /** All that the page has sent. */
  readonly sent: () => Promise<readonly FromPage[]>;
  readonly memory: () => Promise<unknown>;
  /** Complaints of the browser: errors, and whatever the policy refused. */
  readonly complaints: readonly string[];
  readonly headline: () => Promise<string>;
  readonly detail: () => Promise<string>;
  readonly press: (...keys: readonly string[]) => Promise<void>;
  /** Waits until what was asked for is on the screen. */
  readonly settle: () => Promise<void>;
  readonly close: () => Promise<void>;
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

export async function startChartPages(): Promise<ChartPageHost> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-chart-'));
  await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs'), 'chart', `--out=${folder}`]);
  const files = new Map([
    ['/chart.js', { contentType: 'text/javascript', body: await readFile(join(folder, 'chart.js'), 'utf8') }],
    ['/chart.css', { contentType: 'text/css', body: await readFile(join(folder, 'chart.css'), 'utf8') }],
    ['/', { contentType: 'text/html', body: servedPage() }],
  ]);
  await rm(folder, { recursive: true });
  const browser = await chromium.launch({ executablePath: chromiumPath() as string, args: ['--no-sandbox', '--disable-gpu'] });
  return { open: (options = {}) => openChart(browser, files, options), stop: () => browser.close() };
}

function servedPage(): string {
  return pageHtml({
    title: 'Lag chart',
    source: ORIGIN,
    scriptUri: `${ORIGIN}/chart.js`,
    styleUri: `${ORIGIN}/chart.css`,
    nonce: 'fresh',
    uri: 'file:///cut/millrace.otio',
  });
}

async function openChart(
  browser: Browser,
  files: ReadonlyMap<string, { contentType: string; body: string }>,
  options: ChartPageOptions,
): Promise<OpenChart> {
  const context = await browser.newContext({
    viewport: { width: options.width ?? 1000, height: options.height ?? 720 },
    reducedMotion: options.isMotionReduced === false ? 'no-preference' : 'reduce',
    forcedColors: options.areColoursForced === true ? 'active' : 'none',
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
      const file = url.origin === ORIGIN ? files.get(url.pathname) : undefined;
      return file === undefined ? route.abort() : route.fulfill(file);
    },
  );
  await page.addInitScript(STUB, { memory: options.memory });
  await page.goto(`${ORIGIN}/`);
  await setTheme(page, options.theme ?? 'dark');
  const chart: OpenChart = {
    page,
    complaints,
    send: async (message) => {
      await page.evaluate((data) => (globalThis as unknown as Stub).postMessage(data, '*'), message);
      await chart.settle();
    },
    sent: () => page.evaluate(() => (globalThis as unknown as Stub).sentMessages as FromPage[]),
    memory: () => page.evaluate(() => (globalThis as unknown as Stub).keptMemory),
    headline: async () => (await page.locator('.readout strong').textContent()) ?? '',
    detail: async () => (await page.locator('.readout .detail').textContent()) ?? '',
    press: async (...keys) => {
      await page.locator('.chart').focus();
      for (const key of keys) await page.keyboard.press(key);
      await chart.settle();
    },
    settle: () =>
      page.evaluate(() => {
        const { requestAnimationFrame } = globalThis as unknown as Stub;
        return new Promise<void>((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => resolve())));
      }),
    close: () => context.close(),
  };
  await chart.settle();
  if (options.chart !== undefined) await chart.send({ kind: 'chart', chart: options.chart, version: 1 });
  return chart;
}

/** As the editor does it: colours on the root element, the kind of theme on the body. */
export async function setTheme(page: Page, name: ThemeName): Promise<void> {
  const { kind, colours } = THEMES[name];
  await page.evaluate(
    ([kindName, pairs]) => {
      const { document } = globalThis as unknown as Stub;
      for (const [variable, colour] of pairs) document.documentElement.style.setProperty(`--vscode-${variable}`, colour);
      document.body.className = kindName;
    },
    [kind, VARIABLES.map((variable, at) => [variable, colours[at] ?? ''])] as unknown as [string, [string, string][]],
  );
}

/** The browser's own, of which only the page knows. */
interface Stub {
  readonly postMessage: (data: unknown, target: string) => void;
  readonly requestAnimationFrame: (callback: () => void) => void;
  readonly document: {
    readonly documentElement: { readonly style: { readonly setProperty: (name: string, value: string) => void } };
    readonly body: { className: string };
  };
  sentMessages: unknown[];
  keptMemory: unknown;
  acquireVsCodeApi: () => object;
}

function STUB({ memory }: { readonly memory: unknown }): void {
  const stub = globalThis as unknown as Stub;
  stub.sentMessages = [];
  stub.keptMemory = memory;
  stub.acquireVsCodeApi = () => ({
    postMessage: (message: unknown) => stub.sentMessages.push(message),
    getState: () => stub.keptMemory,
    setState: (kept: unknown) => {
      stub.keptMemory = kept;
    },
  });
}
