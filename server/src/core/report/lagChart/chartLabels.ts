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

interface ChartLabel {
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

/** A word that always stands in the plot. */
export interface FixedWord {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'end';
}

/** What up and down mean, and where the band is. No name covers them. */
export function fixedWords({ plot }: ChartLayout, scale: ChartScale, { inner }: ChartMarks['band']): readonly FixedWord[] {
  const bottom = plot.top + plot.height;
  const bandTop = Math.max(scale.y(inner.high), plot.top);
  const bandBottom = Math.min(scale.y(inner.low), bottom);
  const words: FixedWord[] = [
    { text: '\u2191 lags', x: plot.left + 8, y: plot.top + 16, anchor: 'start' },
    { text: '\u2193 leads', x: plot.left + 8, y: bottom - 8, anchor: 'start' },
  ];
  if (bandBottom - bandTop >= 17) words.push({ text: 'allowed', x: plot.left + plot.width - 8, y: bandTop + 13, anchor: 'end' });
  return words;
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
/** Of more marks than this none is named: a few names among hundreds of neighbours would say nothing. */
const LARGEST_NAMED_COUNT = 200;
const LONGEST_NAME = 40;
/** Between a text and the edge of the plot. */
const PADDING = 5;

export function chartLabels(request: LabelRequest): ChartLabels {
  const { marks, layout, scale, first } = request;
  const taken: Taken[] = fixedWords(layout, scale, marks.band).map(({ text, x, y, anchor }) =>
    areaOf(x, y, request.widthOf(text), anchor),
  );
  const spots = inView(request);
  const said = new Set<string>();
  const labels: ChartLabel[] = [];
  let isCutShort = spots.isCrowded;
  const tryToName = (index: number): void => {
    const placed = placeLabel(request, index, taken, said, spots);
    if (placed === 'none') isCutShort = true;
    else if (placed !== null) labels.push(placed);
  };
  if (first !== null && request.isShown(first)) tryToName(first);
  for (const [attempt, index] of spots.named.entries()) {
    if (labels.length >= LARGEST_LABEL_COUNT || attempt >= LARGEST_ATTEMPT_COUNT) return { labels, isCutShort: true };
    if (index !== first) tryToName(index);
  }
  return { labels, isCutShort };
}

interface Spots {
  /** Marks to be named, heaviest first: by tone, within a tone in record order. */
  readonly named: readonly number[];
  /** Places of the marks at the edges, which no name may cover. */
  readonly over: readonly number[];
  readonly under: readonly number[];
  /** The same for the marks within the plot; in a crowd only for those that matter. */
  readonly marks: readonly Taken[];
  /** True when some are left without a name because there are too many. */
  readonly isCrowded: boolean;
}

function inView({ marks, layout, scale, isShown }: LabelRequest): Spots {
  const byTone: number[][] = TONES.map(() => []);
  const over: number[] = [];
  const under: number[] = [];
  const from = scale.recordAt(layout.plot.left);
  const to = scale.recordAt(layout.plot.left + layout.plot.width);
  for (let index = 0; index < marks.count; index += 1) {
    if ((marks.end[index] as number) < from || (marks.start[index] as number) > to || !isShown(index)) continue;
    byTone[marks.tone[index] as number]?.push(index);
    placeMark(marks, index, layout, scale, place);
    if (place.over !== null) over.push(place.over);
    if (place.under !== null) under.push(place.under);
  }
  const obstacles = byTone
    .filter((indices) => indices.length <= LARGEST_NAMED_COUNT)
    .flat()
    .flatMap((index) => obstaclesOf(marks, index, layout, scale));
  const few = byTone.filter((indices) => indices.length <= LARGEST_NAMED_COUNT);
  // What lies at an edge has no scale to be read by, so it gets its number even in a crowd.
  const atEdge = byTone
    .filter((indices) => indices.length > LARGEST_NAMED_COUNT)
    .flatMap((indices) =>
      over.length + under.length > LARGEST_NAMED_COUNT ? [] : indices.filter((index) => isBeyond(marks, index, scale, layout)),
    );
  return {
    named: [...atEdge, ...few.reverse().flat()],
    over,
    under,
    marks: obstacles,
    isCrowded: few.length < byTone.length,
  };
}

/** The shape, and a steady line that is longer than it. */
function obstaclesOf(marks: ChartMarks, index: number, layout: ChartLayout, scale: ChartScale): readonly Taken[] {
  placeMark(marks, index, layout, scale, place);
  if (!place.hasLine) return [];
  const { x, y, x1, x2, y1, y2 } = place;
  const shape = { left: x - OBSTACLE, right: x + OBSTACLE, top: y - OBSTACLE, bottom: y + OBSTACLE };
  return y1 === y2 && x2 - x1 > 2 * OBSTACLE ? [shape, { left: x1, right: x2, top: y - 1, bottom: y + 1 }] : [shape];
}

/** Half the room of a shape. */
const OBSTACLE = MARK_SIZE * 0.5;

function isBeyond(marks: ChartMarks, index: number, scale: ChartScale, { plot }: ChartLayout): boolean {
  const high = scale.lagAt(plot.top);
  const low = scale.lagAt(plot.top + plot.height);
  const [head, tail] = [marks.head[index] as number, marks.tail[index] as number];
  return Math.min(head, tail) > high || Math.max(head, tail) < low;
}

const place = emptyPlace();

/** Null when there is nothing to say: not in view, or said already at this very place. 'none' when a text finds no room. */
function placeLabel(
  request: LabelRequest,
  index: number,
  taken: Taken[],
  said: Set<string>,
  spots: Spots,
): ChartLabel | null | 'none' {
  const { marks, layout, scale } = request;
  placeMark(marks, index, layout, scale, place);
  if (!place.isInView) return null;
  const edge = place.over ?? place.under;
  const isAtEdge = !place.hasLine && edge !== null;
  const [longest = '', ...shorter] = labelTexts(request, index, isAtEdge);
  // One recording on two channels is two comparisons on one spot.
  const spot = isAtEdge ? `edge ${Math.round(edge)} ${longest}` : `${Math.round(place.x)} ${Math.round(place.y)} ${longest}`;
  if (said.has(spot)) return null;
  said.add(spot);
  for (const text of [longest, ...shorter]) {
    const found = roomFor(request, text, isAtEdge ? edge : null, (marks.head[index] as number) >= 0, taken, spots);
    if (found === null) continue;
    taken.push(found.area);
    return { index, x: found.x, y: found.y, text, isAtEdge };
  }
  return 'none';
}

interface Room {
  readonly x: number;
  readonly y: number;
  readonly area: Taken;
}

/** Room for a text beside the mark that `place` holds; `edge` is its place at an edge, null within the plot. */
function roomFor(
  { layout, widthOf }: LabelRequest,
  text: string,
  edge: number | null,
  isLag: boolean,
  taken: readonly Taken[],
  spots: Spots,
): Room | null {
  const { plot } = layout;
  const width = widthOf(text);
  if (width + 2 * PADDING > plot.width) return null;
  const box = place.over !== null ? layout.over : layout.under;
  const neighbours = place.over !== null ? spots.over : spots.under;
  const left = plot.left + PADDING + width / 2;
  const right = plot.left + plot.width - PADDING - width / 2;
  const wishes =
    edge === null ? besideMark({ ...place, isLag }, width) : besideEdgeMark(edge, box.top + box.height / 2 + 4, width);
  for (const [middle, y] of wishes) {
    const x = Math.min(Math.max(middle, left), right);
    const area = areaOf(x, y, width, 'middle');
    // At an edge all marks stand in one line, and a text may cover none of them.
    if (edge !== null && neighbours.some((other) => other > area.left - MARK_SIZE / 2 && other < area.right + MARK_SIZE / 2))
      continue;
    if (edge === null && (area.top < plot.top || area.bottom > plot.top + plot.height)) continue;
    if (spots.marks.some((other) => overlap(other, area)) || taken.some((other) => overlap(other, area))) continue;
    return { x, y, area };
  }
  return null;
}

function areaOf(x: number, baseline: number, width: number, anchor: 'start' | 'middle' | 'end'): Taken {
  const left = anchor === 'start' ? x : anchor === 'end' ? x - width : x - width / 2;
  return { left: left - 3, right: left + width + 3, top: baseline - LINE + 1, bottom: baseline + 4 };
}

/** What a mark may say, longest first. At an edge the number counts most: nothing there can be read from the scale. */
function labelTexts({ chart }: LabelRequest, index: number, isAtEdge: boolean): readonly string[] {
  const comparison = chart.comparisons[index];
  if (comparison === undefined) return [];
  const { short, verdict } = comparison;
  const name = shortened(chart.clips[comparison.sound]?.name ?? '');
  if (isAtEdge) return [`${name}: ${short}`, short, short.replace(/^(?:leads|lags) /, '')];
  return [verdict === 'in' ? name : `${name}: ${short}`];
}

/** `text` with its end left out when it is long. */
export function shortened(text: string, length = LONGEST_NAME): string {
  const characters = [...text];
  return characters.length <= length ? text : `${characters.slice(0, length - 1).join('')}…`;
}

/** Outwards of the mark first, so that the line of a lag has its name above it and that of a lead below. */
function besideMark(
  { x, y, isLag }: { x: number; y: number; isLag: boolean },
  width: number,
): readonly (readonly [number, number])[] {
  const above = y - MARK_SIZE / 2 - 5;
  const below = y + MARK_SIZE / 2 + LINE + 1;
  const beside = y + 4;
  const reach = width / 2 + MARK_SIZE;
  return [
    [x, isLag ? above : below],
    [x, isLag ? below : above],
    [x + reach, beside],
    [x - reach, beside],
    [x + reach, isLag ? above : below],
    [x - reach, isLag ? above : below],
  ];
}

function besideEdgeMark(x: number, baseline: number, width: number): readonly (readonly [number, number])[] {
  const reach = width / 2 + MARK_SIZE + 1;
  return [
    [x + reach, baseline],
    [x - reach, baseline],
  ];
}

function overlap(left: Taken, right: Taken): boolean {
  return left.left < right.right && right.left < left.right && left.top < right.bottom && right.top < left.bottom;
}
