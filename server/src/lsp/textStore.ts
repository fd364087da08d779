/**
 * The texts that the client has open, as the client last said they are.
 *
 * The usual companion of the protocol library re-reads a document's lines on every change, which costs more than an
 * audit of a long timeline. Here a change costs one copy of the text and one shift of the line table. The store stands
 * behind an interface so that a cheaper one can take its place without anybody noticing.
 *
 * Invariants
 * - An `OpenDocument` never changes: a change makes a new one. Whoever holds one may compare identities to learn whether
 *   the text moved on.
 * - `index.lineStarts` equals `buildLineIndex(text).lineStarts` after any sequence of changes (property-tested).
 * - Positions are untrusted: what lies outside the text is clamped, a range that ends before it starts is turned round.
 */

import { buildLineIndex, type ColumnUnit, type LineIndex, offsetAt } from '../core/text/lineIndex.ts';

export interface OpenDocument {
  readonly uri: string;
  readonly languageId: string;
  readonly version: number;
  readonly index: LineIndex;
}

/** A change as the protocol sends it: without a range it is the whole new text. */
export interface TextChange {
  readonly range?: WireRange;
  readonly text: string;
}

/** Lines and characters from 0, characters in the negotiated unit. */
interface WireRange {
  readonly start: WirePosition;
  readonly end: WirePosition;
}

interface WirePosition {
  readonly line: number;
  readonly character: number;
}

export interface TextStore {
  readonly open: (uri: string, languageId: string, version: number, text: string) => OpenDocument;
  /** Null when the document is not open: a confused client must not bring the server down. */
  readonly change: (uri: string, version: number, changes: readonly TextChange[], unit: ColumnUnit) => OpenDocument | null;
  readonly close: (uri: string) => void;
  readonly get: (uri: string) => OpenDocument | null;
  readonly all: () => readonly OpenDocument[];
  /**
   * The file of a document is gone from the disk, or back there. A text whose file is gone stands for no file any more, until
   * somebody types in it: editors keep such texts for a while without showing them.
   */
  readonly setGone: (uri: string, isGone: boolean) => void;
  /** The documents that stand for their files. */
  readonly standing: () => readonly OpenDocument[];
}

export function createTextStore(): TextStore {
  const documents = new Map<string, OpenDocument>();
  const gone = new Set<string>();
  return {
    open: (uri, languageId, version, text) => {
      const document = { uri, languageId, version, index: buildLineIndex(text) };
      documents.set(uri, document);
      gone.delete(uri);
      return document;
    },
    change: (uri, version, changes, unit) => {
      const before = documents.get(uri);
      if (before === undefined) return null;
      const document = { ...before, version, index: applyChanges(before.index, changes, unit) };
      documents.set(uri, document);
      gone.delete(uri);
      return document;
    },
    close: (uri) => {
      documents.delete(uri);
      gone.delete(uri);
    },
    get: (uri) => documents.get(uri) ?? null,
    all: () => [...documents.values()],
    setGone: (uri, isGone) => {
      if (isGone && documents.has(uri)) gone.add(uri);
      else gone.delete(uri);
    },
    standing: () => [...documents.values()].filter(({ uri }) => !gone.has(uri)),
  };
}

/** The text after the changes of one notification, each of which counts on the text the one before it left. */
export function applyChanges(index: LineIndex, changes: readonly TextChange[], unit: ColumnUnit): LineIndex {
  const spliced = spliceFromTheEnd(index, changes, unit);
  if (spliced !== null) return spliced;
  let current = index;
  for (const change of changes) current = applyOne(current, change, unit);
  return current;
}

