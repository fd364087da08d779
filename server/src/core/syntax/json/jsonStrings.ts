/**
 * Strings of JSON and of what passes for JSON: where they end, what they hold.
 */

import type { Span } from '../../text/span.ts';
import { excerpt, type JsonProblemList } from './jsonProblems.ts';

const DOUBLE_QUOTE = 34;
const SINGLE_QUOTE = 39;
const COMMA = 44;
const BACKSLASH = 92;
const LINE_FEED = 10;
const CARRIAGE_RETURN = 13;

/**
 * The end of the string that opens at `start` (its quote included), problems on the way reported. `from` is where to go
 * on: everything between is plain.
 *
 * A string that is not closed ends with its line, so that the next line is read as what it is; a comma at the end of that
 * line is taken for the separator it most likely was.
 */
export function findStringEnd(text: string, start: number, from: number, list: JsonProblemList): number {
  const quote = text.charCodeAt(start);
  let at = from;
  while (at < text.length) {
    const code = text.charCodeAt(at);
    if (code === quote) return at + 1;
    if (code === LINE_FEED || code === CARRIAGE_RETURN) break;
    if (code === BACKSLASH) {
      at = skipEscape(text, at, list);
    } else if (code < 32) {
      const first = at;
      while (isControl(text.charCodeAt(at))) at += 1;
      list.add(
        'syntax',
        first,
        at,
        `The control character ${excerpt(text, first, first + 1)} stands in a string; write it as \\u${text.charCodeAt(first).toString(16).padStart(4, '0')}.`,
      );
    } else {
      at += 1;
    }
  }
  let end = at;
  while (end > start + 1 && isSpace(text.charCodeAt(end - 1))) end -= 1;
  if (end > start + 1 && text.charCodeAt(end - 1) === COMMA) end -= 1;
  else end = at;
  const mark = String.fromCharCode(quote);
  list.add(
    'syntax',
    start,
    end,
    `This string is not closed: expected ${mark} before the end of the ${at < text.length ? 'line' : 'text'}.`,
  );
  return end;
}

/** The content of a string as written at `place`, with any quotes or none, closed or not. */
export function decodeString(text: string, place: Span): string {
  const quote = text.charCodeAt(place.start);
  if (place.end === place.start || (quote !== DOUBLE_QUOTE && quote !== SINGLE_QUOTE)) return text.slice(place.start, place.end);
  let decoded = '';
  let at = place.start + 1;
  let plainFrom = at;
  while (at < place.end) {
    const code = text.charCodeAt(at);
    if (code === quote) break;
    if (code !== BACKSLASH) {
      at += 1;
      continue;
    }
    decoded += text.slice(plainFrom, at);
    const letter = at + 1 < place.end ? text.charAt(at + 1) : '';
    const hex = letter === 'u' ? hexValue(text, at + 2, place.end) : -1;
    if (hex >= 0) {
      decoded += String.fromCharCode(hex);
      at += 6;
    } else {
      decoded += SIMPLE_ESCAPES[letter] ?? letter;
      at += 1 + letter.length;
    }
    plainFrom = at;
  }
  return decoded + text.slice(plainFrom, Math.min(at, place.end));
}

const SIMPLE_ESCAPES: Readonly<Record<string, string>> = {
  '"': '"',
  '\\': '\\',
  '/': '/',
  b: '\b',
  f: '\f',
  n: '\n',
  r: '\r',
  t: '\t',
};

function skipEscape(text: string, at: number, list: JsonProblemList): number {
  const next = text.charAt(at + 1);
  if (next === 'u') {
    if (hexValue(text, at + 2, text.length) >= 0) return at + 6;
    list.add('syntax', at, at + 2, 'The escape \\u needs four hexadecimal digits after it, as in \\u00e9.');
    return at + 2;
  }
  if (next in SIMPLE_ESCAPES && next !== '') return at + 2;
  // A backslash before a line break or at the end of the text leaves the string open; the caller says so.
  if (next === '' || next === '\n' || next === '\r') return at + 1;
  list.add(
    'syntax',
    at,
    at + 2,
    `\\${excerpt(text, at + 1, at + 2)} is no escape of JSON: expected one of \\" \\\\ \\/ \\b \\f \\n \\r \\t \\u. A backslash itself is written \\\\.`,
  );
  // The character after a wrong escape may be the closing quote's neighbour, never the quote itself: that one is a right escape.
  return at + 2;
}

function hexValue(text: string, from: number, end: number): number {
  if (from + 4 > end) return -1;
  let value = 0;
  for (let at = from; at < from + 4; at += 1) {
    const code = text.charCodeAt(at);
    const digit = code >= 48 && code <= 57 ? code - 48 : (code | 32) >= 97 && (code | 32) <= 102 ? (code | 32) - 87 : -1;
    if (digit < 0) return -1;
    value = value * 16 + digit;
  }
  return value;
}

function isControl(code: number): boolean {
  return code < 32 && code !== LINE_FEED && code !== CARRIAGE_RETURN;
}

function isSpace(code: number): boolean {
  return code === 32 || code === 9;
}
