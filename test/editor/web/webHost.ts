/**
 * VS Code for the web, started and stopped by the tests: everything of it runs in one page of Debian's Chromium, extensions in a
 * worker, and the folder it has open is a virtual one.
 *
 * The product comes from its unpacked VSIX. A folder of this machine is served as `vscode-test-web://mount/`; what a page writes
 * into it stays in the memory of that page, so each page begins with the folder as it is on disk. Pages reach this machine and
 * nothing else: what they ask of the outside is refused, and remembered.
 */

import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { type Browser, chromium, type Page } from 'playwright-core';
import { chromiumPath, type Theme } from '../editorHost.ts';

const host = join(import.meta.dirname, '..', 'webHost', 'node_modules');
/** Stands for a commit, see installWebHost.mjs. */
const BUILD = '0'.repeat(40);
const MOUNT = 'vscode-test-web://mount';

export interface WebHost {
  readonly openPage: (options: WebPageOptions) => Promise<Page>;
  /** Address of a file of the served folder as the editor in the page knows it. */
  readonly address: (path: string) => string;
  /** Addresses outside of this machine that pages asked for so far, none of which were answered. */
  readonly refused: readonly string[];
  readonly stop: () => Promise<void>;
}

/** `index`: in the served folder. `twoRoots`: in two folders of it. */
export type WebSuiteName = 'index' | 'twoRoots';

export interface WebPageOptions {
  readonly theme: Theme;
  /** What is opened instead of the served folder. */
  readonly folder?: string;
  /** A .code-workspace to open in place of a folder. */
  readonly workspaceFile?: string;
  /** A file that is open from the start. */
  readonly file?: string;
  /** Addresses that are not found in this page. */
  readonly missing?: string;
  /** Runs a suite of the driver; its page shows no messages. */
  readonly suite?: {
    readonly name: WebSuiteName;
    readonly log: (line: string) => void;
    readonly finish: (code: number) => void;
  };
}

export interface WebHostInput {
  readonly vsix: string;
  readonly workspace: string;
  /** Folder of the test's own extension, see webDriver.ts. */
  readonly driver: string;
}

/** Why the tests can't run on this machine; null when they can, and the editor is installed. */
export async function reasonToSkipWeb(): Promise<string | null> {
  if (chromiumPath() === null) return 'no Chromium';
  try {
    await promisify(execFile)(process.execPath, [join(import.meta.dirname, 'installWebHost.mjs')]);
    return null;
  } catch (error) {
    const { stderr = '' } = error as { readonly stderr?: string };
    return `the editor could not be installed, which needs the package registry once (${stderr.trim().split('\n').at(-1)})`;
  }
}

export async function startWebHost({ vsix, workspace, driver }: WebHostInput): Promise<WebHost> {
  const root = await mkdtemp(join(tmpdir(), 'afterclap-web-'));
  const product = join(root, 'product');
  await unpack(vsix, product);
  const port = await freePort();
  const child = spawn(
    process.execPath,
    [
      join(host, '@vscode', 'test-web', 'out', 'server', 'index.js'),
      '--browserType=none',
      '--quality=stable',
      `--commit=${BUILD}`,
      `--testRunnerDataDir=${join(host, '.builds')}`,
      `--port=${port}`,
      `--extensionPath=${product}`,
      `--extensionPath=${driver}`,
      workspace,
    ],
    { stdio: ['ignore', 'pipe', 'pipe'] },
  );
  await untilListening(child);
  const browser = await chromium.launch({ executablePath: chromiumPath() as string, args: CHROMIUM_ARGUMENTS });
  const refused: string[] = [];
  const origin = `http://localhost:${port}`;
  const address = (path: string): string => `${MOUNT}/${path}`;
  return {
    address,
    refused,
    openPage: async ({ theme, folder = `${MOUNT}/`, workspaceFile, file, missing, suite }) => {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, deviceScaleFactor: 1 });
      const page = await context.newPage();
      await context.route(
        (url) => !/(^|\.)localhost$/.test(url.hostname) && url.protocol.startsWith('http'),
        async (route) => {
          refused.push(route.request().url());
          await route.abort();
        },
      );
      if (missing !== undefined) await context.route(missing, (route) => route.fulfill({ status: 404, body: '' }));
      await page.route(
        (url) => url.origin === origin && url.pathname === '/',
        async (route) => {
          const response = await route.fetch();
          await route.fulfill({ response, body: withSettings(await response.text(), theme) });
        },
      );
      const payload: (readonly [string, string])[] = file === undefined ? [] : [['openFile', file]];
      if (suite !== undefined) {
        const driverAddress = `${origin}/static/extensions/1`;
        payload.push(['extensionDevelopmentPath', driverAddress], ['extensionTestsPath', `${driverAddress}/${suite.name}.js`]);
        await page.exposeFunction('codeAutomationLog', (_: string, parts: readonly unknown[]) =>
          suite.log(parts.map(String).join(' ')),
        );
        await page.exposeFunction('codeAutomationExit', (code: number) => suite.finish(code));
      }
      const opened = workspaceFile === undefined ? { folder } : { workspace: workspaceFile };
      await page.goto(`${origin}/?${new URLSearchParams({ ...opened, payload: JSON.stringify(payload) })}`);
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
  // The page of a chart comes from an origin of its own, which is this machine too.
  '--disable-features=LocalNetworkAccessChecks',
];

/** The page carries its settings in its own text; quiet defaults are added on the way. */
function withSettings(html: string, theme: Theme): string {
  return html.replace(/(id="vscode-workbench-web-configuration" data-settings=")([^"]*)(")/, (_, before, settings, after) => {
    const configuration = JSON.parse(settings.replaceAll('&quot;', '"'));
    // With these the editor keeps extensions in a frame of another origin, as it does on the web.
    Object.assign(configuration.productConfiguration, { quality: 'stable', commit: BUILD });
    configuration.configurationDefaults = {
      'workbench.startupEditor': 'none',
      'workbench.colorTheme': theme,
      'telemetry.telemetryLevel': 'off',
      'window.autoDetectColorScheme': false,
      'editor.minimap.enabled': false,
      'editor.fontSize': 13,
    };
    return `${before}${JSON.stringify(configuration).replaceAll('"', '&quot;')}${after}`;
  });
}

/** A VSIX is a ZIP archive with the extension in the folder `extension`. */
async function unpack(vsix: string, folder: string): Promise<void> {
  const { unzipSync } = (await import(join(host, 'fflate', 'esm', 'index.mjs'))) as {
    readonly unzipSync: (archive: Uint8Array) => Readonly<Record<string, Uint8Array>>;
  };
  for (const [name, content] of Object.entries(unzipSync(await readFile(vsix)))) {
    if (!name.startsWith('extension/') || name.endsWith('/')) continue;
    const path = join(folder, name.slice('extension/'.length));
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, content);
  }
}

async function stopAll(child: ChildProcess, browser: Browser, root: string): Promise<void> {
  await browser.close();
  if (child.exitCode === null && child.signalCode === null) {
    const isGone = new Promise((resolve) => child.on('exit', resolve));
    child.kill('SIGTERM');
    await isGone;
  }
  await rm(root, { recursive: true, force: true });
}

function untilListening(child: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    let log = '';
    const read = (chunk: Buffer): void => {
      log += chunk.toString('utf8');
      if (log.includes('Listening on ')) resolve();
    };
    child.stdout?.on('data', read);
    child.stderr?.on('data', read);
    child.on('exit', (code) => reject(new Error(`the server of the editor stopped with ${code}: ${log}`)));
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
