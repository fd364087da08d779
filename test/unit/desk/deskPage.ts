/**
 * The page of the clap desk in Debian's Chromium, with a stub in the place of the editor: the page's own HTML with its own policy, the
 * bundle as it is shipped, and its questions answered by the engine over real files.
 */

import { open, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import type { FromPage, PageMemory, Wanted } from '../../../client/src/desk/deskMessages.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { deskReport } from '../../../server/src/core/views/clapDesk.ts';
import type { DeskChange } from '../../../server/src/lsp/clapDeskMessages.ts';
import { createNodeFileSystem } from '../../../server/src/node/fileSystem.ts';
import { openBytes } from '../../../server/src/node/openBytes.ts';
import { findMedia } from '../../../server/src/project/desk/findMedia.ts';
import { createDeskRecordings } from '../../../server/src/sound/desk/deskRecordings.ts';
import { loadFourier } from '../../../server/src/sound/fourier/fourier.ts';
import { emptyPage, type ServedPage, servePage, setTheme, type ThemeName } from '../pages/stubbedPage.ts';
import { frameNumber, REPORT_NAME } from './scene.ts';

const recordings = createDeskRecordings({ open: (uri) => openBytes(fileURLToPath(uri)), fourier: () => loadFourier() });

export interface DeskPages {
  readonly open: (folder: string, options?: DeskPageOptions) => Promise<OpenDesk>;
  readonly stop: () => Promise<void>;
}

interface DeskPageOptions {
  readonly theme?: ThemeName;
  readonly wanted?: Wanted;
  readonly memory?: PageMemory;
  readonly width?: number;
  readonly height?: number;
  readonly areColoursForced?: boolean;
}

export interface OpenDesk {
  readonly page: Page;
  /** Complaints of the browser: errors, and whatever the policy refused. */
  readonly complaints: readonly string[];
  /** What the page asked to be written. */
  readonly written: readonly DeskChange[];
  /** Bytes of the camera file that were asked for. */
  readonly cameraBytes: () => number;
  /** The report as it stands now, told to the page. */
  readonly tell: (text: string, wanted?: Wanted | null) => Promise<void>;
  readonly headline: () => Promise<string>;
  readonly press: (...keys: readonly string[]) => Promise<void>;
  /** The number that stands in the picture of the picked frame. */
  readonly pickedPicture: () => Promise<number>;
  readonly memory: () => Promise<PageMemory>;
  /** Once the recording was listened to, and the picked frame is seen where there is one to see. */
  readonly untilReady: () => Promise<void>;
  readonly close: () => Promise<void>;
}

export async function startDeskPages(): Promise<DeskPages> {
  const served = await servePage('desk', 'Clap desk', 'file:///millrace/day3.alignment.json');
  return { open: (place, options = {}) => openDesk(served, place, options), stop: () => served.browser.close() };
}

async function openDesk(served: ServedPage, folder: string, options: DeskPageOptions): Promise<OpenDesk> {
  const { context, page, complaints } = await emptyPage(served, {
    width: options.width ?? 1100,
    height: options.height ?? 900,
    isMotionReduced: true,
    areColoursForced: options.areColoursForced === true,
  });
  const written: DeskChange[] = [];
  let cameraBytes = 0;
  const stopped = new Set<number>();
  let version = 0;
  const tell = async (text: string, wanted: Wanted | null = null): Promise<void> => {
    version += 1;
    const report = deskReport(readReport(REPORT_NAME, text));
    const answer = { uri: 'file:///millrace/day3.alignment.json', version, report, pairAtCaret: null };
    await post(page, { kind: 'desk', answer, wanted });
  };
  await page.exposeFunction('fromPage', async (message: FromPage) => {
    if (message.kind === 'ready') {
      await tell(await readFile(join(folder, REPORT_NAME), 'utf8'), options.wanted ?? null);
      return;
    }
    if (message.kind === 'stop') stopped.add(message.id);
    if (message.kind !== 'ask') return;
    const value = await answerOf(message, folder, {
      onWrite: (change) => written.push(change),
      onBytes: (count) => {
        cameraBytes += count;
      },
      isStopped: () => stopped.has(message.id),
    });
    // A page that was closed meanwhile needs no answer.
    await post(page, { kind: 'answer', id: message.id, value }).catch(() => undefined);
  });
  await page.addInitScript(STUB, { memory: options.memory });
  await page.goto(`${served.origin}/`);
  await setTheme(page, options.theme ?? 'dark');
  const desk: OpenDesk = {
    page,
    complaints,
    written,
    cameraBytes: () => cameraBytes,
    tell,
    headline: async () => (await page.locator('#headline').textContent()) ?? '',
    press: async (...keys) => {
      await page.locator('#bench').focus();
      for (const key of keys) await page.keyboard.press(key);
      await settle(page);
    },
    pickedPicture: async () => {
      await page.locator('figure.picked canvas[data-state="shown"]').waitFor();
      return frameNumber(await greys(page));
    },
    memory: () => page.evaluate(() => (globalThis as unknown as Stub).keptMemory as PageMemory),
    untilReady: async () => {
      await page.locator('#bench').waitFor();
      await page.locator('.search progress[hidden]').waitFor({ state: 'attached' });
      await page.waitForFunction(() =>
        /clap|Stopped/.test((globalThis as unknown as Stub).document.querySelector('.search')?.textContent ?? ''),
      );
      await settle(page);
    },
    close: () => context.close(),
  };
  return desk;
}

interface Watching {
  readonly onWrite: (change: DeskChange) => void;
  readonly onBytes: (count: number) => void;
  readonly isStopped: () => boolean;
}

/** Arrays as `{ floats }` or `{ bytes }` in base64; the stub makes arrays of them again. */
async function answerOf(message: Extract<FromPage, { kind: 'ask' }>, folder: string, watching: Watching): Promise<unknown> {
  switch (message.about) {
    case 'media':
      return mediaAnswer(message.ask, folder);
    case 'peaks': {
      const peaks = await recordings.peaks(message.ask.file, message.ask);
      return peaks === null ? null : { ...peaks, lows: floats(peaks.lows), highs: floats(peaks.highs) };
    }
    case 'sound': {
      const { file, start, count, channel } = message.ask;
      const samples = await recordings.sound(file, start, count, channel);
      return samples === null ? null : { start, samples: floats(samples) };
    }
    case 'claps': {
      const { file, range, columns } = message.ask;
      const found = await recordings.claps(file, {
        range,
        columns,
        onProgress: () => undefined,
        isCancelled: watching.isStopped,
      });
      if (found === null || watching.isStopped()) return null;
      return {
        claps: found.candidates.map((clap) => ({
          sample: clap.sample,
          uncertainty: clap.edgeUncertainty,
          channel: clap.channel,
          isClap: clap.verdict === 'clap',
          reason: clap.reason,
        })),
        remarks: found.remarks,
        unlistedCount: found.unlistedCount,
        peaks: found.peaks === null ? null : { ...found.peaks, lows: floats(found.peaks.lows), highs: floats(found.peaks.highs) },
      };
    }
    case 'bytes': {
      const { file, start, end } = message.ask;
      watching.onBytes(end - start);
      const handle = await open(fileURLToPath(file));
      const bytes = Buffer.alloc(end - start);
      const { bytesRead } = await handle.read(bytes, 0, bytes.length, start);
      await handle.close();
      return { bytes: bytes.subarray(0, bytesRead).toString('base64') };
    }
    case 'give':
    case 'choose':
      return null;
    case 'write':
      watching.onWrite(message.ask.change);
      return { isWritten: true, words: 'Written.' };
  }
}

async function mediaAnswer(
  ask: {
    readonly role: 'picture' | 'sound';
    readonly key: string;
    readonly names: readonly string[];
    readonly file: string | null;
  },
  folder: string,
): Promise<unknown> {
  const report = pathToFileURL(join(folder, REPORT_NAME)).href;
  const found = await findMedia(createNodeFileSystem(), report, ask);
  const name =
    found.path === null ? (ask.names[0] ?? ask.key) : decodeURIComponent(found.path.slice(found.path.lastIndexOf('/') + 1));
  if (found.path === null) return { file: null, name, words: found.words, recording: null, size: null };
  if (ask.role === 'picture') {
    const { size } = await stat(fileURLToPath(found.path));
    return { file: found.path, name, words: found.words, recording: null, size };
  }
  const facts = await recordings.facts(found.path);
  if (!facts.ok) return { file: null, name, words: `${name} ${facts.reason}`, recording: null, size: null };
  return { file: found.path, name, words: found.words, recording: facts, size: null };
}

function floats(values: Float32Array): { readonly floats: string } {
  return { floats: Buffer.from(values.buffer, values.byteOffset, values.byteLength).toString('base64') };
}

function post(page: Page, message: unknown): Promise<void> {
  return page.evaluate((data) => (globalThis as unknown as Stub).give(data), message);
}

function settle(page: Page): Promise<void> {
  return page.evaluate(() => {
    const { requestAnimationFrame } = globalThis as unknown as Stub;
    return new Promise<void>((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => resolve())));
  });
}

