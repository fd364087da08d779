/**
 * Reading typed members out of JSON with places, for the report and the settings file.
 *
 * Each reader answers the value or null, and when it is null for a reason a person can mend, a problem with a span has been
 * added. A value that is missing because the text is broken there was already reported by the JSON reader and is not
 * reported again.
 */

import {
  firstChild,
  type JsonDocument,
  type JsonKind,
  keyText,
  kindOf,
  nextSibling,
  numberText,
  parseJson,
  spanOf,
  stringOf,
  valueOf as valueNodeOf,
} from '../syntax/json/jsonDocument.ts';
import { nearestName } from '../text/nearestName.ts';
import type { Span } from '../text/span.ts';
import { parseDecimal, type Rational } from '../time/rational.ts';
import type { FileProblem } from './model.ts';

/** One JSON file being read; problems are added as they are met. */
export interface JsonFile {
  readonly file: string;
  readonly document: JsonDocument;
  readonly problems: FileProblem[];
}

/** A member of an object: its name and the node of its value. */
export interface Field {
  readonly name: string;
  readonly keySpan: Span;
  readonly node: number;
  readonly span: Span;
}

/** Enough digits for any count of samples, and few enough that no number costs time. */
const LONGEST_NUMBER = 60;
const LONGEST_SHOWN = 80;

export function openJson(file: string, text: string): JsonFile {
  const document = parseJson(text);
  const problems = document.problems.map(
    ({ span, message, kind }): FileProblem => ({ file, span, message, severity: kind === 'number' ? 'warning' : 'error' }),
  );
  return { file, document, problems };
}

export function addProblem(json: JsonFile, severity: FileProblem['severity'], span: Span, message: string): void {
  json.problems.push({ file: json.file, span, severity, message });
}

/** Problems in text order; at one place in the order in which they were met. */
export function problemsInOrder(json: JsonFile): readonly FileProblem[] {
  return json.problems.sort((left, right) => left.span.start - right.span.start);
}

/** The members of an object by name, the first of repeated ones. */
export function fieldsOf(json: JsonFile, objectNode: number): ReadonlyMap<string, Field> {
  const { document } = json;
  const fields = new Map<string, Field>();
  for (let key = firstChild(document, objectNode); key !== -1; key = nextSibling(document, key)) {
    const name = keyText(document, key);
    const node = valueNodeOf(document, key);
    if (!fields.has(name)) fields.set(name, { name, keySpan: spanOf(document, key), node, span: spanOf(document, node) });
  }
  return fields;
}

/** The elements of an array. */
export function elementsOf(json: JsonFile, arrayNode: number): readonly number[] {
  const elements: number[] = [];
  for (let node = firstChild(json.document, arrayNode); node !== -1; node = nextSibling(json.document, node)) elements.push(node);
  return elements;
}

/** The span of the whole member, name and value. */
export function wholeSpan(field: Field): Span {
  return { start: field.keySpan.start, end: Math.max(field.keySpan.end, field.span.end) };
}

/** The node of a member; null when it is left out or the text is broken there, when nothing more needs to be said. */
export function nodeOf(json: JsonFile, field: Field | undefined): number | null {
  return field === undefined || kindOf(json.document, field.node) === 'missing' ? null : field.node;
}

export function readText(json: JsonFile, node: number, what: string, example: string): string | null {
  const kind = kindOf(json.document, node);
  if (kind === 'string') return stringOf(json.document, node);
  reportKind(json, node, kind, what, `text in double quotes, such as "${example}"`);
  return null;
}

/** A number exactly as written. */
export function readNumber(json: JsonFile, node: number, what: string): Rational | null {
  const kind = kindOf(json.document, node);
  if (kind !== 'number') {
    const isQuoted = kind === 'string' && parseDecimal(stringOf(json.document, node).trim()) !== null;
    reportKind(json, node, kind, what, isQuoted ? 'a number, without quotes' : 'a number');
    return null;
  }
  const written = numberText(json.document, node);
  const value = written.length > LONGEST_NUMBER ? null : parseDecimal(written);
  if (value === null)
    addProblem(json, 'error', spanOf(json.document, node), `${what} is a number no file can reach: ${shown(written)}.`);
  return value;
}

export function readBoolean(json: JsonFile, node: number, what: string): boolean | null {
  const kind = kindOf(json.document, node);
  if (kind === 'true' || kind === 'false') return kind === 'true';
  reportKind(json, node, kind, what, 'true or false');
  return null;
}

/** True when the node is an object; else a problem has been added. */
export function requireObject(json: JsonFile, node: number, what: string): boolean {
  const kind = kindOf(json.document, node);
  if (kind !== 'object') reportKind(json, node, kind, what, 'an object in braces { }');
  return kind === 'object';
}

/** True when the node is an array; else a problem has been added. */
export function requireArray(json: JsonFile, node: number, what: string): boolean {
  const kind = kindOf(json.document, node);
  if (kind !== 'array') reportKind(json, node, kind, what, 'a list in brackets [ ]');
  return kind === 'array';
}

/**
 * Tells of members that nobody reads. `severity` error: none are allowed. Information: they are kept and ignored, and only
 * those that look like a slip of the pen for a member that is not there are told.
 */
export function reportUnknown(
  json: JsonFile,
  fields: ReadonlyMap<string, Field>,
  known: readonly string[],
  what: string,
  severity: 'error' | 'information',
): void {
  for (const field of fields.values()) {
    if (known.includes(field.name)) continue;
    const nearest = nearestName(
      field.name,
      known.filter((name) => !fields.has(name)),
    );
    if (severity === 'information' && nearest === null) continue;
    const consequence = severity === 'error' ? `Known members: ${known.join(', ')}.` : 'It is ignored.';
    const question = nearest === null ? '' : ` Did you mean "${nearest}"?`;
    addProblem(json, severity, field.keySpan, `${what} has no member "${shown(field.name)}".${question} ${consequence}`);
  }
}

/** Text of a file as a message shows it: control characters as their code, cut when very long. */
export function shown(text: string): string {
  const clean = text.slice(0, LONGEST_SHOWN).replace(/[\p{Cc}\p{Cs}\u2028\u2029]/gu, (character) => {
    const code = character.codePointAt(0) ?? 0;
    return `U+${code.toString(16).toUpperCase().padStart(4, '0')}`;
  });
  return text.length > LONGEST_SHOWN ? `${clean}...` : clean;
}

/** Says that a value is of the wrong kind. */
export function reportKind(json: JsonFile, node: number, kind: JsonKind, what: string, expected: string): void {
  if (kind === 'missing') return;
  const hint = kind === 'null' ? ' Leave it out when it is not known.' : '';
  addProblem(json, 'error', spanOf(json.document, node), `${what} is ${KIND_WORDS[kind]}: expected ${expected}.${hint}`);
}

const KIND_WORDS: Readonly<Record<Exclude<JsonKind, 'missing'>, string>> = {
  object: 'an object',
  array: 'a list',
  string: 'text',
  number: 'a number',
  true: 'true',
  false: 'false',
  null: 'null',
  nonfinite: 'no finite number',
};

/** Where a node stands; strings with their quotes. */
export function spanOfNode(json: JsonFile, node: number): Span {
  return spanOf(json.document, node);
}

/** The content of a string; null for other nodes, without a word. */
export function textIfString(json: JsonFile, node: number): string | null {
  return kindOf(json.document, node) === 'string' ? stringOf(json.document, node) : null;
}

export function capitalised(phrase: string): string {
  return phrase.charAt(0).toUpperCase() + phrase.slice(1);
}
