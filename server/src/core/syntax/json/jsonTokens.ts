/**
 * Numbers, bare words, odd names and comments of JSON and of what passes for JSON.
 */

import { excerpt, type JsonProblemList } from './jsonProblems.ts';
import { findStringEnd } from './jsonStrings.ts';
import { FALSE, MISSING, NONFINITE, NULL, NUMBER, TRUE } from './jsonTape.ts';

const SINGLE_QUOTE = 39;
const COMMA = 44;
const COLON = 58;
const EQUALS = 61;
const OPEN_BRACKET = 91;
const CLOSE_BRACKET = 93;
const OPEN_BRACE = 123;
const CLOSE_BRACE = 125;

/** A value read from bare characters: its kind on the tape and where it ends. */
export interface BareValue {
  readonly kind: number;
  readonly end: number;
}

const WORD_KINDS: ReadonlyMap<string, number> = new Map([
  ['true', TRUE],
  ['false', FALSE],
  ['null', NULL],
  ['NaN', NONFINITE],
  ['Infinity', NONFINITE],
  ['-Infinity', NONFINITE],
  ['Inf', NONFINITE],
  ['-Inf', NONFINITE],
]);

const CORRECTED_WORDS: ReadonlyMap<string, string> = new Map([
  ['nan', 'NaN'],
  ['inf', 'Infinity'],
  ['infinity', 'Infinity'],
  ['-nan', 'NaN'],
  ['-inf', '-Infinity'],
  ['-infinity', '-Infinity'],
  ['+inf', 'Infinity'],
  ['+infinity', 'Infinity'],
  ['none', 'null'],
  ['undefined', 'null'],
]);

const JSON_NUMBER = /^-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?$/;
const NEARLY_A_NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/**
 * Reads bare characters at `start` as a value and says what is wrong with them. Never empty: at least one character is
 * taken, so that callers move on.
 */
export function readBareValue(text: string, start: number, list: JsonProblemList): BareValue {
  const end = bareEnd(text, start);
  const word = text.slice(start, Math.min(end, start + 4000));
  const kind = WORD_KINDS.get(word);
  if (kind !== undefined) return { kind, end };
  if (JSON_NUMBER.test(word)) {
    reportDisputedNumber(text, start, end, list);
    return { kind: NUMBER, end };
  }
  const shown = excerpt(text, start, end);
  if (NEARLY_A_NUMBER.test(word)) {
    list.add(
      'syntax',
      start,
      end,
      `${shown} is no number of JSON: expected digits without a leading 0 or +, and digits on both sides of a point.`,
    );
    return { kind: NUMBER, end };
  }
  const lower = word.toLowerCase();
  const corrected = CORRECTED_WORDS.get(lower) ?? (WORD_KINDS.has(lower) ? lower : undefined);
  const advice =
    corrected === undefined
      ? 'expected a string in double quotes, a number, true, false, null, { or ['
      : `write ${corrected}; capitals matter here`;
  list.add('syntax', start, end, `'${shown}' is not a value: ${advice}.`);
  return { kind: MISSING, end };
}

/** The end of the run of characters that no bracket, separator, quote or white space interrupts; at least one long. */
function bareEnd(text: string, start: number): number {
  let at = start + 1;
  while (at < text.length && !isBreak(text.charCodeAt(at))) at += 1;
  return at;
}

/**
 * Numbers on whose value readers disagree: beyond the largest double, or between the signed and the unsigned 64-bit range,
 * where the OTIO library drops the highest bit (observed: 18446744073709551615 becomes 9223372036854775807).
 */
export function reportDisputedNumber(text: string, start: number, end: number, list: JsonProblemList): void {
  if (end - start < 19 && !/[eE]/.test(text.slice(start, end))) return;
  const word = text.slice(start, end);
  if (!Number.isFinite(Number(word))) {
    list.add(
      'number',
      start,
      end,
      `${excerpt(text, start, end)} is larger than any number most readers can hold (about 1.8e308).`,
    );
  } else if (/^\d{19,20}$/.test(word) && BigInt(word) >= 2n ** 63n && BigInt(word) < 2n ** 64n) {
    list.add('number', start, end, `${word} does not fit a signed 64-bit integer; some readers take it for another number.`);
  }
}

