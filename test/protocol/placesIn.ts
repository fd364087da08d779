/**
 * Places in answers, held to the texts they stand in: lines and columns counted here by hand, in all three units.
 *
 * Source: Language Server Protocol 3.17, 'Position' (line ends are \n, \r\n and \r; a position stands between characters).
 */

import type { Wire } from './wireClient.ts';

export type ColumnUnit = 'utf-8' | 'utf-16' | 'utf-32';

export interface Place {
  readonly line: number;
  readonly character: number;
}

/** UTF-16 offset of a place; null where the text has no such place, or it lies within a character. */
export function offsetOf(text: string, { line, character }: Place, unit: ColumnUnit): number | null {
  const found = linesOf(text)[line];
  if (found === undefined) return null;
  const [start, end] = found;
  let column = 0;
  let offset = start;
  for (const each of text.slice(start, end)) {
    if (column === character) return offset;
    column += { 'utf-8': Buffer.byteLength(each), 'utf-16': each.length, 'utf-32': 1 }[unit];
    offset += each.length;
  }
  return column === character ? offset : null;
}

const known = new Map<string, readonly (readonly [start: number, end: number])[]>();

/** Where each line starts and ends, without its line end. */
function linesOf(text: string): readonly (readonly [start: number, end: number])[] {
  const before = known.get(text);
  if (before !== undefined) return before;
  let start = 0;
  const lines = [...text.matchAll(/\r\n|\n|\r|$/g)].map((lineEnd) => {
    const line = [start, lineEnd.index] as const;
    start = lineEnd.index + lineEnd[0].length;
    return line;
  });
  known.set(text, lines);
  return lines;
}

/** Every range in an answer about `uri` that is back to front or stands outside its text, in words. */
export function strayPlaces(
  answer: Wire,
  uri: string,
  textOf: (uri: string) => string | undefined,
  unit: ColumnUnit,
): readonly string[] {
  if (typeof answer !== 'object' || answer === null) return [];
  if (Array.isArray(answer)) return answer.flatMap((each) => strayPlaces(each, uri, textOf, unit));
  const here = answer.textDocument?.uri ?? (typeof answer.uri === 'string' ? answer.uri : uri);
  const text = textOf(here);
  const stray: string[] = [];
  const said = (what: string): string => `${what} ${JSON.stringify(answer)} of ${here}`;
  const isPlace = (value: Wire): value is Place => typeof value?.line === 'number' && typeof value?.character === 'number';
  if (isPlace(answer) && (text === undefined || offsetOf(text, answer, unit) === null)) stray.push(said('no such place:'));
  if (isPlace(answer.start) && isPlace(answer.end) && text !== undefined) {
    const [start, end] = [offsetOf(text, answer.start, unit), offsetOf(text, answer.end, unit)];
    if (start !== null && end !== null && start > end) stray.push(said('back to front:'));
  }
  for (const [name, member] of Object.entries(answer))
    stray.push(...strayPlaces(member, isUri(name) ? name : here, textOf, unit));
  return stray;
}

/** Edits are listed under the address of their document. */
function isUri(name: string): boolean {
  return name.startsWith('file:');
}