/** Grey of the picked frame's picture, by place from 0 to 1. */
async function greys(page: Page): Promise<(x: number, y: number) => number> {
  const { data, width, height } = await page.evaluate(() => {
    const { document, OffscreenCanvas } = globalThis as unknown as Stub;
    const canvas = document.querySelector('figure.picked canvas');
    if (canvas === null) throw new Error('there is no picture');
    // Read from a copy: a canvas that is read often is another one for the browser, and it says so.
    const { width, height } = canvas;
    const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
    context.drawImage(canvas, 0, 0);
    const image = context.getImageData(0, 0, width, height);
    return { data: Array.from(image.data.filter((_, at) => at % 4 === 1)), width, height };
  });
  return (x, y) => data[Math.floor(y * height) * width + Math.floor(x * width)] ?? 0;
}

interface PageElement {
  readonly textContent: string;
  readonly width: number;
  readonly height: number;
}

/** The browser's own, of which only the page knows. */
interface Stub {
  readonly requestAnimationFrame: (callback: () => void) => void;
  readonly fromPage: (message: unknown) => void;
  readonly postMessage: (data: unknown, target: string) => void;
  readonly document: {
    readonly querySelector: (selector: string) => PageElement | null;
  };
  readonly OffscreenCanvas: new (
    width: number,
    height: number,
  ) => {
    readonly getContext: (
      kind: '2d',
      options: object,
    ) => {
      readonly drawImage: (canvas: PageElement, x: number, y: number) => void;
      readonly getImageData: (x: number, y: number, width: number, height: number) => { readonly data: Uint8ClampedArray };
    };
  };
  give: (data: unknown) => void;
  keptMemory: unknown;
  acquireVsCodeApi: () => object;
}

function STUB({ memory }: { readonly memory: unknown }): void {
  const stub = globalThis as unknown as Stub;
  stub.keptMemory = memory;
  const bytesOf = (text: string): Uint8Array => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
  const revive = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(revive);
    if (typeof value !== 'object' || value === null) return value;
    const fields = value as Record<string, unknown>;
    if (typeof fields['floats'] === 'string') return new Float32Array(bytesOf(fields['floats']).buffer as ArrayBuffer);
    if (typeof fields['bytes'] === 'string') return bytesOf(fields['bytes']);
    return Object.fromEntries(Object.entries(fields).map(([name, one]) => [name, revive(one)]));
  };
  stub.give = (data) => stub.postMessage(revive(data), '*');
  stub.acquireVsCodeApi = () => ({
    postMessage: (message: unknown) => stub.fromPage(message),
    getState: () => stub.keptMemory,
    setState: (kept: unknown) => {
      stub.keptMemory = kept;
    },
  });
}