interface Splice {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

function applyOne(index: LineIndex, change: TextChange, unit: ColumnUnit): LineIndex {
  if (change.range === undefined) return buildLineIndex(change.text);
  return splice(index, [spliceOf(index, change.range, change.text, unit)]);
}

function spliceOf(index: LineIndex, range: WireRange, text: string, unit: ColumnUnit): Splice {
  const start = offsetAt(index, { line: range.start.line, column: range.start.character }, unit);
  const end = offsetAt(index, { line: range.end.line, column: range.end.character }, unit);
  return start <= end ? { start, end, text } : { start: end, end: start, text };
}

/**
 * Editors send the edits of many cursors, or of a replace-all, from the last to the first, so that none moves another.
 * Then all of them can be read against the text as it was and made in one pass; one by one, ten thousand of them would
 * copy the text ten thousand times. Null when the order is another one.
 */
function spliceFromTheEnd(index: LineIndex, changes: readonly TextChange[], unit: ColumnUnit): LineIndex | null {
  if (changes.length < 2) return null;
  const splices: Splice[] = [];
  let before: WirePosition | null = null;
  for (const { range, text } of changes) {
    if (range === undefined || isAfter(range.start, range.end)) return null;
    if (before !== null && !isAfter(before, range.end)) return null;
    const next = spliceOf(index, range, text, unit);
    // Clamping can make two ranges touch that did not as sent.
    const later = splices.at(-1);
    if (later !== undefined && later.start <= next.end) return null;
    splices.push(next);
    before = range.start;
  }
  splices.reverse();
  return splice(index, splices);
}

function isAfter(left: WirePosition, right: WirePosition): boolean {
  return left.line > right.line || (left.line === right.line && left.character > right.character);
}

/** Makes all splices at once; they are in text order and do not touch. */
function splice(index: LineIndex, splices: readonly Splice[]): LineIndex {
  const pieces: string[] = [];
  let position = 0;
  for (const { start, end, text } of splices) {
    pieces.push(index.text.slice(position, start), text);
    position = end;
  }
  pieces.push(index.text.slice(position));
  const text = pieces.join('');
  return { text, lineStarts: spliceLineStarts(index.lineStarts, text, splices) };
}

/**
 * A line starts at an offset because of the two characters around it. So only offsets from a splice's start to its end,
 * both included, can gain or lose a line; all later ones move by the same amount.
 */
function spliceLineStarts(old: Uint32Array, text: string, splices: readonly Splice[]): Uint32Array<ArrayBuffer> {
  const fresh: number[][] = [];
  let count = old.length;
  let shift = 0;
  for (const { start, end, text: inserted } of splices) {
    const starts: number[] = [];
    const newStart = start + shift;
    for (let offset = Math.max(1, newStart); offset <= newStart + inserted.length; offset += 1) {
      if (startsLine(text, offset)) starts.push(offset);
    }
    fresh.push(starts);
    count += starts.length - (firstAbove(old, end) - firstAtOrAbove(old, start));
    shift += inserted.length - (end - start);
  }
  const result = new Uint32Array(count);
  let from = 0;
  let to = 0;
  shift = 0;
  const keep = (until: number): void => {
    result.set(old.subarray(from, until), to);
    if (shift !== 0) for (let line = to; line < to + until - from; line += 1) result[line] = (result[line] as number) + shift;
    to += until - from;
  };
  for (const [number, { start, end, text: inserted }] of splices.entries()) {
    keep(firstAtOrAbove(old, start));
    for (const offset of fresh[number] as number[]) {
      result[to] = offset;
      to += 1;
    }
    from = firstAbove(old, end);
    shift += inserted.length - (end - start);
  }
  keep(old.length);
  return result;
}

function startsLine(text: string, offset: number): boolean {
  const code = text.charCodeAt(offset - 1);
  return code === 10 || (code === 13 && text.charCodeAt(offset) !== 10);
}

/** Index of the first line start not below `offset`; line 0 always starts at 0 and is never given up. */
function firstAtOrAbove(starts: Uint32Array, offset: number): number {
  return Math.max(1, lowerBound(starts, offset));
}

function firstAbove(starts: Uint32Array, offset: number): number {
  return Math.max(1, lowerBound(starts, offset + 1));
}

function lowerBound(starts: Uint32Array, offset: number): number {
  let low = 0;
  let high = starts.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((starts[middle] as number) < offset) low = middle + 1;
    else high = middle;
  }
  return low;
}
