/**
 * Numbers, bare words and comments of JSON and of what passes for JSON.
 */

import { excerpt, type JsonProblemList } from './jsonProblems.ts';
import { FALSE, MISSING, NONFINITE, NULL, NUMBER, TRUE } from './jsonTape.ts';

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
  list.add('syntax', start, end, `${shown} is not a value: ${advice}.`);
  return { kind: MISSING, end };
}

/** The end of the run of characters that no bracket, separator, quote or white space interrupts; at least one long. */
export function bareEnd(text: string, start: number): number {
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
