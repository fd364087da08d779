/**
 * The desk's canvases in their places: the recording around the clap, the whole of it above, and the two frames between which the
 * hands meet.
 */

import { type Rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import { make, setAttributes, setText } from '../../chart/page/elements.ts';
import { onThemeChange, type Palette, readPalette } from '../../chart/page/palette.ts';
import type { FramePicture } from './cameraFile.ts';

export interface CanvasPlace {
  readonly element: HTMLElement;
  /** Null when there is no room to draw in. */
  readonly context: () => CanvasRenderingContext2D | null;
  readonly size: () => { readonly width: number; readonly height: number };
}

export function createCanvasPlace(element: HTMLElement, onChange: () => void): CanvasPlace {
  const canvas = make('canvas', { 'aria-hidden': 'true' });
  element.append(canvas);
  const context = canvas.getContext('2d', { alpha: false });
  let width = 0;
  let height = 0;
  new ResizeObserver(([entry]) => {
    if (entry === undefined) return;
    width = Math.round(entry.contentRect.width);
    height = Math.round(entry.contentRect.height);
    onChange();
  }).observe(element);
  return {
    element,
    size: () => ({ width, height }),
    context: () => {
      if (context === null || width < 60 || height < 20) return null;
      const ratio = devicePixelRatio;
      const [pixelWidth, pixelHeight] = [Math.round(width * ratio), Math.round(height * ratio)];
      if (canvas.width !== pixelWidth || canvas.height !== pixelHeight) {
        canvas.width = pixelWidth;
        canvas.height = pixelHeight;
      }
      context.setTransform(ratio, 0, 0, ratio, 0, 0);
      return context;
    },
  };
}

/** Read again when the theme changes. */
export function createPaletteSource(element: HTMLElement, onChange: () => void): () => Palette {
  let palette: Palette | null = null;
  onThemeChange(() => {
    palette = null;
    onChange();
  });
  return () => {
    palette ??= readPalette(element);
    return palette;
  };
}

export interface Monitors {
  readonly element: HTMLElement;
  readonly show: (state: {
    readonly picked: number | null;
    /** How the frame came to be the picked one. */
    readonly origin: 'seen' | 'report' | 'guess';
    readonly pictureOf: ((frame: number) => FramePicture | null | undefined) | null;
    readonly aspect: number;
    readonly labelOf: (frame: number) => string | null;
    /** While picture and sound are played: the frame of this moment. */
    readonly playing: number | null;
  }) => void;
}

export function createMonitors(palette: () => Palette): Monitors {
  const before = createMonitor(palette);
  const here = createMonitor(palette);
  here.element.className = 'picked';
  const element = make('div', { class: 'monitors' }, before.element, here.element);
  return {
    element,
    show: ({ picked, origin, pictureOf, aspect, labelOf, playing }) => {
      element.hidden = picked === null || pictureOf === null;
      if (picked === null || pictureOf === null) return;
      const named = (frame: number): string => {
        const label = labelOf(frame);
        return label === null ? `Frame ${frame}` : `Frame ${frame}, ${label}`;
      };
      const shown = playing ?? picked;
      before.show(
        pictureOf(picked - 1),
        aspect,
        picked === 0 ? 'There is no frame before.' : `${named(picked - 1)}: the one before`,
      );
      const what = { seen: 'picked', report: 'where the report has the clap', guess: 'a guess, as long as none is picked' }[
        origin
      ];
      here.show(pictureOf(shown), aspect, playing === null ? `${named(picked)}: ${what}` : `${named(shown)}: playing`);
    },
  };
}

function createMonitor(palette: () => Palette): {
  readonly element: HTMLElement;
  readonly show: (picture: FramePicture | null | undefined, aspect: number, words: string) => void;
} {
  const canvas = make('canvas', { role: 'img' });
  const caption = make('figcaption');
  const context = canvas.getContext('2d', { alpha: false });
  return {
    element: make('figure', {}, canvas, caption),
    show: (picture, aspect, words) => {
      const width = 480;
      const height = Math.round(width / aspect);
      if (canvas.width !== width || canvas.height !== height) {
        canvas.width = width;
        canvas.height = height;
      }
      if (context !== null) {
        context.fillStyle = palette().paper;
        context.fillRect(0, 0, width, height);
        if (picture instanceof HTMLCanvasElement) context.drawImage(picture, 0, 0, width, height);
      }
      setAttributes(canvas, {
        'aria-label': words,
        'data-state': picture === undefined ? 'waiting' : picture === null ? 'none' : 'shown',
      });
      setText(caption, picture === null ? `${words} (not in the file)` : words);
    },
  };
}

/** The nearest float, for drawing; null stays null. */
export function numberOf(value: Rational | null): number | null {
  return value === null ? null : toNumber(value);
}
