/**
 * The sound around one instant: wide, with the picture's frames over it, and close, where the leading edge is seen.
 *
 * Across runs the sound's own time. The report says which sample belongs to the start of a frame; the band says how far the true
 * instant may lie to either side. Were it on the left, the sound as reported would lead; on the right, it would lag.
 */

import { type Box, drawingBox, lowerAxis, panelFrame, text } from './panel.ts';
import { type Scale, scaleOf } from './plotScale.ts';
import { element, pathThrough } from './svgText.ts';
import { largestMagnitude, type Trace, waveform } from './waveform.ts';

export interface InstantData {
  /** Milliseconds of the sound, counted from the instant that matters. */
  readonly sound: Trace;
  /** The camera's own sound laid over it by the match; null when there is none. */
  readonly scratch: Trace | null;
  /** The scratch was recorded upside down and is drawn turned over. */
  readonly isScratchTurned: boolean;
  /** The leading edge, in the same milliseconds; null when no clap is near. */
  readonly edge: { readonly at: number; readonly name: string } | null;
  readonly frames: readonly FrameStart[];
  /** What the report states, and how far off it may be. */
  readonly anchor: { readonly at: number; readonly early: number; readonly late: number; readonly name: string };
  /** What lies at 0, for the axis: 'the leading edge'. */
  readonly origin: string;
}

export interface FrameStart {
  readonly number: number;
  readonly at: number;
}

/** Three frames to either side, roughly; the frames decide how far. */
export function framesPanel(panel: Box, data: InstantData): string {
  const box = drawingBox(panel, 18);
  const first = data.frames[0]?.at ?? -100;
  const last = data.frames.at(-1)?.at ?? 100;
  const across = scaleOf(first, last, box.left, box.left + box.width);
  return [
    panelFrame(panel, box, 'Sound under the frames of the picture', legend(data)),
    band(box, across, data),
    ...data.frames.map((frame, index) => frameLine(box, across, frame, data.frames[index + 1] ?? null)),
    lanes(box, across, data),
    edgeLine(box, across, data, true),
    bandWords(box, across, data),
    lowerAxis(box, across, 'ms', [`before ${data.origin}`, `after ${data.origin}`]),
  ].join('');
}

/** A few milliseconds to either side. */
export function edgePanel(panel: Box, data: InstantData, reach: number): string {
  const box = drawingBox(panel);
  const across = scaleOf(-reach, reach, box.left, box.left + box.width);
  const title = data.edge === null ? 'Close up' : 'The leading edge, close up';
  return [
    panelFrame(panel, box, title, ''),
    band(box, across, data),
    overlaid(box, across, data),
    edgeLine(box, across, data, false),
    bandWords(box, across, data),
    lowerAxis(box, across, 'ms', ['before', 'after']),
  ].join('');
}

function legend({ anchor }: InstantData): string {
  return `shaded: where the start of ${anchor.name} may truly lie`;
}

/** Sound and scratch one above the other, each as tall as it can be: what matters is where things happen, not how loud. */
function lanes(box: Box, across: Scale, { sound, scratch }: InstantData): string {
  if (scratch === null) return lane(box, across, sound, 'wave');
  const half = { ...box, height: box.height / 2 };
  const lower = { ...half, top: box.top + half.height };
  return [
    lane(half, across, sound, 'wave'),
    lane(lower, across, scratch, 'wave'),
    text(box.left + box.width - 8, half.top + 16, 'sound', { class: 'over', 'text-anchor': 'end' }),
    text(box.left + box.width - 8, lower.top + 16, 'scratch', { class: 'over', 'text-anchor': 'end' }),
  ].join('');
}

/** Sound and scratch in one place, where it shows whether they rise together. */
function overlaid(box: Box, across: Scale, { sound, scratch, isScratchTurned }: InstantData): string {
  if (scratch === null) return lane(box, across, sound, 'wave');
  return [
    lane(box, across, sound, 'trace'),
    lane(box, across, scratch, 'other'),
    text(box.left + 8, box.top + 16, `sound: solid; scratch: dashed${isScratchTurned ? ', turned over' : ''}`, { class: 'over' }),
  ].join('');
}

function lane(box: Box, across: Scale, trace: Trace, className: string): string {
  const high = largestMagnitude(trace.samples) * 1.06;
  return waveform(trace, across, scaleOf(-high, high, box.top + box.height, box.top), box.width, className);
}

function frameLine(box: Box, across: Scale, { number, at }: FrameStart, next: FrameStart | null): string {
  const x = across.place(at);
  const line = element('line', {
    class: 'grid',
    x1: x,
    x2: x,
    y1: box.top,
    y2: box.top + box.height,
    stroke: 'black',
    'stroke-opacity': '0.4',
  });
  if (next === null) return line;
  const middle = (x + across.place(next.at)) / 2;
  return line + text(middle, box.top - 6, `frame ${number}`, { class: 'quiet', 'text-anchor': 'middle' });
}

/** Never thinner than can be seen: a certain instant is a line, not nothing. */
const THINNEST_BAND = 1.5;

function band(box: Box, across: Scale, data: InstantData): string {
  const { left, at, right } = bandPlaces(box, across, data);
  if (right <= left) return '';
  const area = { class: 'band', x: left, y: box.top, width: Math.max(THINNEST_BAND, right - left), height: box.height };
  const line = { class: 'band-edge', x1: at, x2: at, y1: box.top, y2: box.top + box.height, stroke: 'black' };
  return element('rect', { ...area, 'fill-opacity': '0.2' }) + (isInside(box, at) ? element('line', line) : '');
}

/** Which side means what, where there is room to say it. */
function bandWords(box: Box, across: Scale, data: InstantData): string {
  const { left, at, right } = bandPlaces(box, across, data);
  const parts: string[] = [];
  const y = box.top + box.height - 8;
  const from = Math.min(at, box.left + box.width);
  const to = Math.max(at, box.left);
  if (from - left > 96) parts.push(text(from - 6, y, 'sound leads \u2190', { class: 'over', 'text-anchor': 'end' }));
  if (right - to > 88) parts.push(text(to + 6, y, '\u2192 sound lags', { class: 'over' }));
  return parts.join('');
}

function bandPlaces(box: Box, across: Scale, { anchor }: InstantData): { left: number; at: number; right: number } {
  const clamp = (value: number): number => Math.max(box.left, Math.min(box.left + box.width, value));
  const least = (place: number, side: number): number => clamp(place + side * (THINNEST_BAND / 2));
  const at = across.place(anchor.at);
  return {
    left: Math.min(clamp(across.place(anchor.at - anchor.early)), least(at, -1)),
    at,
    right: Math.max(clamp(across.place(anchor.at + anchor.late)), least(at, 1)),
  };
}

function isInside(box: Box, x: number): boolean {
  return x >= box.left && x <= box.left + box.width;
}

function edgeLine(box: Box, across: Scale, { edge }: InstantData, hasName: boolean): string {
  if (edge === null || edge.at < across.low || edge.at > across.high) return '';
  const x = across.place(edge.at);
  const line = element('line', {
    class: 'mark',
    x1: x,
    x2: x,
    y1: box.top,
    y2: box.top + box.height,
    stroke: 'black',
    'stroke-width': '2',
  });
  const tip = element('path', {
    class: 'mark-shape',
    d: `${pathThrough([
      [x - 5, box.top],
      [x + 5, box.top],
      [x, box.top + 8],
    ])} Z`,
  });
  return line + tip + (hasName ? text(x + 8, box.top + 16, edge.name, { class: 'mark-text over' }) : '');
}
