/**
 * What one reading of an OTIO text carries from hand to hand: the document, the observations so far, and small caches.
 *
 * Observations about a clip are made before the clip has its index, so they hold the item and get the index at the end.
 * Things that a file says ten thousand times (an old schema version, an unusual rate) are told once, with their count.
 */

import { type JsonDocument, kindOf, spanOf, stringOf, wordOf } from '../../syntax/json/jsonDocument.ts';
import { INTRICATE_STRING, kindAt, STRING } from '../../syntax/json/jsonTape.ts';
import type { Span } from '../../text/span.ts';
import type { Rate } from '../../time/rate.ts';
import { ONE, type Rational, ZERO } from '../../time/rational.ts';
import type { Observation } from '../../timeline/model.ts';
import { createMembers, gather, type Members, memberNode } from './otioMembers.ts';
import { hasOldName, parseSchema, type Schema } from './otioSchemas.ts';
import type { SpelledRate } from './otioValues.ts';
import { type MemberNumber, type OtioWord, SCHEMA_OF_WORD } from './otioWords.ts';

/** Whoever gets a clip index later, if at all. */
export interface ClipHolder {
  clipIndex: number;
}

/** Told once per file: its first place and how often it stands. */
interface Repeated {
  readonly span: Span;
  count: number;
}

export interface Reading {
  readonly document: JsonDocument;
  readonly members: Members;
  readonly pending: { readonly observation: Observation; readonly holder: ClipHolder | null }[];
  readonly oldSchemas: Map<string, Repeated & { readonly schema: Schema }>;
  readonly oldNames: Map<string, Repeated & { readonly schema: Schema }>;
  /** Unusual rates by the characters they are written with. */
  readonly unusualRates: Map<string, Repeated & { readonly rate: Rate }>;
  /** Rates by their spelling, so that each is snapped once. */
  readonly rates: SpelledRate[];
  /** The time read last, before it becomes an object of its own or is used up. */
  readonly scratch: { count: Rational; rate: Rate; valueNode: number; rateNode: number };
  /** Objects by their OTIO_REF_ID, once something has asked for one. */
  objectsById: ReadonlyMap<string, number> | null;
}

const LONGEST_SHOWN = 60;

/** Enough for a person; a damaged file of ten thousand clips would otherwise say the same thing that often. */
const LARGEST_OBSERVATION_COUNT = 1000;

export function startReading(document: JsonDocument): Reading {
  return {
    document,
    members: createMembers(),
    pending: [],
    oldSchemas: new Map(),
    oldNames: new Map(),
    unusualRates: new Map(),
    rates: [],
    scratch: { count: ZERO, rate: ONE, valueNode: -1, rateNode: -1 },
    objectsById: null,
  };
}

export function observe(reading: Reading, observation: Observation, holder: ClipHolder | null = null): void {
  if (reading.pending.length < LARGEST_OBSERVATION_COUNT) reading.pending.push({ observation, holder });
  else if (reading.pending.length === LARGEST_OBSERVATION_COUNT) {
    const message = `From here on the file has more trouble than is listed: only ${LARGEST_OBSERVATION_COUNT} places are told. Repair those, then check again.`;
    reading.pending.push({ observation: { kind: 'limit', span: observation.span, message }, holder: null });
  }
}

export function reportUnreadable(reading: Reading, span: Span, message: string): void {
  observe(reading, { kind: 'unreadable', span, message });
}

export function reportNote(reading: Reading, span: Span, message: string, holder: ClipHolder | null = null): void {
  observe(reading, { kind: 'note', span, message, clip: null }, holder);
}

/** Gathers the members of `objectNode`; ask for them with `valueNode` before the next object is gathered. */
export function openObject(reading: Reading, objectNode: number): void {
  gather(reading.members, reading.document, objectNode);
}

/** The value under `name` of the object opened last; -1 when it has none. */
export function valueNode(reading: Reading, name: MemberNumber): number {
  return memberNode(reading.members, name);
}

/** The schema an object claims; null when it claims none or in a form that can't be read. Says nothing. */
export function schemaOf(reading: Reading, schemaNode: number): Schema | null {
  if (schemaNode === -1) return null;
  const { document } = reading;
  const word = wordOf(document, schemaNode);
  if (word !== 0) return SCHEMA_OF_WORD[word] ?? null;
  return kindOf(document, schemaNode) === 'string' ? parseSchema(stringOf(document, schemaNode)) : null;
}

/** Tells what is to be said about a schema's version, wherever it stands. */
export function reviewVersion(reading: Reading, schema: Schema, schemaNode: number): void {
  const { core, version } = schema;
  if (core === null) return;
  if (version > core.readable) {
    reportUnreadable(
      reading,
      contentSpan(reading.document, schemaNode),
      `${shortened(schema.name)}.${version} is newer than this program and the OTIO library know (${schema.currentName}.${core.readable}); it is read as that, and parts may be missed.`,
    );
  } else if (version < core.newest) {
    countUp(reading.oldSchemas, `${schema.name}.${version}`, {
      span: contentSpan(reading.document, schemaNode),
      count: 0,
      schema,
    });
  }
  if (hasOldName(schema)) {
    countUp(reading.oldNames, schema.name, { span: contentSpan(reading.document, schemaNode), count: 0, schema });
  }
}

export function countUp<Value extends Repeated>(map: Map<string, Value>, key: string, first: Value): void {
  const entry = map.get(key) ?? first;
  if (entry === first) map.set(key, first);
  entry.count += 1;
}

/** True when the string at `node` is `word`. */
export function isWord(document: JsonDocument, node: number, word: OtioWord): boolean {
  if (node === -1) return false;
  if (wordOf(document, node) === word.number) return true;
  // A text with escapes has no number.
  return kindAt(document.tape, node) === INTRICATE_STRING && stringOf(document, node) === word.text;
}

/** The characters of a value; for a string those between its quotes, unless there are none. */
export function contentSpan(document: JsonDocument, node: number): Span {
  const { start, end } = spanOf(document, node);
  return kindAt(document.tape, node) === STRING && end - start > 2 ? { start: start + 1, end: end - 1 } : { start, end };
}

/** A text of the file as messages show it: some are as long as the file. */
export function shortened(text: string): string {
  return text.length <= LONGEST_SHOWN ? text : `${text.slice(0, LONGEST_SHOWN)}...`;
}

/** A short place for a whole object: its first character. */
export function openingSpan(document: JsonDocument, node: number): Span {
  const { start, end } = spanOf(document, node);
  return { start, end: Math.min(end, start + 1) };
}
