/**
 * JSON with numbers kept as the characters they are: an exact decimal is more than a double holds.
 */

interface JsonNumber {
  readonly number: string;
}

export type JsonValue = string | boolean | null | JsonNumber | readonly JsonValue[] | { readonly [name: string]: JsonValue };

const INDENT = '    ';

/** Four blanks a level, as the OTIO library indents; a line break at the end. Nesting is that of one timeline, so it may recurse. */
export function jsonText(value: JsonValue): string {
  return `${rendered(value, '')}\n`;
}

function rendered(value: JsonValue, indent: string): string {
  if (value === null || typeof value === 'boolean') return String(value);
  // Lone surrogates are written as escapes, so that the text stays well-formed.
  if (typeof value === 'string') return JSON.stringify(value);
  const inner = indent + INDENT;
  if (isList(value)) {
    if (value.length === 0) return '[]';
    return `[\n${value.map((item) => `${inner}${rendered(item, inner)}`).join(',\n')}\n${indent}]`;
  }
  if (isNumber(value)) return value.number;
  const members = Object.entries(value);
  if (members.length === 0) return '{}';
  return `{\n${members.map(([name, item]) => `${inner}${JSON.stringify(name)}: ${rendered(item, inner)}`).join(',\n')}\n${indent}}`;
}

function isList(value: JsonValue): value is readonly JsonValue[] {
  return Array.isArray(value);
}

function isNumber(value: object): value is JsonNumber {
  return 'number' in value && typeof value.number === 'string' && Object.keys(value).length === 1;
}
