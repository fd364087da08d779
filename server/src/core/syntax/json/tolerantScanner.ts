/**
 * The scanner that reads anything: JSON, nearly JSON, and what is left of JSON after an accident.
 *
 * One loop, one token at a time. Every repair is local: a missing comma, colon, name or value is reported and supplied; a
 * bracket of the wrong kind closes what it most likely belongs to (see `bracketTarget`).
 *
 * Invariants
 * - Terminates: every turn of the loop moves on in the text, or changes what is expected to something that will.
 * - Spans lie inside the text; a child's span lies inside its container's.
 * - A name is followed on the tape by its value, of kind MISSING when the text has none.
 *
 * Cost: about one JSON.parse of the same text; regular texts are read by the fast scanner instead.
 */

import { bracketTarget } from './bracketTarget.ts';
import type { JsonDocument } from './jsonDocument.ts';
import { excerpt } from './jsonProblems.ts';
import { decodeString, findStringEnd } from './jsonStrings.ts';
import { ARRAY, endAt, INTRICATE_STRING, kindAt, NUMBER, OBJECT, STRING, startAt } from './jsonTape.ts';
import { isNameAhead, plainNumberEnd, readBareValue, readOddName, reportDisputedNumber, skipComment } from './jsonTokens.ts';
import {
  addMissing,
  addNode,
  addValue,
  closeContainer,
  closingBracket,
  documentOf,
  openContainer,
  reopenRoot,
  type Scan,
  startScan,
} from './scanState.ts';
import { textUnits } from './textUnits.ts';
import { type Vocabulary, wordAt } from './vocabulary.ts';

const DOUBLE_QUOTE = 34;
const SINGLE_QUOTE = 39;
const COMMA = 44;
const SLASH = 47;
const COLON = 58;
const EQUALS = 61;
const OPEN_BRACKET = 91;
const BACKSLASH = 92;
const CLOSE_BRACKET = 93;
const OPEN_BRACE = 123;
const CLOSE_BRACE = 125;

/** Digits from which a number may be one that readers disagree about. */
const LONG_NUMBER = 19;

/**
 * Reads any string; never throws.
 *
 * Where brackets do not come out even, the text is read once more with its indentation taken as a hint for every bracket,
 * and the reading with fewer problems is kept: a bracket that is missing in the middle would otherwise be missed at the end.
 */
export function scanTolerantly(text: string, vocabulary: Vocabulary): JsonDocument {
  const units = textUnits(text);
  const plain = scanText(startScan(text, units, vocabulary, false));
  if (!plain.hasUnevenBrackets || !text.includes('\n')) return documentOf(plain);
  const hinted = scanText(startScan(text, units, vocabulary, true));
  return documentOf(hinted.list.problems.length < plain.list.problems.length ? hinted : plain);
}

function scanText(scan: Scan): Scan {
  const { text, units, list } = scan;
  if (text.charCodeAt(0) === 0xfeff) {
    const message = 'The text starts with a byte-order mark, which readers of JSON may refuse: save it as UTF-8 without one.';
    list.add('syntax', 0, 1, message);
    scan.at = 1;
  }
  while (true) {
    const code = skipBlanks(scan);
    if (scan.at >= text.length) break;
    if (code === SLASH) {
      const end = skipComment(text, scan.at, list);
      if (end > scan.at) {
        scan.at = end;
        continue;
      }
    }
    if (scan.expected === 'separator' && readSeparator(scan, code)) continue;
    if (scan.expected === 'colon' && readColon(scan, code)) continue;
    if (scan.at >= text.length) break;
    if (code === CLOSE_BRACE || code === CLOSE_BRACKET) readClosingBracket(scan, code);
    else if (scan.expected === 'name' || scan.expected === 'next-name') readName(scan, code);
    else readValue(scan, code);
  }
  finish(scan, units);
  return scan;
}

/** The first character that is no white space; `at` is at the end when there is none. */
function skipBlanks(scan: Scan): number {
  const { units } = scan;
  let { at } = scan;
  let code = units[at] as number;
  let lineStart = -1;
  while (code === 32 || code === 10 || code === 13 || code === 9) {
    at += 1;
    if (code === 10 || code === 13) lineStart = at;
    code = units[at] as number;
  }
  scan.at = at;
  scan.isFirstOnLine = lineStart !== -1;
  if (lineStart !== -1) scan.indentation = at - lineStart;
  return code;
}

