/**
 * What a frame is drawn from, and text that stays readable over it.
 */

import type { ChartLayout, ChartScale } from '../../../../server/src/core/report/lagChart/chartLayout.ts';
import type { ChartView } from '../../../../server/src/core/report/lagChart/chartView.ts';
import type { Charted } from './pageState.ts';
import type { Palette } from './palette.ts';

export interface Frame {
  readonly context: CanvasRenderingContext2D;
  readonly charted: Charted;
  readonly layout: ChartLayout;
  readonly scale: ChartScale;
  readonly view: ChartView;
  readonly palette: Palette;
  readonly chosen: number | null;
  readonly hovered: number | null;
  readonly isAtCaret: (index: number) => boolean;
  readonly caretClips: ReadonlySet<number>;
  readonly widthOf: (text: string) => number;
}

export const FONT_SIZE = 12;

/** Text that can be read over lines: the paper shines through around it. */
export function haloText(
  context: CanvasRenderingContext2D,
  text: string,
  x: number,
  y: number,
  { paper, ink }: Palette,
  isStrong = false,
): void {
  context.globalAlpha = isStrong ? 1 : 0.85;
  context.strokeStyle = paper;
  context.lineWidth = isStrong ? 6 : 4;
  context.strokeText(text, x, y);
  context.globalAlpha = 1;
  context.fillStyle = ink;
  context.fillText(text, x, y);
}
