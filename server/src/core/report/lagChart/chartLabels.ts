/**
 * Which marks carry their name, and where it stands, so that no two texts cover one another.
 *
 * What matters most gets its place first: the chosen one, then what is out, gravest first, then the rest. A name without room
 * is left out; zooming in makes room, and the table has them all.
 */

import type { LagChart } from '../../views/lagChartData.ts';
import type { ChartLayout, ChartScale } from './chartLayout.ts';
import { type ChartMarks, TONES } from './chartMarks.ts';
import { emptyPlace, placeMark } from './markPlaces.ts';
import { MARK_SIZE } from './markShapes.ts';

export interface ChartLabel {
  readonly index: number;
  /** Middle of the text, and its baseline. */
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly isAtEdge: boolean;
}

export interface LabelRequest {
  readonly chart: LagChart;
  readonly marks: ChartMarks;
  readonly layout: ChartLayout;
  readonly scale: ChartScale;
  readonly isShown: (index: number) => boolean;
  /** Gets its place before all others; null when none is chosen. */
  readonly first: number | null;
  /** Width of a text in the units of the layout. */
  readonly widthOf: (text: string) => number;
}

export interface ChartLabels {
  readonly labels: readonly ChartLabel[];
  /** True when something in view has no name for want of room. */
  readonly isCutShort: boolean;
}

interface Taken {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

const LINE = 13;
const LARGEST_LABEL_COUNT = 60;
/** Beyond this many attempts the picture is full; the rest would only cost time. */
const LARGEST_ATTEMPT_COUNT = 300;
const LONGEST_NAME = 40;

export function chartLabels(request: LabelRequest): ChartLabels {
  const taken: Taken[] = [];
  const said = new Set<string>();
  const labels: ChartLabel[] = [];
  let attemptCount = 0;
  let isCutShort = false;
  for (const index of inOrderOfWeight(request)) {
    if (labels.length >= LARGEST_LABEL_COUNT || attemptCount >= LARGEST_ATTEMPT_COUNT) return { labels, isCutShort: true };
    attemptCount += 1;
    const placed = placeLabel(request, index, taken, said);
    if (placed === 'none') isCutShort = true;
    else if (placed !== null) labels.push(placed);
  }
  return { labels, isCutShort };
}

/** Marks in view, heaviest first: by tone, within a tone in record order. */
function* inOrderOfWeight({ marks, layout, scale, isShown, first }: LabelRequest): Generator<number> {
  if (first !== null && isShown(first)) yield first;
  const { plot } = layout;
  const from = scale.recordAt(plot.left);
  const to = scale.recordAt(plot.left + plot.width);
  for (let tone = TONES.length - 1; tone >= 0; tone -= 1) {
    for (let index = 0; index < marks.count; index += 1) {
      if (marks.tone[index] !== tone || index === first || !isShown(index)) continue;
      if ((marks.end[index] as number) >= from && (marks.start[index] as number) <= to) yield index;
    }
  }
}

const place = emptyPlace();

/** Null when there is nothing to say: not in view, or said already at this very place. 'none' when a text finds no room. */
function placeLabel(request: LabelRequest, index: number, taken: Taken[], said: Set<string>): ChartLabel | null | 'none' {
  const { marks, layout, scale } = request;
  placeMark(marks, index, layout, scale, place);
  if (!place.isInView) return null;
  const edge = place.over ?? place.under;
  const isAtEdge = !place.hasLine && edge !== null;
  const text = labelText(request, index, isAtEdge);
  // One recording on two channels is two comparisons on one spot.
  const spot = isAtEdge ? `edge ${Math.round(edge)} ${text}` : `${Math.round(place.x)} ${Math.round(place.y)} ${text}`;
  if (said.has(spot)) return null;
  said.add(spot);
  const width = request.widthOf(text);
  const { plot } = layout;
  if (width > plot.width) return 'none';
  const box = place.over !== null ? layout.over : layout.under;
  for (const [middle, baseline] of isAtEdge
    ? besideEdgeMark(edge, box.top + box.height / 2 + 4, width)
    : besideMark(place.x, place.y, (marks.head[index] as number) >= 0, width)) {
    const x = Math.min(Math.max(middle, plot.left + width / 2), plot.left + plot.width - width / 2);
    // A text pushed in from the side may not cover its own mark at an edge.
    if (isAtEdge && Math.abs(x - edge) < width / 2 + MARK_SIZE / 2) continue;
    const area = { left: x - width / 2 - 3, right: x + width / 2 + 3, top: baseline - LINE + 1, bottom: baseline + 4 };
    if (!isAtEdge && (area.top < plot.top || area.bottom > plot.top + plot.height)) continue;
    if (taken.some((other) => overlap(other, area))) continue;
    taken.push(area);
    return { index, x, y: baseline, text, isAtEdge };
  }
  return 'none';
}

function labelText({ chart }: LabelRequest, index: number, isAtEdge: boolean): string {
  const comparison = chart.comparisons[index];
  if (comparison === undefined) return '';
  const name = shortened(chart.clips[comparison.sound]?.name ?? '');
  if (isAtEdge) return `${name}: ${comparison.short}`;
  return comparison.verdict === 'in' ? name : `${name}: ${comparison.short}`;
}

/** `text` with its end left out when it is long. */
export function shortened(text: string, length = LONGEST_NAME): string {
  const characters = [...text];
  return characters.length <= length ? text : `${characters.slice(0, length - 1).join('')}…`;
}

/** Outwards of the mark first, so that the line of a lag has its name above it and that of a lead below. */
function besideMark(x: number, y: number, isLag: boolean, width: number): readonly (readonly [number, number])[] {
  const above = y - MARK_SIZE / 2 - 5;
  const below = y + MARK_SIZE / 2 + LINE + 1;
  const beside = y + 4;
  const reach = width / 2 + MARK_SIZE;
  return [
    [x, isLag ? above : below],
    [x, isLag ? below : above],
    [x + reach, beside],
    [x - reach, beside],
  ];
}

function besideEdgeMark(x: number, baseline: number, width: number): readonly (readonly [number, number])[] {
  const reach = width / 2 + MARK_SIZE;
  return [
    [x + reach, baseline],
    [x - reach, baseline],
  ];
}

function overlap(left: Taken, right: Taken): boolean {
  return left.left < right.right && right.left < left.right && left.top < right.bottom && right.top < left.bottom;
}