/** After a value. True when the character has been dealt with; otherwise it starts what `expected` now says. */
function readSeparator(scan: Scan, code: number): boolean {
  const { list, text, at } = scan;
  const isClosing = code === CLOSE_BRACE || code === CLOSE_BRACKET;
  if (scan.depth === 0 && !goesOn(scan, code, isClosing)) return true;
  if (code === COMMA) {
    scan.commaAt = at;
    scan.at = at + 1;
    scan.expected = scan.isObject ? 'next-name' : 'value';
    return true;
  }
  if (code === COLON || code === EQUALS) {
    list.add(
      'syntax',
      at,
      at + 1,
      `This ${excerpt(text, at, at + 1)} separates nothing: expected a comma or ${closingBracket(scan)}.`,
    );
    scan.at = at + 1;
    return true;
  }
  if (isClosing) return false;
  list.add('syntax', at, at + 1, `A comma is missing before this: expected , or ${closingBracket(scan)}.`);
  scan.expected = scan.isObject ? 'next-name' : 'value';
  return false;
}

/** After the text's value: true when the rest reads as if the value were still open, which then is opened again. */
function goesOn(scan: Scan, code: number, isClosing: boolean): boolean {
  const { list, text, tape, at, valueEnd } = scan;
  if (isClosing) {
    scan.hasUnevenBrackets = true;
    list.add('syntax', at, at + 1, `This ${excerpt(text, at, at + 1)} closes nothing: one bracket too many here or further up.`);
    scan.at = at + 1;
    return false;
  }
  const isContainer = kindAt(tape, 0) === OBJECT || kindAt(tape, 0) === ARRAY;
  if (!isContainer || (code !== COMMA && code !== DOUBLE_QUOTE)) {
    list.add('syntax', at, text.length, 'The text goes on after its value: expected its end. Only the first value is read.');
    scan.at = text.length;
    return false;
  }
  const message =
    'The outermost value ends here, but the text goes on as if it were still open: this or an earlier bracket closes too early.';
  list.add('syntax', valueEnd - 1, valueEnd, message);
  scan.hasUnevenBrackets = true;
  reopenRoot(scan);
  return true;
}

/** After a name. True when the character has been dealt with; otherwise it starts the value. */
function readColon(scan: Scan, code: number): boolean {
  const { list, text, tape, at } = scan;
  if (code === COLON || code === EQUALS) {
    if (code === EQUALS) list.add('syntax', at, at + 1, 'A name is separated from its value by a colon, not by =.');
    scan.at = at + 1;
    scan.expected = 'value';
    return true;
  }
  const isNext = code === COMMA || code === CLOSE_BRACE || code === CLOSE_BRACKET;
  const isName = (code === DOUBLE_QUOTE || code === SINGLE_QUOTE) && isNameAhead(text, at);
  if (isNext || isName) {
    const name = scan.count - 1;
    list.add('syntax', startAt(tape, name), endAt(tape, name), 'This name has no value: expected a colon and a value after it.');
    addMissing(scan, at);
    return true;
  }
  list.add('syntax', at, at + 1, 'A colon is missing between the name and this value.');
  scan.expected = 'value';
  return false;
}

function readClosingBracket(scan: Scan, code: number): void {
  const { list, text, at } = scan;
  const shown = excerpt(text, at, at + 1);
  if (scan.depth === 0) {
    list.add('syntax', at, at + 1, `This ${shown} closes nothing: expected a value.`);
    scan.at = at + 1;
    return;
  }
  if (scan.expected === 'next-name' || (scan.expected === 'value' && !scan.isObject)) {
    const message = 'JSON allows no comma before a closing bracket: remove it, or add what should follow.';
    list.add('syntax', scan.commaAt, scan.commaAt + 1, message);
  } else if (scan.expected === 'value') {
    list.add('syntax', at, at + 1, 'A value is missing before this: expected one after the colon.');
    addMissing(scan, at);
  }
  const isMatch = (code === CLOSE_BRACE) === scan.isObject;
  if (!isMatch) scan.hasUnevenBrackets = true;
  const target = isMatch && !scan.trustsIndentation ? scan.depth - 1 : bracketTarget(scan, code);
  scan.at = at + 1;
  scan.expected = 'separator';
  if (target < 0) {
    const wanted = scan.isObject ? '} or a name' : '] or a value';
    list.add('syntax', at, at + 1, `This ${shown} closes nothing: expected ${wanted} here.`);
    return;
  }
  while (scan.depth - 1 > target) {
    const opening = startAt(scan.tape, scan.openNodes[scan.depth - 1] as number);
    const bracket = scan.isObject ? '{' : '[';
    const message = `This ${bracket} is not closed: expected ${closingBracket(scan)} before the next closing bracket.`;
    list.add('syntax', opening, opening + 1, message);
    closeContainer(scan, at);
  }
  closeContainer(scan, at + 1);
}

