/**
 * How alike scratch and sound are when one is moved against the other: one peak, well above the rest, is a match.
 */

import { type Box, drawingBox, leftAxis, lowerAxis, panelFrame, text } from './panel.ts';
import { scaleOf } from './plotScale.ts';
import { element } from './svgText.ts';
import { largestMagnitude, type Trace, waveform } from './waveform.ts';

export interface CorrelationData {
  /** Over milliseconds from the reported place; 1 is identity, and below 0 one of the two is upside down. */
  readonly curve: Trace;
  /** Milliseconds from the reported place to the top. */
  readonly peakAt: number;
  /** What was compared, and how far the top stands out: a short phrase. */
  readonly remark: string;
}

/** Below this the curve is noise, and should look like noise. */
const LEAST_REACH = 0.05;

export function correlationPanel(panel: Box, data: CorrelationData): string {
  const box = drawingBox(panel);
  const { first, step, samples } = data.curve;
  const across = scaleOf(first, first + step * (samples.length - 1), box.left, box.left + box.width);
  const high = Math.max(LEAST_REACH, 1.2 * largestMagnitude(samples));
  const up = scaleOf(-high, high, box.top + box.height, box.top);
  const peak = samples[Math.max(0, Math.min(samples.length - 1, Math.round((data.peakAt - first) / step)))] ?? 0;
  const [x, y] = [across.place(data.peakAt), up.place(peak)];
  const isOnRight = data.peakAt > 0.6 * across.high;
  return [
    panelFrame(panel, box, 'Likeness of scratch and sound', data.remark),
    leftAxis(box, up, null),
    waveform(data.curve, across, up, box.width, 'trace'),
    element('circle', { class: 'mark', cx: x, cy: y, r: 6, stroke: 'black', fill: 'none' }),
    text(isOnRight ? x - 12 : x + 12, y + (peak < 0 ? 12 : 4), peak < 0 ? 'peak (upside down)' : 'peak', {
      class: 'mark-text over',
      'text-anchor': isOnRight ? 'end' : 'start',
    }),
    lowerAxis(box, across, 'ms', ['earlier in the sound', 'later in the sound']),
  ].join('');
}
