/**
 * The page of the lag chart in Debian's Chromium, with a stub in the place of the editor: the page's own HTML with its own policy,
 * the bundle as it is shipped, and the editor's theme variables and messages made by hand.
 */

import type { Page } from 'playwright-core';
import type { FromPage, ToPage } from '../../../client/src/chart/chartMessages.ts';
import type { LagChart } from '../../../server/src/core/views/lagChartData.ts';
import { emptyPage, type ServedPage, servePage, setTheme, type ThemeName } from '../pages/stubbedPage.ts';

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

export async function startChartPages(): Promise<ChartPageHost> {
  const served = await servePage('chart', 'Lag chart', 'file:///cut/millrace.otio');
  return { open: (options = {}) => openChart(served, options), stop: () => served.browser.close() };
}

async function openChart(served: ServedPage, options: ChartPageOptions): Promise<OpenChart> {
  const { context, page, complaints } = await emptyPage(served, {
    width: options.width ?? 1000,
    height: options.height ?? 720,
    isMotionReduced: options.isMotionReduced !== false,
    areColoursForced: options.areColoursForced === true,
  });
  await page.addInitScript(STUB, { memory: options.memory });
  await page.goto(`${served.origin}/`);
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

/** The browser's own, of which only the page knows. */
interface Stub {
  readonly postMessage: (data: unknown, target: string) => void;
  readonly requestAnimationFrame: (callback: () => void) => void;
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
