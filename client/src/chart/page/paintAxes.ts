/**
 * Everything behind the marks: the band of what is allowed, the grid, the numbers along the sides, the words for up and down.
 */

import { fixedWords } from '../../../../server/src/core/report/lagChart/chartLabels.ts';
import { frameTicks, lagTicks, recordTicks } from '../../../../server/src/core/report/lagChart/chartTicks.ts';
import { beyondView, beyondWords } from '../../../../server/src/core/report/lagChart/markPlaces.ts';
import { FONT_SIZE, type Frame, haloText } from './frame.ts';

export function paintAxes(frame: Frame): void {
  paintBand(frame);
  paintGrid(frame);
  paintEdges(frame);
  paintRecordTimes(frame);
}

function paintBand({ context, charted, layout, scale, palette }: Frame): void {
  const { plot } = layout;
  const bottom = plot.top + plot.height;
  const clamped = (lag: number): number => Math.min(Math.max(scale.y(lag), plot.top), bottom);
  const { inner, outer } = charted.marks.band;
  context.fillStyle = palette.ink;
  context.globalAlpha = palette.bandStrength;
  const fill = (low: number, high: number): void =>
    context.fillRect(plot.left, clamped(high), plot.width, Math.max(0, clamped(low) - clamped(high)));
  fill(inner.low, inner.high);
  // Where the tolerance differs by recording, what only some may do is shown fainter.
  if (outer.low !== inner.low || outer.high !== inner.high) fill(outer.low, outer.high);
  context.strokeStyle = palette.ink;
  context.lineWidth = 1;
  context.globalAlpha = 0.6;
  context.setLineDash([4, 3]);
  for (const lag of [inner.low, inner.high]) {
    const y = crisp(scale.y(lag));
    if (y >= plot.top && y <= bottom) stroke(context, plot.left, y, plot.left + plot.width, y);
  }
  context.setLineDash([]);
}

function paintGrid({ context, charted, layout, scale, view, palette }: Frame): void {
  const { plot } = layout;
  const right = plot.left + plot.width;
  context.lineWidth = 1;
  context.textBaseline = 'middle';
  for (const { at, text } of lagTicks(view, plot.height)) {
    const y = crisp(scale.y(at));
    context.strokeStyle = palette.ink;
    context.globalAlpha = at === 0 ? Math.min(1, palette.gridStrength * 2.6) : palette.gridStrength;
    stroke(context, plot.left, y, right, y);
    context.globalAlpha = 1;
    context.fillStyle = palette.ink;
    context.textAlign = 'right';
    context.fillText(text, plot.left - 8, y);
  }
  context.fillStyle = palette.quiet;
  context.textAlign = 'left';
  for (const { at, text } of frameTicks(charted.chart, view, plot.height)) context.fillText(text, right + 8, scale.y(at));
  context.strokeStyle = palette.ink;
  context.globalAlpha = Math.min(1, palette.gridStrength * 1.6);
  context.strokeRect(crisp(plot.left), crisp(plot.top), Math.round(plot.width), Math.round(plot.height));
  context.globalAlpha = 1;
  context.textBaseline = 'alphabetic';
  for (const { text, x, y, anchor } of fixedWords(layout, scale, charted.marks.band)) {
    context.textAlign = anchor;
    haloText(context, text, x, y, { ...palette, ink: palette.quiet });
  }
}

function paintEdges({ context, charted, layout, view, palette }: Frame): void {
  const { over, under } = layout;
  const beyond = beyondView(charted.marks, view, charted.isShown);
  context.lineWidth = 1;
  context.textAlign = 'right';
  context.textBaseline = 'alphabetic';
  context.font = `${FONT_SIZE - 1}px ${palette.font}`;
  for (const [box, words] of [
    [over, beyondWords(beyond.over, 'above')],
    [under, beyondWords(beyond.under, 'below')],
  ] as const) {
    context.strokeStyle = palette.ink;
    context.globalAlpha = palette.gridStrength;
    context.setLineDash([2, 3]);
    context.strokeRect(crisp(box.left), crisp(box.top), Math.round(box.width), Math.round(box.height));
    context.setLineDash([]);
    context.globalAlpha = 1;
    context.fillStyle = palette.ink;
    for (const [line, word] of words.entries()) context.fillText(word, box.left - 8, box.top + 11 + 12 * line);
  }
  context.font = `${FONT_SIZE}px ${palette.font}`;
}

function paintRecordTimes({ context, charted, layout, scale, view, palette }: Frame): void {
  const { plot, under, recordAxis } = layout;
  const axis = under.top + under.height;
  context.lineWidth = 1;
  context.textAlign = 'center';
  context.textBaseline = 'alphabetic';
  for (const { at, text } of recordTicks(charted.chart, view, plot.width)) {
    const x = crisp(scale.x(at));
    context.strokeStyle = palette.ink;
    context.globalAlpha = palette.gridStrength * 2;
    stroke(context, x, axis, x, axis + 5);
    context.globalAlpha = palette.gridStrength * 0.7;
    stroke(context, x, plot.top, x, plot.top + plot.height);
    context.globalAlpha = 1;
    context.fillStyle = palette.ink;
    context.fillText(text, x, recordAxis + 2);
  }
}

function stroke(context: CanvasRenderingContext2D, x1: number, y1: number, x2: number, y2: number): void {
  context.beginPath();
  context.moveTo(x1, y1);
  context.lineTo(x2, y2);
  context.stroke();
}

/** The middle of a pixel, so that a line one pixel wide covers one and not two by half. */
function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
