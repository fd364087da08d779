/**
 * How the clocks part along the take: each window that was compared, and the line through them.
 *
 * Upwards is how much a sound that is lined up at its head would lag where the window lies, were the drift left alone; downwards, how
 * much it would lead. Windows that disagree are drawn hollow and did not shape the line.
 */

import { type Box, drawingBox, leftAxis, lowerAxis, panelFrame, text } from './panel.ts';
import { scaleOf } from './plotScale.ts';
import { element } from './svgText.ts';

export interface DriftData {
  readonly windows: readonly DriftWindow[];
  /** The line at the first and last instant of the overlap. */
  readonly line: readonly [DriftPoint, DriftPoint];
  readonly jumps: readonly { readonly seconds: number; readonly name: string }[];
  /** '12.0 ppm': how fast, in words. */
  readonly remark: string;
}

interface DriftPoint {
  /** Seconds of picture. */
  readonly seconds: number;
  /** Milliseconds by which the sound lags if nothing is done about drift. */
  readonly lag: number;
}

interface DriftWindow extends DriftPoint {
  readonly agrees: boolean;
}

/** Below this the axis would show nothing but the grain of the measurement: a fifth of a millisecond. */
const LEAST_REACH = 0.2;

export function driftPanel(panel: Box, data: DriftData): string {
  const box = drawingBox(panel);
  const agreeing = data.windows.filter(({ agrees }) => agrees);
  const shown = [...data.line, ...(agreeing.length > 0 ? agreeing : data.windows)];
  const reach = Math.max(LEAST_REACH, 1.15 * Math.max(...shown.map(({ lag }) => Math.abs(lag))));
  const [start, end] = data.line;
  const across = scaleOf(start.seconds, end.seconds, box.left + 10, box.left + box.width - 10);
  const up = scaleOf(-reach, reach, box.top + box.height, box.top);
  const inside = (lag: number): number => up.place(Math.max(-reach, Math.min(reach, lag)));
  const hollow = data.windows.filter(({ agrees }) => !agrees).length;
  const isLong = end.seconds - start.seconds > 600;
  const inUnits = isLong ? scaleOf(start.seconds / 60, end.seconds / 60, box.left + 10, box.left + box.width - 10) : across;
  return [
    panelFrame(panel, box, 'Drift along the take, in ms', `${data.remark}; ${windowsInWords(agreeing.length, hollow)}`),
    leftAxis(box, up, ['lined up at its head, the sound leads here', 'lined up at its head, the sound lags here']),
    ...data.jumps.map(({ seconds, name }) => {
      const x = across.place(seconds);
      return (
        element('line', { class: 'jump', x1: x, x2: x, y1: box.top, y2: box.top + box.height, stroke: 'black' }) +
        text(x + 5, box.top + box.height / 2, name, { class: 'mark-text over' })
      );
    }),
    element('line', {
      class: 'mark',
      x1: across.place(start.seconds),
      x2: across.place(end.seconds),
      y1: inside(start.lag),
      y2: inside(end.lag),
      stroke: 'black',
      'stroke-width': '2',
    }),
    ...data.windows.map(({ seconds, lag, agrees }) =>
      element('circle', {
        class: agrees ? 'agrees' : 'differs',
        cx: across.place(seconds),
        cy: inside(lag),
        r: agrees ? 3.2 : 4.2,
        ...(agrees ? {} : { fill: 'none', stroke: 'black' }),
      }),
    ),
    lowerAxis(box, inUnits, isLong ? 'minutes of picture' : 'seconds of picture', null),
  ].join('');
}

function windowsInWords(agreeing: number, hollow: number): string {
  const all = `${agreeing} ${agreeing === 1 ? 'window' : 'windows'} on the line`;
  return hollow === 0 ? all : `${all}, ${hollow} off it (hollow)`;
}
