/**
 * The outline of a document: stacks, tracks and clips of a timeline, entries and pairs of a report.
 *
 * A clip shows where it stands on the record, so that the list reads like the timeline.
 *
 * Invariants
 * - A symbol's `nameSpan` lies inside its `span`: editors refuse the whole list otherwise.
 * - At most `LARGEST_SYMBOL_COUNT`, outermost and first in the text kept; where any is left out, the last one says how many.
 */

import type { AlignmentReport } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import type { Span } from '../text/span.ts';
import { secondsToCount } from '../time/rate.ts';
import { add, equals, type Rational } from '../time/rational.ts';
import type { OutlineNode, Timeline, TimeRange } from '../timeline/model.ts';
import { clockText, hasTimecode, timecodeText } from './timeText.ts';

export type SymbolKind = OutlineNode['kind'] | 'picture' | 'sound' | 'pair' | 'limit';

export interface DocumentSymbol {
  readonly kind: SymbolKind;
  readonly name: string;
  readonly detail: string;
  readonly span: Span;
  readonly nameSpan: Span;
  readonly children: readonly DocumentSymbol[];
}

/** An open outline of more makes typing slow in editors. */
const LARGEST_SYMBOL_COUNT = 10_000;

export function timelineSymbols({ timeline }: Audit, limit = LARGEST_SYMBOL_COUNT): readonly DocumentSymbol[] {
  const room = { left: limit, cut: 0, at: createPlaces(timeline) };
  const symbols = symbolsOf(timeline, timeline.outline, room);
  return withNotice(symbols, room.cut);
}

export function reportSymbols(report: AlignmentReport, limit = LARGEST_SYMBOL_COUNT): readonly DocumentSymbol[] {
  const all: DocumentSymbol[] = [
    ...report.pictures.map(({ key, span, keySpan, names }) => leaf('picture', key, firstName(names), span, keySpan)),
    ...report.sounds.map(({ key, span, keySpan, names }) => leaf('sound', key, firstName(names), span, keySpan)),
    ...report.pairs.map(({ picture, sound, span, pictureSpan, by }) =>
      leaf('pair', `${picture.key} with ${sound.key}`, by === null ? '' : `by ${by}`, span, pictureSpan),
    ),
  ];
  return withNotice(all.slice(0, limit), Math.max(0, all.length - limit));
}

/** '01:00:00:00' of a record time; a clock where the rate has no timecode. */
function recordTimecode({ rate, startFrame, isDropFrame }: Timeline, record: Rational): string {
  if (!hasTimecode(rate)) return clockText(record);
  const count = secondsToCount(record, rate);
  return timecodeText(startFrame === null ? count : add(startFrame, count), rate, isDropFrame);
}

interface Room {
  left: number;
  cut: number;
  readonly at: (place: TimeRange) => string;
}

interface Worded {
  readonly rate: Timeline['rate'];
  readonly startFrame: Timeline['startFrame'];
  readonly isDropFrame: boolean;
  readonly text: string;
}

/**
 * Places that were put into words before. While somebody types, nearly every clip keeps its place and the object that says so;
 * wording ten thousand of them again would be most of the cost of an outline.
 */
const wordedPlaces = new WeakMap<TimeRange, Worded>();

/** '01:00:00:00 to 01:00:02:00' */
function createPlaces(timeline: Timeline): Room['at'] {
  const { rate, startFrame, isDropFrame } = timeline;
  const at = createClock(timeline);
  return (place) => {
    const before = wordedPlaces.get(place);
    const isSame =
      before !== undefined &&
      before.isDropFrame === isDropFrame &&
      equals(before.rate, rate) &&
      (startFrame === null || before.startFrame === null
        ? startFrame === before.startFrame
        : equals(before.startFrame, startFrame));
    if (isSame) return before.text;
    const text = `${at(place.start)} to ${at(place.end)}`;
    wordedPlaces.set(place, { rate, startFrame, isDropFrame, text });
    return text;
  };
}

/** The end of one clip is the start of the next nearly always, on every track; each instant is worded once. */
function createClock(timeline: Timeline): (record: Rational) => string {
  const known = new Map<string, string>();
  return (record) => {
    const key = `${record.numerator}/${record.denominator}`;
    const before = known.get(key);
    if (before !== undefined) return before;
    const text = recordTimecode(timeline, record);
    known.set(key, text);
    return text;
  };
}

function symbolsOf(timeline: Timeline, nodes: readonly OutlineNode[], room: Room): readonly DocumentSymbol[] {
  const symbols: DocumentSymbol[] = [];
  for (const node of nodes) {
    if (room.left === 0) {
      room.cut += 1 + countBelow(node);
      continue;
    }
    room.left -= 1;
    symbols.push({ ...describeNode(timeline, node, room.at), children: symbolsOf(timeline, node.children, room) });
  }
  return symbols;
}

/** One node as a person sees it, without what it holds. */
export function describeNode(
  timeline: Timeline,
  node: OutlineNode,
  at = createPlaces(timeline),
): Omit<DocumentSymbol, 'children'> {
  const { kind, span, nameSpan } = node;
  return { kind, name: shownName(node), detail: detailOf(timeline, node, at), span, nameSpan: inside(span, nameSpan) };
}

export function shownName({ kind, name }: OutlineNode): string {
  return name.trim() === '' ? NAMELESS[kind] : name;
}

const NAMELESS: Readonly<Record<OutlineNode['kind'], string>> = {
  timeline: 'timeline',
  stack: 'stack',
  track: 'track',
  clip: 'unnamed clip',
  gap: 'gap',
  transition: 'transition',
  event: 'unnamed event',
  media: 'media',
};

function detailOf(timeline: Timeline, { kind, clip, children }: OutlineNode, at: Room['at']): string {
  if (kind === 'track') return children.length === 1 ? '1 item' : `${children.length} items`;
  const found = clip === null ? undefined : timeline.clips[clip];
  if (found === undefined) return '';
  const place = at(found.record);
  const track = kind === 'event' ? `${timeline.tracks[found.track]?.name ?? ''} ` : '';
  return `${track}${place}${found.isEnabled ? '' : ', off'}`;
}

function inside(span: Span, nameSpan: Span | null): Span {
  if (nameSpan !== null && nameSpan.start >= span.start && nameSpan.end <= span.end) return nameSpan;
  return { start: span.start, end: span.start };
}

function countBelow({ children }: OutlineNode): number {
  return children.reduce((count, child) => count + 1 + countBelow(child), 0);
}

function withNotice(symbols: readonly DocumentSymbol[], cut: number): readonly DocumentSymbol[] {
  if (cut === 0) return symbols;
  const start = { start: 0, end: 0 };
  return [...symbols, leaf('limit', `and ${cut} more`, 'left out of this list', start, start)];
}

function leaf(kind: SymbolKind, name: string, detail: string, span: Span, nameSpan: Span): DocumentSymbol {
  return {
    kind,
    name: name.trim() === '' ? 'without a name' : name,
    detail,
    span,
    nameSpan: inside(span, nameSpan),
    children: [],
  };
}

function firstName(names: AlignmentReport['pictures'][number]['names']): string {
  return names[0]?.text ?? '';
}
