/**
 * Draws the chart on a canvas: one frame, from the state of the page.
 *
 * A canvas and not SVG elements, by measurement: see the bench `chart`. What a frame costs is bounded by the picture's size and
 * not by the number of comparisons: of marks on the same spot one is drawn, and lines shorter than a pixel are left to their mark.
 * The shapes and tones are those of the file that can be saved; nothing is told by colour alone.
 */

import { chartLabels } from '../../../../server/src/core/report/lagChart/chartLabels.ts';
import { FONT_SIZE, type Frame, haloText } from './frame.ts';
import { paintAxes } from './paintAxes.ts';
import { paintMarks, paintRing } from './paintMarks.ts';
import { paintRows } from './paintRows.ts';

/** What could not be shown at this zoom. */
export interface Painted {
  readonly hasHiddenNames: boolean;
  readonly hasHiddenWhiskers: boolean;
}

export function paintChart(frame: Frame): Painted {
  const { context, charted, layout, palette } = frame;
  context.globalAlpha = 1;
  context.fillStyle = palette.paper;
  context.fillRect(0, 0, layout.width, layout.height);
  context.font = `${FONT_SIZE}px ${palette.font}`;
  context.lineJoin = 'round';
  paintAxes(frame);
  paintRows(frame);
  const { hasHiddenWhiskers } = paintMarks(frame);
  const focus = frame.hovered ?? frame.chosen;
  const { labels, isCutShort } = chartLabels({
    chart: charted.chart,
    marks: charted.marks,
    layout,
    scale: frame.scale,
    isShown: charted.isShown,
    first: focus,
    widthOf: frame.widthOf,
  });
  for (let index = 0; index < charted.marks.count; index += 1) {
    if (frame.isAtCaret(index) && charted.isShown(index)) paintRing(frame, index, 'caret');
  }
  if (frame.chosen !== null) paintRing(frame, frame.chosen, 'chosen');
  if (frame.hovered !== null && frame.hovered !== frame.chosen) paintRing(frame, frame.hovered, 'hovered');
  context.textAlign = 'center';
  context.textBaseline = 'alphabetic';
  for (const { index, x, y, text } of labels) {
    haloText(context, text, x, y, palette, index === focus);
  }
  return { hasHiddenNames: isCutShort, hasHiddenWhiskers };
}
