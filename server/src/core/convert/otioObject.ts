/**
 * One object of an OTIO file while it is surveyed, and how sentences about it are made.
 */

import type { SchemaRole } from '../formats/otio/otioSchemas.ts';
import { firstChild, type JsonDocument, keyText, kindOf, nextSibling, spanOf, stringOf } from '../syntax/json/jsonDocument.ts';
import type { Span } from '../text/span.ts';
import type { LossKind, LossLog } from './loss.ts';

/** A JSON object with what is known about it. */
export interface OtioObject {
  readonly node: number;
  readonly schema: string;
  readonly role: SchemaRole | null;
  readonly name: string;
  /** Index of the clip it is, or belongs to; null for none. */
  readonly clip: number | null;
}

export interface OtioSurvey {
  readonly document: JsonDocument;
  readonly log: LossLog;
}

/** Members that every object may have and that are taken over, or surveyed apart. */
export const COMMON_MEMBERS = ['OTIO_SCHEMA', 'OTIO_REF_ID', 'name', 'metadata', 'enabled'];

/** Members that are neither taken over nor surveyed, unless they say nothing. */
export function surveyOtherMembers(
  { document, log }: OtioSurvey,
  object: OtioObject,
  known: readonly string[] = COMMON_MEMBERS,
): void {
  const names: string[] = [];
  for (let key = firstChild(document, object.node); key !== -1; key = nextSibling(document, key)) {
    const name = keyText(document, key);
    if (!known.includes(name) && !saysNothing(document, key + 1)) names.push(name);
  }
  if (names.length === 0) return;
  const message = `${titleOf(object)} also has ${names.join(', ')}. It is left out.`;
  log.tell({ kind: 'metadata', message, clip: object.clip, track: null, span: headOf(document, object.node) });
}

/** Null, false, an empty text, list or object. */
export function saysNothing(document: JsonDocument, node: number): boolean {
  switch (kindOf(document, node)) {
    case 'null':
    case 'missing':
    case 'false':
      return true;
    case 'string':
      return stringOf(document, node) === '';
    case 'object':
    case 'array':
      return firstChild(document, node) === -1;
    default:
      return false;
  }
}

export function childrenOf(document: JsonDocument, node: number): readonly number[] {
  const nodes: number[] = [];
  for (let child = firstChild(document, node); child !== -1; child = nextSibling(document, child)) nodes.push(child);
  return nodes.reverse();
}

export function tellObject({ document, log }: OtioSurvey, object: OtioObject, kind: LossKind, message: string): void {
  log.tell({ kind, message, clip: object.clip, track: null, span: headOf(document, object.node) });
}

/** 'This clip', 'The track "x"': how a sentence begins. A clip is named by its place already. */
export function titleOf(object: OtioObject): string {
  if (object.clip !== null) return 'It';
  const word = object.role ?? object.schema.replace(/\.\d+$/, '');
  return `The ${word === '' ? 'object' : word}${quoted(object.name)}`;
}

export function quoted(name: string): string {
  return name === '' ? '' : ` '${name.length > 60 ? `${name.slice(0, 59)}…` : name}'`;
}

/** The first character of an object: a place to point at, not all of it. */
function headOf(document: JsonDocument, node: number): Span {
  const { start, end } = spanOf(document, node);
  return { start, end: Math.min(end, start + 1) };
}
