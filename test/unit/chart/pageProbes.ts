/**
 * Looks into the page's canvas: which colours it holds, how much a frame draws, whether it moves.
 */

import type { Page } from 'playwright-core';

/** The browser's own, of which only the page knows. */
interface Canvas {
  readonly width: number;
  readonly height: number;
  readonly toDataURL: () => string;
  readonly getContext: (kind: '2d') => {
    readonly getImageData: (x: number, y: number, width: number, height: number) => { readonly data: Uint8ClampedArray };
  };
}

interface Browser {
  readonly document: {
    readonly querySelector: (selector: string) => Canvas & { readonly dispatchEvent: (event: unknown) => void };
  };
  readonly WheelEvent: new (type: string, options: object) => unknown;
  readonly KeyboardEvent: new (type: string, options: object) => unknown;
  readonly requestAnimationFrame: (callback: (now: number) => void) => void;
  readonly setTimeout: (callback: () => void, milliseconds: number) => void;
  readonly CanvasRenderingContext2D: { readonly prototype: Record<string, (...values: unknown[]) => unknown> };
}

/** Pixels of exactly these colours ('#rrggbb'), in the order given. */
export function drawnColours(page: Page, colours: readonly string[]): Promise<readonly number[]> {
  return page.evaluate((wanted) => {
    const canvas = (globalThis as unknown as Browser).document.querySelector('canvas');
    const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
    const counts = new Map(wanted.map((colour) => [Number.parseInt(colour.slice(1), 16), 0]));
    for (let at = 0; at < data.length; at += 4) {
      const colour = ((data[at] ?? 0) << 16) | ((data[at + 1] ?? 0) << 8) | (data[at + 2] ?? 0);
      const count = counts.get(colour);
      if (count !== undefined) counts.set(colour, count + 1);
    }
    return wanted.map((colour) => counts.get(Number.parseInt(colour.slice(1), 16)) ?? 0);
  }, colours);
}

/** Zooms in by a key, and compares the first frame after it with the one half a second later. */
export function firstAndLastFrame(page: Page): Promise<{ readonly isSame: boolean }> {
  return page.evaluate(() => {
    const { document, KeyboardEvent, requestAnimationFrame, setTimeout } = globalThis as unknown as Browser;
    const canvas = document.querySelector('canvas');
    document.querySelector('.chart').dispatchEvent(new KeyboardEvent('keydown', { key: '+', bubbles: true, cancelable: true }));
    return new Promise<{ isSame: boolean }>((resolve) => {
      // The page asked for its frame first, so it has drawn when this is called.
      requestAnimationFrame(() => {
        const first = canvas.toDataURL();
        setTimeout(() => resolve({ isSame: canvas.toDataURL() === first }), 500);
      });
    });
  });
}

/** Pans for forty frames; counts what is drawn in each, and how many the browser shows. */
export function countDrawing(page: Page): Promise<{ readonly operations: number; readonly framesPerSecond: number }> {
  return page.evaluate(() => {
    const { document, WheelEvent, requestAnimationFrame, CanvasRenderingContext2D } = globalThis as unknown as Browser;
    const { prototype } = CanvasRenderingContext2D;
    let operations = 0;
    for (const name of ['fillRect', 'strokeRect', 'drawImage', 'stroke', 'fill', 'fillText', 'strokeText']) {
      const original = prototype[name] as (...values: unknown[]) => unknown;
      prototype[name] = function counted(this: unknown, ...values: unknown[]) {
        operations += 1;
        return original.apply(this, values);
      };
    }
    const chart = document.querySelector('.chart');
    const frames = 40;
    return new Promise<{ operations: number; framesPerSecond: number }>((resolve) => {
      let count = 0;
      let startedAt = 0;
      const step = (now: number): void => {
        if (count === 0) startedAt = now;
        if (count === frames) {
          resolve({
            operations: Math.round(operations / frames),
            framesPerSecond: Math.round((1000 * frames) / (now - startedAt)),
          });
          return;
        }
        chart.dispatchEvent(
          new WheelEvent('wheel', {
            deltaX: count % 20 < 10 ? 9 : -9,
            clientX: 600,
            clientY: 300,
            bubbles: true,
            cancelable: true,
          }),
        );
        count += 1;
        requestAnimationFrame(step);
      };
      requestAnimationFrame(step);
    });
  });
}