/** The end of the comment that starts at `start`, or `start` when none does. Not JSON, so it is reported. */
export function skipComment(text: string, start: number, list: JsonProblemList): number {
  const second = text.charCodeAt(start + 1);
  if (second === 47) {
    let end = start + 2;
    while (end < text.length && text.charCodeAt(end) !== 10 && text.charCodeAt(end) !== 13) end += 1;
    list.add('syntax', start, end, 'JSON has no comments, and most readers refuse this file because of this one: remove it.');
    return end;
  }
  if (second !== 42) return start;
  const close = text.indexOf('*/', start + 2);
  const end = close === -1 ? text.length : close + 2;
  list.add(
    'syntax',
    start,
    end,
    close === -1
      ? 'This comment is not closed: expected */ after it. JSON has no comments: remove it.'
      : 'JSON has no comments, and most readers refuse this file because of this one: remove it.',
  );
  return end;
}

/**
 * The end of a number that is plainly one: JSON's grammar without an exponent, followed by a separator. `start` for
 * everything else, which is then looked at closely.
 */
export function plainNumberEnd(units: Uint8Array, start: number): number {
  let at = start;
  let code = units[at] as number;
  if (code === 45) {
    at += 1;
    code = units[at] as number;
  }
  if (code === 48) {
    at += 1;
    code = units[at] as number;
  } else {
    if (code < 49 || code > 57) return start;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = units[at] as number;
    }
  }
  if (code === 46) {
    at += 1;
    code = units[at] as number;
    if (code < 48 || code > 57) return start;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = units[at] as number;
    }
  }
  const isEnd =
    code === COMMA || code === CLOSE_BRACE || code === CLOSE_BRACKET || code === 32 || code === 10 || code === 13 || code === 9;
  return isEnd || at >= units.length - 1 ? at : start;
}

/** The end of something other than a double-quoted name where a name belongs; `start` when it looks like a value. */
export function readOddName(text: string, start: number, list: JsonProblemList): number {
  const code = text.charCodeAt(start);
  if (code === SINGLE_QUOTE) {
    const end = findStringEnd(text, start, start + 1, list);
    list.add('syntax', start, end, 'Names of JSON stand between double quotes, not single ones.');
    return end;
  }
  if (code === COLON || code === EQUALS) {
    list.add('syntax', start, start + 1, 'A name is missing before this: expected one in double quotes.');
    return start;
  }
  if (code === OPEN_BRACE || code === OPEN_BRACKET) {
    list.add('syntax', start, start + 1, 'A name is missing before this value: expected one in double quotes, and a colon.');
    return start;
  }
  const end = bareEnd(text, start);
  list.add(
    'syntax',
    start,
    end,
    `${excerpt(text, start, end)} stands where a name was expected: names stand between double quotes.`,
  );
  return end;
}

/** True when the string at `start` is followed by a colon: it is a name, not the value of the name before it. */
export function isNameAhead(text: string, start: number): boolean {
  let at = findStringEnd(text, start, start + 1, SILENT);
  while (at < text.length && text.charCodeAt(at) <= 32) at += 1;
  return text.charCodeAt(at) === COLON;
}

const SILENT: JsonProblemList = { problems: [], add: () => {} };

/** White space, quotes, brackets, comma, colon and the slash of a comment end a bare run. */
function isBreak(code: number): boolean {
  switch (code) {
    case 9:
    case 10:
    case 13:
    case 32:
    case 34:
    case 39:
    case 44:
    case 47:
    case 58:
    case 91:
    case 93:
    case 123:
    case 125:
      return true;
    default:
      return false;
  }
}
