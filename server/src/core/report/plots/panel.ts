/**
 * One chart of a plot: a box with a title, and its axes.
 */

import { roundTicks, type Scale, tickText } from './plotScale.ts';
import { element, textOf } from './svgText.ts';

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** The box inside which values are drawn: room is left for the title and `above` it, and for numbers below and to the left. */
export function drawingBox(panel: Box, above = 0): Box {
  const top = 26 + above;
  return { left: panel.left + 64, top: panel.top + top, width: panel.width - 76, height: panel.height - top - 50 };
}

export function panelFrame(panel: Box, box: Box, title: string, remark: string): string {
  return [
    text(panel.left + 12, panel.top + 16, title, { class: 'panel-title' }),
    remark === '' ? '' : text(panel.left + panel.width - 12, panel.top + 16, remark, { class: 'quiet', 'text-anchor': 'end' }),
    element('rect', {
      class: 'frame',
      x: box.left,
      y: box.top,
      width: box.width,
      height: box.height,
      fill: 'none',
      stroke: 'black',
    }),
  ].join('');
}

/** Numbers along the lower edge; below zero and above it are told apart by the two words, since no sign is shown. */
export function lowerAxis(box: Box, scale: Scale, unit: string, words: readonly [below: string, above: string] | null): string {
  const ticks = roundTicks(scale.low, scale.high, 8);
  const bottom = box.top + box.height;
  const parts = ticks.map((tick) => {
    const x = scale.place(tick);
    return (
      element('line', { class: 'grid', x1: x, x2: x, y1: bottom, y2: bottom + 5, stroke: 'black' }) +
      text(x, bottom + 18, tickText(tick, ticks), { 'text-anchor': 'middle' })
    );
  });
  const line = bottom + 36;
  if (words === null) parts.push(text(box.left + box.width / 2, line, unit, { class: 'quiet', 'text-anchor': 'middle' }));
  else {
    parts.push(text(box.left, line, `\u2190 ${unit} ${words[0]}`, { class: 'quiet' }));
    parts.push(text(box.left + box.width, line, `${unit} ${words[1]} \u2192`, { class: 'quiet', 'text-anchor': 'end' }));
  }
  return parts.join('');
}

/** Numbers along the left edge, with grid lines; `words` stand at its two ends, inside the box. */
export function leftAxis(box: Box, scale: Scale, words: readonly [below: string, above: string] | null): string {
  const ticks = roundTicks(scale.low, scale.high, 5);
  const parts = ticks.map((tick) => {
    const y = scale.place(tick);
    const isZero = Math.abs(tick) < 1e-12;
    return (
      element('line', {
        class: isZero ? 'zero' : 'grid',
        x1: box.left,
        x2: box.left + box.width,
        y1: y,
        y2: y,
        stroke: 'black',
        'stroke-opacity': '0.3',
      }) + text(box.left - 8, y + 4, tickText(tick, ticks), { 'text-anchor': 'end' })
    );
  });
  if (words !== null) {
    parts.push(text(box.left + 8, box.top + 16, `\u2191 ${words[1]}`, { class: 'quiet' }));
    parts.push(text(box.left + 8, box.top + box.height - 8, `\u2193 ${words[0]}`, { class: 'quiet' }));
  }
  return parts.join('');
}

export function text(x: number, y: number, words: string, attributes: Readonly<Record<string, string | number>> = {}): string {
  return element('text', { x, y, ...attributes }, textOf(words));
}
