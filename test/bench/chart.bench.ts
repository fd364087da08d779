/**
 * The lag chart with ten thousand comparisons.
 *
 * How it is drawn was decided here: the same marks as SVG elements, moved by one attribute, are what the canvas is held against.
 * Chromium runs without a graphics card, and frames are counted as it shows them, 60 a second at most. Thirty a second are promised:
 * twice the time of a frame in which a canvas is only cleared, which is 33.3 ms on a machine with nothing else to do, and as much
 * longer as others keep this one busy. Without Chromium these two say so and count as 0.
 */

import type { Page } from 'playwright-core';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../server/src/core/audit.ts';
import { lagChart } from '../../server/src/core/views/lagChart.ts';
import { type TestShot, writeEdl } from '../support/cut.ts';
import { writeTestReport } from '../support/report.ts';
import { startChartPages } from '../unit/chart/chartPage.ts';
import { longChart } from '../unit/chart/charts.ts';
import { chromiumPath } from '../unit/pages/stubbedPage.ts';
import { type Bench, type BenchResult, median } from './benchmark.ts';

const COUNT = 10_000;
const FRAMES = 150;
const TURNS = 5;

export const benches: readonly Bench[] = [
  { name: 'lag chart of 10,000 comparisons: its data and words / the audit', limit: 2, unit: 'x', run: dataAgainstAudit },
  {
    name: 'lag chart of 10,000 comparisons: a frame of panning / two frames of nothing (33.3 ms)',
    limit: 1,
    unit: 'x',
    run: panAgainstClock,
  },
  { name: 'lag chart of 10,000 comparisons: a frame on canvas / as SVG elements', limit: 1, unit: 'x', run: canvasAgainstSvg },
];

async function dataAgainstAudit(): Promise<BenchResult> {
  const text = writeEdl({ rate: [24000, 1001], media: [], shots: shots() });
  const report = readReport(
    'day1.alignment.json',
    writeTestReport({
      pictures: { cam: { names: ['CAM.mov'], rate: '24000/1001' } },
      sounds: { deck: { names: ['DECK.wav'], sampleRate: 48000 } },
      pairs: [{ picture: 'cam', sound: 'deck', frame: 0, sample: 0, driftPpm: 3 }],
    }),
  );
  const settings = readSettings('afterclap.json', '{"edlRate": "24000/1001"}');
  const times = { audit: [] as number[], chart: [] as number[] };
  let size = 0;
  for (let round = 0; round < 9; round += 1) {
    let start = performance.now();
    const result = audit({ format: 'edl', text, reports: [report], settings });
    times.audit.push(performance.now() - start);
    start = performance.now();
    const chart = lagChart(result, 'day1.alignment.json is used.');
    times.chart.push(performance.now() - start);
    size = JSON.stringify(chart).length;
    if (chart.comparisons.length !== COUNT) throw new Error(`${chart.comparisons.length} comparisons`);
  }
  const [own, other] = [median(times.chart), median(times.audit)];
  return {
    ratio: own / other,
    detail: `${own.toFixed(0)} ms against ${other.toFixed(0)} ms, ${(size / 1e6).toFixed(1)} MB as JSON`,
  };
}

/** Every lag is another one: the words of none can be taken from another. */
function shots(): readonly TestShot[] {
  return Array.from({ length: COUNT }, (_, index) => {
    const place = { recordIn: index * 8, length: 8, sourceIn: 86_400 + index * 9 };
    return [
      { track: 'V1', media: 'CAM.mov', ...place },
      { track: 'A1', media: 'DECK.wav', ...place, sourceIn: place.sourceIn + (index % 50 === 7 ? 1 : 0) },
    ];
  }).flat();
}

async function panAgainstClock(): Promise<BenchResult> {
  if (chromiumPath() === null) return { ratio: 0, detail: 'skipped: no Chromium' };
  const figures = await panFrames();
  const ratio = Math.max(...figures.map(({ own, nothing }) => own / (2 * nothing)));
  const detail = figures
    .map(({ seen, own, nothing }) => `${seen}: ${rateText(own)} of ${rateText(nothing)} frames a second`)
    .join(', ');
  return { ratio, detail };
}

function rateText(milliseconds: number): string {
  return (1000 / milliseconds).toFixed(0);
}

interface PanFigure {
  readonly seen: string;
  /** Milliseconds from frame to frame. */
  readonly own: number;
  readonly nothing: number;
}

async function panFrames(): Promise<readonly PanFigure[]> {
  const host = await startChartPages();
  try {
    const { page, press } = await host.open({ chart: longChart(COUNT), width: 1400, height: 900 });
    const figures: PanFigure[] = [];
    for (const [seen, zooms] of [
      ['all in view', 0],
      ['a tenth', 5],
      ['a hundredth', 5],
    ] as const) {
      await press(...Array.from({ length: zooms }, () => '+'));
      const times = { own: [] as number[], nothing: [] as number[] };
      // In short turns, so that both meet the same load.
      for (let turn = 0; turn < TURNS; turn += 1) {
        times.own.push(await page.evaluate(panCanvas, FRAMES / TURNS));
        times.nothing.push(await page.evaluate(clearCanvas, FRAMES / TURNS));
      }
      figures.push({ seen, own: median(times.own), nothing: median(times.nothing) });
    }
    return figures;
  } finally {
    await host.stop();
  }
}