function readName(scan: Scan, code: number): void {
  const { list, text, at } = scan;
  if (code === COMMA) {
    list.add('syntax', at, at + 1, 'One comma too many: expected a name in double quotes.');
    scan.commaAt = at;
    scan.at = at + 1;
    scan.expected = 'next-name';
    return;
  }
  if (code === DOUBLE_QUOTE) {
    const kind = readString(scan);
    const word = kind === INTRICATE_STRING ? decodedWord(scan, at) << 8 : 0;
    addNode(scan, at, scan.at, kind | word, true);
    scan.expected = 'colon';
    return;
  }
  scan.at = readOddName(text, at, list);
  addNode(scan, at, scan.at, INTRICATE_STRING | (decodedWord(scan, at) << 8), true);
  // A name that is not there at all was reported; a bracket in its place is read as the value.
  const isBracket = code === OPEN_BRACE || code === OPEN_BRACKET;
  scan.expected = isBracket ? 'value' : 'colon';
}

function readValue(scan: Scan, code: number): void {
  const { list, text, units, at } = scan;
  if (code === COMMA || code === COLON) {
    if (code === COMMA && scan.depth > 0) {
      list.add('syntax', at, at + 1, 'A value is missing before this comma.');
      addMissing(scan, at);
    } else {
      list.add('syntax', at, at + 1, `This ${excerpt(text, at, at + 1)} stands where a value was expected.`);
      scan.at = at + 1;
    }
    return;
  }
  if (code === OPEN_BRACE || code === OPEN_BRACKET) {
    openContainer(scan, code === OPEN_BRACE ? OBJECT : ARRAY);
    scan.at = at + 1;
    return;
  }
  if (code === DOUBLE_QUOTE) {
    const kind = readString(scan);
    addValue(scan, at, scan.at, kind);
    return;
  }
  const numberEnd = plainNumberEnd(units, at);
  if (numberEnd > at) {
    if (numberEnd - at >= LONG_NUMBER) reportDisputedNumber(text, at, numberEnd, list);
    scan.at = numberEnd;
    addValue(scan, at, numberEnd, NUMBER);
  } else if (code === SINGLE_QUOTE) {
    scan.at = findStringEnd(text, at, at + 1, list);
    list.add('syntax', at, scan.at, 'Strings of JSON stand between double quotes, not single ones.');
    addValue(scan, at, scan.at, INTRICATE_STRING);
  } else {
    const value = readBareValue(text, at, list);
    scan.at = value.end;
    addValue(scan, at, value.end, value.kind);
  }
}

/** Moves past the string in double quotes at `at`; its kind, with the number of the word it is. */
function readString(scan: Scan): number {
  const { units, text, list, at: start } = scan;
  let at = start + 1;
  while (true) {
    const code = units[at] as number;
    if (code === DOUBLE_QUOTE) break;
    if (code === BACKSLASH || code < 32) {
      scan.at = findStringEnd(text, start, at, list);
      return INTRICATE_STRING;
    }
    at += 1;
  }
  scan.at = at + 1;
  return STRING | (wordAt(scan.vocabulary, units, start + 1, at - start - 1) << 8);
}

/** The number of a name that has to be decoded. Only names: texts with escapes are compared where it matters. */
function decodedWord(scan: Scan, start: number): number {
  return scan.vocabulary.numbers.get(decodeString(scan.text, { start, end: scan.at })) ?? 0;
}

/** At the end of the text: what is missing is told and supplied, what is open is closed. */
function finish(scan: Scan, units: Uint8Array): void {
  const { list, text } = scan;
  const { length } = text;
  if (scan.expected === 'colon' || (scan.expected === 'value' && scan.isObject && scan.depth > 0)) addMissing(scan, length);
  if (scan.depth > 0 && !scan.isReopened) {
    scan.hasUnevenBrackets = true;
    let end = length;
    while (end > 1 && (units[end - 1] as number) <= 32) end -= 1;
    const open = scan.depth === 1 ? 'one bracket is' : `${scan.depth} brackets are`;
    list.add('syntax', end - 1, end, `The text ends too early: ${open} still open; expected ${closingBracket(scan)} next.`);
  } else if (scan.count === 0) {
    list.add('syntax', 0, length, 'The text holds no value: expected { or [.');
  }
  while (scan.depth > 0) closeContainer(scan, length);
}
