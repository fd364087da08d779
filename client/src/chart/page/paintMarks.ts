/**
 * The comparisons: lines, whiskers, shapes, and the rings around those that are chosen, under the pointer or at the caret.
 */

import { type ChartMarks, TONES, VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { emptyPlace, type MarkPlace, placeMark } from '../../../../server/src/core/report/lagChart/markPlaces.ts';
import { DOT_RADIUS, MARK_CORNERS, MARK_SIZE } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { Frame } from './frame.ts';
import type { Palette } from './palette.ts';

/** As many marks as are drawn at their full size, and with whiskers. */
const ROOMY_COUNT = 400;
const SMALLEST_SIZE = 6;
/** Marks of one tone that fall on one cell of this many pixels are drawn once. */
const CELL = 2;

const place = emptyPlace();

export function paintMarks(frame: Frame): { readonly hasHiddenWhiskers: boolean } {
  const { charted, palette } = frame;
  const { inView, outInView } = countInView(frame);
  const size = Math.max(SMALLEST_SIZE, MARK_SIZE * Math.sqrt(Math.min(1, ROOMY_COUNT / Math.max(1, inView))));
  let hasHiddenWhiskers = false;
  for (const [tone, name] of TONES.entries()) {
    const hasRoom = (name === 'plain' ? inView : outInView) <= ROOMY_COUNT;
    if (!hasRoom && hasTone(charted.marks, tone)) hasHiddenWhiskers = true;
    paintTone(frame, tone, toneColour(name, palette), size, hasRoom);
  }
  return { hasHiddenWhiskers };
}

function countInView({ charted: { marks, isShown }, view }: Frame): { readonly inView: number; readonly outInView: number } {
  let inView = 0;
  let outInView = 0;
  for (let index = 0; index < marks.count; index += 1) {
    if ((marks.end[index] as number) < view.recordStart || (marks.start[index] as number) > view.recordEnd || !isShown(index))
      continue;
    inView += 1;
    if (marks.verdict[index] !== 0) outInView += 1;
  }
  return { inView, outInView };
}

function hasTone({ tone }: ChartMarks, wanted: number): boolean {
  return tone.includes(wanted);
}

/** All marks of one tone: first their lines in one stroke, then their whiskers, then their shapes in one fill. */
function paintTone(frame: Frame, tone: number, colour: string, size: number, hasWhiskers: boolean): void {
  const { context, charted, layout, scale, palette } = frame;
  const { marks, isShown } = charted;
  const isPlain = TONES[tone] === 'plain';
  const isHollow = TONES[tone] === 'accepted';
  const lines = new Path2D();
  const whiskers = new Path2D();
  const shapes = new Path2D();
  const cells = freshCells(layout.width, layout.height);
  const columns = Math.ceil(layout.width / CELL) + 1;
  let isEmpty = true;
  const addShape = (verdict: number, x: number, y: number): void => {
    const cell = Math.floor(y / CELL) * columns + Math.floor(x / CELL);
    if (cells[cell] === 1) return;
    cells[cell] = 1;
    traceShape(shapes, verdict, x, y, size);
  };
  for (let index = 0; index < marks.count; index += 1) {
    if (marks.tone[index] !== tone || !isShown(index)) continue;
    placeMark(marks, index, layout, scale, place);
    if (!place.isInView) continue;
    isEmpty = false;
    const verdict = marks.verdict[index] as number;
    if (place.hasLine) {
      if (place.x2 - place.x1 > 1.5) {
        lines.moveTo(place.x1, place.y1);
        lines.lineTo(place.x2, place.y2);
      }
      if (hasWhiskers && place.hasWhisker) traceWhisker(whiskers, place);
      addShape(verdict, place.x, place.y);
    }
    if (place.over !== null) addShape(verdict, place.over, layout.over.top + layout.over.height / 2);
    if (place.under !== null) addShape(verdict, place.under, layout.under.top + layout.under.height / 2);
  }
  if (isEmpty) return;
  context.strokeStyle = colour;
  context.globalAlpha = isPlain ? 0.75 : 1;
  context.lineWidth = isPlain ? 1.4 : 2.2;
  context.stroke(lines);
  context.globalAlpha = 0.7;
  context.lineWidth = 1;
  context.stroke(whiskers);
  context.globalAlpha = 1;
  if (isHollow) {
    context.fillStyle = palette.paper;
    context.fill(shapes);
    context.lineWidth = 1.6;
    context.stroke(shapes);
    return;
  }
  // A rim of paper keeps neighbours apart where shapes are large enough to have one.
  if (size > 8) {
    context.strokeStyle = palette.paper;
    context.lineWidth = 1.6;
    context.stroke(shapes);
  }
  context.fillStyle = colour;
  context.fill(shapes);
}

let cellBuffer = new Uint8Array(0);

function freshCells(width: number, height: number): Uint8Array {
  const count = (Math.ceil(width / CELL) + 1) * (Math.ceil(height / CELL) + 1);
  if (cellBuffer.length < count) cellBuffer = new Uint8Array(count);
  else cellBuffer.fill(0);
  return cellBuffer;
}

function traceShape(path: Path2D, verdict: number, x: number, y: number, size: number): void {
  const corners = MARK_CORNERS[VERDICTS[verdict] ?? 'in'];
  if (corners.length === 0) {
    const radius = DOT_RADIUS * size;
    // Below this nobody sees that a dot is round, and a square costs a fraction.
    if (radius < 2.5) path.rect(x - radius, y - radius, 2 * radius, 2 * radius);
    else {
      path.moveTo(x + radius, y);
      path.arc(x, y, radius, 0, 2 * Math.PI);
    }
    return;
  }
  for (const [at, [dx, dy]] of corners.entries()) {
    if (at === 0) path.moveTo(x + dx * size, y + dy * size);
    else path.lineTo(x + dx * size, y + dy * size);
  }
  path.closePath();
}

function traceWhisker(path: Path2D, { x, whiskerTop, whiskerBottom, hasTopCap, hasBottomCap }: MarkPlace): void {
  const cap = (y: number): void => {
    path.moveTo(x - 3.5, y);
    path.lineTo(x + 3.5, y);
  };
  path.moveTo(x, whiskerTop);
  path.lineTo(x, whiskerBottom);
  if (hasTopCap) cap(whiskerTop);
  if (hasBottomCap) cap(whiskerBottom);
}

export function toneColour(tone: (typeof TONES)[number], palette: Palette): string {
  switch (tone) {
    case 'error':
      return palette.error;
    case 'warning':
      return palette.warning;
    case 'information':
    case 'accepted':
      return palette.information;
    case 'plain':
      return palette.ink;
  }
}

/** Chosen: a solid ring with a line down to the record axis. Under the pointer: a thin ring. At the caret: a square bracket pair. */
export function paintRing(frame: Frame, index: number, kind: 'chosen' | 'hovered' | 'caret'): void {
  const { context, charted, layout, scale, palette } = frame;
  placeMark(charted.marks, index, layout, scale, place);
  if (!place.isInView) return;
  const spots: (readonly [number, number])[] = [];
  if (place.hasLine) spots.push([place.x, place.y]);
  if (place.over !== null) spots.push([place.over, layout.over.top + layout.over.height / 2]);
  if (place.under !== null) spots.push([place.under, layout.under.top + layout.under.height / 2]);
  context.globalAlpha = 1;
  context.strokeStyle = kind === 'caret' ? palette.ink : palette.focus;
  context.lineWidth = kind === 'hovered' ? 1.5 : 2;
  for (const [x, y] of spots) {
    context.beginPath();
    if (kind === 'caret') traceBrackets(context, x, y);
    else context.arc(x, y, MARK_SIZE * 0.95, 0, 2 * Math.PI);
    context.stroke();
  }
  const [spot] = spots;
  if (kind !== 'chosen' || spot === undefined) return;
  context.globalAlpha = 0.6;
  context.setLineDash([3, 3]);
  context.lineWidth = 1;
  context.beginPath();
  context.moveTo(spot[0], spot[1] + MARK_SIZE);
  context.lineTo(spot[0], layout.under.top + layout.under.height + 5);
  context.stroke();
  context.setLineDash([]);
  context.globalAlpha = 1;
}

function traceBrackets(context: CanvasRenderingContext2D, x: number, y: number): void {
  const reach = MARK_SIZE * 1.15;
  const foot = 4;
  for (const side of [-1, 1]) {
    context.moveTo(x + side * (reach - foot), y - reach);
    context.lineTo(x + side * reach, y - reach);
    context.lineTo(x + side * reach, y + reach);
    context.lineTo(x + side * (reach - foot), y + reach);
  }
}