async function canvasAgainstSvg(): Promise<BenchResult> {
  if (chromiumPath() === null) return { ratio: 0, detail: 'skipped: no Chromium' };
  const host = await startChartPages();
  try {
    const { page } = await host.open({ chart: longChart(COUNT), width: 1400, height: 900 });
    const own = await page.evaluate(panCanvas, FRAMES / 3);
    const other = await svgFrames(page);
    return { ratio: own / other, detail: `${own.toFixed(1)} ms against ${other.toFixed(1)} ms` };
  } finally {
    await host.stop();
  }
}

async function svgFrames(page: Page): Promise<number> {
  return page.evaluate(panSvg, { count: COUNT, frames: FRAMES / 3 });
}

/** The browser's own, of which only the page knows. */
interface Browser {
  readonly document: {
    readonly querySelector: (selector: string) => {
      readonly clientWidth: number;
      readonly clientHeight: number;
      readonly dispatchEvent: (event: unknown) => void;
      readonly append: (element: CanvasElement) => void;
    };
    readonly createElement: (name: string) => CanvasElement;
    readonly createElementNS: (space: string, name: string) => SvgElement;
    readonly body: { readonly replaceChildren: (element: SvgElement) => void };
  };
  readonly WheelEvent: new (type: string, options: object) => unknown;
  readonly requestAnimationFrame: (callback: (now: number) => void) => void;
}

interface CanvasElement {
  width: number;
  height: number;
  readonly remove: () => void;
  readonly getContext: (kind: '2d') => {
    fillStyle: string;
    readonly fillRect: (x: number, y: number, width: number, height: number) => void;
  };
}

interface SvgElement {
  readonly setAttribute: (name: string, value: string) => void;
  readonly append: (...elements: readonly SvgElement[]) => void;
}

/** Runs in the page: turns the wheel sideways once a frame, and answers the mean time from frame to frame. */
function panCanvas(frames: number): Promise<number> {
  const { document, WheelEvent, requestAnimationFrame } = globalThis as unknown as Browser;
  const chart = document.querySelector('.chart');
  return new Promise((resolve) => {
    let count = 0;
    let startedAt = 0;
    const step = (now: number): void => {
      if (count === 5) startedAt = now;
      if (count === frames + 5) {
        resolve((now - startedAt) / frames);
        return;
      }
      const deltaX = count % 40 < 20 ? 12 : -12;
      chart.dispatchEvent(new WheelEvent('wheel', { deltaX, clientX: 600, clientY: 400, cancelable: true, bubbles: true }));
      count += 1;
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  });
}

/** Runs in the page: a canvas of the same size, cleared once a frame. */
function clearCanvas(frames: number): Promise<number> {
  const { document, requestAnimationFrame } = globalThis as unknown as Browser;
  const chart = document.querySelector('.chart');
  const canvas = document.createElement('canvas');
  canvas.width = chart.clientWidth;
  canvas.height = chart.clientHeight;
  chart.append(canvas);
  const context = canvas.getContext('2d');
  return new Promise((resolve) => {
    let count = 0;
    let startedAt = 0;
    const step = (now: number): void => {
      if (count === 5) startedAt = now;
      if (count === frames + 5) {
        canvas.remove();
        resolve((now - startedAt) / frames);
        return;
      }
      context.fillStyle = count % 2 === 0 ? 'gray' : 'silver';
      context.fillRect(0, 0, canvas.width, canvas.height);
      count += 1;
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  });
}

/** Runs in the page: as many marks as elements, moved by the group they stand in. */
function panSvg({ count, frames }: { readonly count: number; readonly frames: number }): Promise<number> {
  const { document, requestAnimationFrame } = globalThis as unknown as Browser;
  const make = (name: string, attributes: Readonly<Record<string, string>>): SvgElement => {
    const element = document.createElementNS('http://www.w3.org/2000/svg', name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  };
  const picture = make('svg', { width: '1400', height: '700', viewBox: '0 0 1400 700' });
  const group = make('g', {});
  for (let index = 0; index < count; index += 1) {
    const x = (index / count) * 1300;
    const y = 350 + ((index * 37) % 300) - 150;
    const line = { x1: String(x), x2: String(x + 3), y1: String(y), y2: String(y), stroke: 'currentColor' };
    group.append(make('line', line), make('circle', { cx: String(x), cy: String(y), r: '3', fill: 'currentColor' }));
  }
  picture.append(group);
  document.body.replaceChildren(picture);
  return new Promise((resolve) => {
    let at = 0;
    let startedAt = 0;
    const step = (now: number): void => {
      if (at === 3) startedAt = now;
      if (at === frames + 3) {
        resolve((now - startedAt) / frames);
        return;
      }
      group.setAttribute('transform', `translate(${at % 40} 0)`);
      at += 1;
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  });
}
