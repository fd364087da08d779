/**
 * The comparisons: lines, whiskers, shapes, and the rings around those that are chosen, under the pointer or at the caret.
 */

import { TONES, VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { emptyPlace, type MarkPlace, placeMark } from '../../../../server/src/core/report/lagChart/markPlaces.ts';
import { MARK_SIZE } from '../../../../server/src/core/report/lagChart/markShapes.ts';
import type { Frame } from './frame.ts';
import { type Stamp, stampOf } from './markSprites.ts';
import type { Palette } from './palette.ts';

/** As many marks as are drawn at their full size, and with whiskers. */
const ROOMY_COUNT = 400;
const SMALLEST_SIZE = 6;

const place = emptyPlace();

export function paintMarks(frame: Frame): { readonly hasHiddenWhiskers: boolean } {
  const { charted, palette } = frame;
  const { inView, outInView } = countInView(frame);
  const size = Math.max(SMALLEST_SIZE, MARK_SIZE * Math.sqrt(Math.min(1, ROOMY_COUNT / Math.max(1, inView))));
  let hasHiddenWhiskers = false;
  for (const [tone, name] of TONES.entries()) {
    if (!charted.marks.tone.includes(tone)) continue;
    const hasWhiskers = (name === 'plain' ? inView : outInView) <= ROOMY_COUNT;
    if (!hasWhiskers) hasHiddenWhiskers = true;
    paintTone(frame, tone, toneColour(name, palette), size, hasWhiskers);
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

/** All marks of one tone: their lines and whiskers as they come, then their shapes on top. */
function paintTone(frame: Frame, tone: number, colour: string, size: number, hasWhiskers: boolean): void {
  const { context, charted, layout, scale, palette } = frame;
  const { marks, isShown } = charted;
  const isPlain = TONES[tone] === 'plain';
  const isHollow = TONES[tone] === 'accepted';
  const thickness = isPlain ? 1.4 : 2.2;
  const shapes = createShapes(frame, colour, size, isHollow);
  const overY = layout.over.top + layout.over.height / 2;
  const underY = layout.under.top + layout.under.height / 2;
  context.strokeStyle = colour;
  context.fillStyle = colour;
  context.lineWidth = thickness;
  for (let index = 0; index < marks.count; index += 1) {
    if (marks.tone[index] !== tone || !isShown(index)) continue;
    placeMark(marks, index, layout, scale, place);
    if (!place.isInView) continue;
    const verdict = marks.verdict[index] as number;
    if (place.hasLine) {
      context.globalAlpha = isPlain ? 0.75 : 1;
      paintLine(context, place, thickness);
      if (hasWhiskers && place.hasWhisker) {
        context.globalAlpha = 0.7;
        paintWhisker(context, place);
      }
      shapes.add(verdict, place.x, place.y);
    }
    if (place.over !== null) shapes.add(verdict, place.over, overY);
    if (place.under !== null) shapes.add(verdict, place.under, underY);
  }
  context.globalAlpha = 1;
  shapes.paint(palette.paper);
}

/** Steady ones, which are most, are boxes: far quicker than strokes. What is shorter than its mark is left to the mark. */
function paintLine(context: CanvasRenderingContext2D, { x1, y1, x2, y2 }: MarkPlace, thickness: number): void {
  if (x2 - x1 < 3 && Math.abs(y2 - y1) < 3) return;
  if (y1 === y2) {
    context.fillRect(x1, y1 - thickness / 2, x2 - x1, thickness);
    return;
  }
  context.beginPath();
  context.moveTo(x1, y1);
  context.lineTo(x2, y2);
  context.stroke();
}

function paintWhisker(context: CanvasRenderingContext2D, whisker: MarkPlace): void {
  const x = Math.round(whisker.x);
  const top = Math.round(whisker.whiskerTop);
  const bottom = Math.round(whisker.whiskerBottom);
  context.fillRect(x, top, 1, bottom - top);
  if (whisker.hasTopCap) context.fillRect(x - 3, top, 7, 1);
  if (whisker.hasBottomCap) context.fillRect(x - 3, bottom, 7, 1);
}

interface Shapes {
  readonly add: (verdict: number, x: number, y: number) => void;
  readonly paint: (paper: string) => void;
}

/** Gathers shapes, of those that fall on the same few pixels only the first: their number is bounded by the picture's size. */
function createShapes({ context, layout }: Frame, colour: string, size: number, isHollow: boolean): Shapes {
  const cell = size > 8 ? 2 : 3;
  const columns = Math.ceil(layout.width / cell) + 1;
  const cells = freshCells(columns * (Math.ceil(layout.height / cell) + 1));
  const gathered: number[] = [];
  return {
    add: (verdict, x, y) => {
      const at = Math.floor(y / cell) * columns + Math.floor(x / cell);
      // Different verdicts on one spot are all shown.
      const bit = 1 << verdict;
      if (((cells[at] as number) & bit) !== 0) return;
      cells[at] = (cells[at] as number) | bit;
      gathered.push(verdict, x, y);
    },
    paint: (paper) => {
      const stamps = VERDICTS.map((_, verdict) => stampOf(context, { verdict, colour, paper, size, isHollow }));
      for (let at = 0; at < gathered.length; at += 3) {
        (stamps[gathered[at] as number] as Stamp)(gathered[at + 1] as number, gathered[at + 2] as number);
      }
    },
  };
}

let cellBuffer = new Uint8Array(0);

function freshCells(count: number): Uint8Array {
  if (cellBuffer.length < count) cellBuffer = new Uint8Array(count);
  else cellBuffer.fill(0);
  return cellBuffer;
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
