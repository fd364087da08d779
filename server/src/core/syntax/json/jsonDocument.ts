/**
 * JSON with places: the tape of a text and the questions readers ask of it.
 *
 * Files that call themselves JSON hold more than JSON: bare NaN and Infinity, integers of any size, repeated names, a
 * byte-order mark, comments, text cut off. Reading never throws on any string; it goes on after every broken place and
 * says what was wrong there.
 *
 * A node is an index into the tape. Nodes of one document mean nothing in another. Where a name stands twice in one
 * object, the first counts, as in the OTIO library; JSON.parse would take the last.
 */

import type { Span } from '../../text/span.ts';
import type { JsonProblem } from './jsonProblems.ts';
import { decodeString } from './jsonStrings.ts';
import { ARRAY, endAt, type JsonTape, kindAt, NUMBER, nextAt, OBJECT, STRING, startAt, wordNumberAt } from './jsonTape.ts';
import { scanTolerantly } from './tolerantScanner.ts';
import { NO_WORDS, type Vocabulary } from './vocabulary.ts';

export interface JsonDocument {
  readonly text: string;
  /** One byte per UTF-16 unit of the text, see `textUnits`: for readers that compare many names. */
  readonly units: Uint8Array;
  /** In text order, save that repeated names are told where their object ends. */
  readonly problems: readonly JsonProblem[];
  readonly nodeCount: number;
  readonly tape: JsonTape;
}

/** `missing`: nothing readable stands where a value belongs. `nonfinite`: NaN, Infinity, Inf, with or without a minus. */
export type JsonKind = 'object' | 'array' | 'string' | 'number' | 'true' | 'false' | 'null' | 'nonfinite' | 'missing';

const KIND_NAMES: readonly JsonKind[] = [
  'missing',
  'object',
  'array',
  'string',
  'string',
  'number',
  'true',
  'false',
  'null',
  'nonfinite',
];

/**
 * Reads any string; never throws. Strings that are words of `vocabulary` get their numbers in `words`: for readers that look
 * at many members.
 */
export function parseJson(text: string, vocabulary: Vocabulary = NO_WORDS): JsonDocument {
  return scanTolerantly(text, vocabulary);
}

/** The node of the text's value; -1 when the text holds none. */
export function rootNode(document: JsonDocument): number {
  return document.nodeCount > 0 ? 0 : -1;
}

export function kindOf(document: JsonDocument, node: number): JsonKind {
  return KIND_NAMES[kindAt(document.tape, node)] ?? 'missing';
}

/** Strings include their quotes. Empty for a value that is not there. */
export function spanOf(document: JsonDocument, node: number): Span {
  return { start: startAt(document.tape, node), end: endAt(document.tape, node) };
}

/** The first element of an array or the first name of an object; -1 when there is none. */
export function firstChild(document: JsonDocument, container: number): number {
  const kind = kindAt(document.tape, container);
  if (kind !== OBJECT && kind !== ARRAY) return -1;
  const child = container + 1;
  return child < document.nodeCount && startAt(document.tape, child) < endAt(document.tape, container) ? child : -1;
}

/** The next element, or for a name the next name; -1 at the end. */
export function nextSibling(document: JsonDocument, node: number): number {
  const next = nextAt(document.tape, node);
  return next === 0 ? -1 : next;
}

/** The value of a name; of kind `missing` when the text has none. */
// biome-ignore lint/suspicious/noShadowRestrictedNames: the plain word for it, and nothing here needs the global one.
export function valueOf(_document: JsonDocument, keyNode: number): number {
  return keyNode + 1;
}

/** The value under `name`, -1 when `objectNode` is no object or has no such name. The first of repeated names counts. */
export function member(document: JsonDocument, objectNode: number, name: string): number {
  if (kindAt(document.tape, objectNode) !== OBJECT) return -1;
  for (let key = firstChild(document, objectNode); key !== -1; key = nextSibling(document, key)) {
    if (isKey(document, key, name)) return key + 1;
  }
  return -1;
}

/** True when the name at `keyNode` is `name`; decodes only where the text has escapes. */
export function isKey(document: JsonDocument, keyNode: number, name: string): boolean {
  if (kindAt(document.tape, keyNode) !== STRING) return decodeString(document.text, spanOf(document, keyNode)) === name;
  const start = startAt(document.tape, keyNode) + 1;
  return endAt(document.tape, keyNode) - start - 1 === name.length && document.text.startsWith(name, start);
}

/** The content of a string, escapes decoded; for other nodes their characters. */
export function stringOf(document: JsonDocument, node: number): string {
  const start = startAt(document.tape, node);
  const end = endAt(document.tape, node);
  if (kindAt(document.tape, node) === STRING) return document.text.slice(start + 1, end - 1);
  return decodeString(document.text, { start, end });
}

/** The characters of a number as written: exact at any size. Empty for other nodes. */
export function numberText(document: JsonDocument, node: number): string {
  return kindAt(document.tape, node) === NUMBER
    ? document.text.slice(startAt(document.tape, node), endAt(document.tape, node))
    : '';
}

export function keyText(document: JsonDocument, keyNode: number): string {
  return stringOf(document, keyNode);
}

/** Where a node starts in the text. */
export function startOf(document: JsonDocument, node: number): number {
  return startAt(document.tape, node);
}

/** Where a node ends in the text. */
export function endOf(document: JsonDocument, node: number): number {
  return endAt(document.tape, node);
}

/** The number of the word a name or text is in the vocabulary the document was read with; 0 when it is none of them. */
export function wordOf(document: JsonDocument, node: number): number {
  return wordNumberAt(document.tape, node);
}
