/**
 * The canvas in its place: its size, the palette, one frame at a time.
 */

import {
  type ChartLayout,
  type ChartScale,
  chartLayout,
  chartScale,
} from '../../../../server/src/core/report/lagChart/chartLayout.ts';
import type { ChartView } from '../../../../server/src/core/report/lagChart/chartView.ts';
import { make } from './elements.ts';
import { FONT_SIZE } from './frame.ts';
import type { HitRequest } from './hitTest.ts';
import type { Charted, PageState } from './pageState.ts';
import { isAtCaret } from './pageState.ts';
import { type Painted, paintChart } from './paintChart.ts';
import { onThemeChange, type Palette, readPalette } from './palette.ts';

export interface ChartSurface {
  readonly element: HTMLElement;
  /** Draws at once. Null when there is no room to draw in. */
  readonly paint: (state: PageState, charted: Charted, view: ChartView) => Painted | null;
  /** What lies where, as last drawn. */
  readonly hitRequest: (charted: Charted, view: ChartView) => HitRequest;
  readonly layout: (charted: Charted) => ChartLayout;
  readonly palette: () => Palette;
  readonly size: () => { readonly width: number; readonly height: number };
}

/** `onChange` is called when the size or the theme is another one and a frame is due. */
export function createChartSurface(onChange: () => void): ChartSurface {
  const canvas = make('canvas', { 'aria-hidden': 'true' });
  const element = make('div', { class: 'chart', tabindex: 0, role: 'application', 'aria-roledescription': 'lag chart' }, canvas);
  const context = canvas.getContext('2d', { alpha: false });
  const widths = new Map<string, number>();
  let palette: Palette | null = null;
  let width = 0;
  let height = 0;

  const currentPalette = (): Palette => {
    palette ??= readPalette(element);
    return palette;
  };
  const widthOf = (text: string): number => {
    let known = widths.get(text);
    if (known === undefined && context !== null) {
      if (widths.size > 20_000) widths.clear();
      context.font = `${FONT_SIZE}px ${currentPalette().font}`;
      known = context.measureText(text).width;
      widths.set(text, known);
    }
    return known ?? 0;
  };
  const scaleOf = (charted: Charted, view: ChartView): { readonly layout: ChartLayout; readonly scale: ChartScale } => {
    const layout = chartLayout(charted.chart, width, height);
    return { layout, scale: chartScale(layout, view) };
  };

  new ResizeObserver(([entry]) => {
    if (entry === undefined) return;
    width = Math.round(entry.contentRect.width);
    height = Math.round(entry.contentRect.height);
    onChange();
  }).observe(element);
  onThemeChange(() => {
    palette = null;
    widths.clear();
    onChange();
  });

  return {
    element,
    palette: currentPalette,
    size: () => ({ width, height }),
    layout: (charted) => chartLayout(charted.chart, width, height),
    hitRequest: (charted, view) => ({
      ...scaleOf(charted, view),
      chart: charted.chart,
      marks: charted.marks,
      isShown: charted.isShown,
    }),
    paint: (state, charted, view) => {
      if (context === null || width < 80 || height < 80) return null;
      const ratio = devicePixelRatio;
      const [pixelWidth, pixelHeight] = [Math.round(width * ratio), Math.round(height * ratio)];
      if (canvas.width !== pixelWidth || canvas.height !== pixelHeight) {
        canvas.width = pixelWidth;
        canvas.height = pixelHeight;
      }
      context.setTransform(ratio, 0, 0, ratio, 0, 0);
      return paintChart({
        context,
        charted,
        ...scaleOf(charted, view),
        view,
        palette: currentPalette(),
        chosen: state.chosen,
        hovered: state.hovered,
        isAtCaret: (index) => state.caret.size > 0 && isAtCaret(state, index),
        caretClips: state.caret,
        widthOf,
      });
    },
  };
}
