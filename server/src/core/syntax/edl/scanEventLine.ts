/**
 * An event line: number, reel, channels, edit type, length of a transition, four times, and whatever a writer adds after.
 *
 * Columns differ between writers, and reels may be of any length and hold blanks, so fields are found from the right: the
 * first four times in a row that stand behind an edit type are the times, the word before the type is the channel field,
 * and all words between the number and the channel are the reel.
 *
 * What would break: a reel that holds an edit type followed by four times. No writer is known to make one.
 */

import { isDigit } from './characters.ts';
import { EDIT, EVENT_ROW, LABEL_ROW } from './edlTape.ts';
import { isSeparator, NO_LABEL, NUMBER_LABEL, readLabel, readUsualLabel, TIMECODE_LABEL, USUAL_LENGTH } from './readLabel.ts';

/** Words looked at on one line; what stands after them is trailing text. */
const MOST_WORDS = 64;
const LARGEST_DURATION_DIGITS = 4;

/** The words of the line being read; reused from line to line. */
export interface Words {
  readonly starts: Int32Array;
  readonly ends: Int32Array;
  /** Label forms of the words, found as they are asked for; see `formOf`. */
  readonly forms: Int8Array;
  /** Label rows of those words that are labels. */
  readonly labels: Int32Array;
  count: number;
}

const NOT_YET_READ = -1;

export function emptyWords(): Words {
  return {
    starts: new Int32Array(MOST_WORDS),
    ends: new Int32Array(MOST_WORDS),
    forms: new Int8Array(MOST_WORDS),
    labels: new Int32Array(MOST_WORDS * LABEL_ROW.size),
    count: 0,
  };
}

export function splitWords(units: Uint8Array, start: number, end: number, words: Words): void {
  const { starts, ends, forms } = words;
  let at = start;
  let count = 0;
  while (at < end && count < MOST_WORDS) {
    while (at < end && (units[at] as number) <= 0x20) at += 1;
    if (at === end) break;
    starts[count] = at;
    if (isSeparator(units[at + 2] as number) && isUsualLabel(units, at, end, words, count)) {
      forms[count] = TIMECODE_LABEL;
      at += USUAL_LENGTH;
    } else {
      forms[count] = NOT_YET_READ;
      while (at < end && (units[at] as number) > 0x20) at += 1;
    }
    ends[count] = at;
    count += 1;
  }
  words.count = count;
}

/** Reads a label of the usual eleven characters while passing over it. */
function isUsualLabel(units: Uint8Array, at: number, end: number, words: Words, word: number): boolean {
  const next = at + USUAL_LENGTH;
  if (next > end || (next < end && (units[next] as number) > 0x20)) return false;
  return readUsualLabel(units, at, words.labels, word * LABEL_ROW.size);
}

/** Whether a word is a timecode, a number or no label. */
export function formOf(units: Uint8Array, words: Words, word: number): number {
  const known = words.forms[word] as number;
  if (known !== NOT_YET_READ) return known;
  const form = readLabel(units, words.starts[word] as number, words.ends[word] as number, words.labels, word * LABEL_ROW.size);
  words.forms[word] = form;
  return form;
}

/**
 * Reads the line into the event row at `row`; false when it is not an event. `words` holds the line's words.
 * A line with four timecodes and an unknown edit type is an event of type `unknown`.
 */
export function scanEventLine(
  units: Uint8Array,
  start: number,
  end: number,
  words: Words,
  rows: Int32Array,
  row: number,
): boolean {
  for (let first = 3; first + 4 <= words.count; first += 1) {
    if (countTimecodes(units, words, first) < 0) continue;
    if (readHead(units, words, first, rows, row)) return finish(start, end, words, first, rows, row);
  }
  for (let first = 3; first + 4 <= words.count; first += 1) {
    if (countTimecodes(units, words, first) !== 4) continue;
    readHeadOfUnknownType(units, words, first, rows, row);
    return finish(start, end, words, first, rows, row);
  }
  return false;
}

/** How many of the four words from `first` on are timecodes; -1 when one is no label at all. */
function countTimecodes(units: Uint8Array, words: Words, first: number): number {
  let timecodes = 0;
  for (let word = first; word < first + 4; word += 1) {
    const form = formOf(units, words, word);
    if (form === NO_LABEL) return -1;
    if (form === TIMECODE_LABEL) timecodes += 1;
  }
  return timecodes;
}

function finish(start: number, end: number, words: Words, first: number, rows: Int32Array, row: number): boolean {
  rows[row + EVENT_ROW.start] = start;
  rows[row + EVENT_ROW.end] = end;
  rows[row + EVENT_ROW.numberEnd] = words.ends[0] as number;
  const labels = first * LABEL_ROW.size;
  for (let at = 0; at < 4 * LABEL_ROW.size; at += 1) rows[row + EVENT_ROW.labels + at] = words.labels[labels + at] as number;
  return true;
}

/** Reads type, length, channels and reel from the words before `first`; false when no edit type stands there. */
function readHead(units: Uint8Array, words: Words, first: number, rows: Int32Array, row: number): boolean {
  let word = first - 1;
  if (word > 1 && isFadeMark(units, words, word)) word -= 1;
  let duration = durationOf(units, words, word);
  if (duration >= 0) word -= 1;
  // A wipe may write its code apart: `W 001 030`.
  if (duration >= 0 && word > 1 && durationOf(units, words, word) >= 0 && isLetter(units, words, word - 1, 87)) word -= 1;
  let type = typeOf(units, words, word);
  let typeWord = word;
  if (type === EDIT.unknown && word > 1 && isLetter(units, words, word - 1, 75)) {
    if (isLetter(units, words, word, 66)) type = EDIT.keyBackground;
    else if (isLetter(units, words, word, 79)) type = EDIT.keyOut;
    typeWord = word - 1;
  }
  if (type === EDIT.unknown || typeWord < 2) return false;
  // A wipe whose code stands apart has a number before its length; any other type with a number has its length.
  const mayLackLength = type !== EDIT.cut && (duration < 0 || isLetter(units, words, typeWord, 87));
  if (takesLengthForTime(units, words, first, mayLackLength)) return false;
  if (type === EDIT.cut && duration === 0) duration = -1;
  writeHead(words, typeWord, word, type, duration, rows, row);
  return true;
}

/**
 * True when word `first` is the length of a transition and the four times begin one word later: it is a number before four
 * timecodes, or, in a list of bare frame numbers, one number too many after a type that wants a length.
 */
function takesLengthForTime(units: Uint8Array, words: Words, first: number, mayLackLength: boolean): boolean {
  if (first + 4 >= words.count || formOf(units, words, first) !== NUMBER_LABEL) return false;
  const fifth = formOf(units, words, first + 4);
  if (fifth === TIMECODE_LABEL) return true;
  return mayLackLength && fifth === NUMBER_LABEL && durationOf(units, words, first) >= 0;
}

/** Four timecodes stand there, but no known type before them: the word before the times is the type, if it is no channel. */
function readHeadOfUnknownType(units: Uint8Array, words: Words, first: number, rows: Int32Array, row: number): void {
  let word = first - 1;
  const duration = durationOf(units, words, word);
  if (duration >= 0 && word > 2) word -= 1;
  if (isChannelWord(units, words, word)) {
    writeHead(words, word + 1, word, EDIT.unknown, duration, rows, row);
    rows[row + EVENT_ROW.typeStart] = words.ends[word] as number;
    rows[row + EVENT_ROW.typeEnd] = words.ends[word] as number;
  } else {
    writeHead(words, word, word, EDIT.unknown, duration, rows, row);
  }
}

function writeHead(
  words: Words,
  typeWord: number,
  lastTypeWord: number,
  type: number,
  duration: number,
  rows: Int32Array,
  row: number,
): void {
  const channel = typeWord - 1;
  rows[row + EVENT_ROW.type] = type;
  rows[row + EVENT_ROW.typeStart] = words.starts[typeWord] as number;
  rows[row + EVENT_ROW.typeEnd] = words.ends[lastTypeWord] as number;
  rows[row + EVENT_ROW.duration] = duration;
  rows[row + EVENT_ROW.channelStart] = words.starts[channel] as number;
  rows[row + EVENT_ROW.channelEnd] = words.ends[channel] as number;
  rows[row + EVENT_ROW.reelStart] = channel > 1 ? (words.starts[1] as number) : (words.starts[channel] as number);
  rows[row + EVENT_ROW.reelEnd] = channel > 1 ? (words.ends[channel - 1] as number) : (words.starts[channel] as number);
}

function typeOf(units: Uint8Array, words: Words, word: number): number {
  const start = words.starts[word] as number;
  const length = (words.ends[word] as number) - start;
  const letter = (units[start] as number) & ~0x20;
  if (length === 1) {
    if (letter === 67) return EDIT.cut;
    if (letter === 68) return EDIT.dissolve;
    if (letter === 87) return EDIT.wipe;
    return letter === 75 ? EDIT.keyForeground : EDIT.unknown;
  }
  if (letter === 87) {
    for (let at = start + 1; at < start + length; at += 1) if (!isDigit(units[at] as number)) return EDIT.unknown;
    return length <= 4 ? EDIT.wipe : EDIT.unknown;
  }
  if (letter !== 75 || length !== 2) return EDIT.unknown;
  const second = (units[start + 1] as number) & ~0x20;
  if (second === 66) return EDIT.keyBackground;
  return second === 79 ? EDIT.keyOut : EDIT.unknown;
}

/** Frames of `030` or `030(F)`; -1 when the word is no such number. */
function durationOf(units: Uint8Array, words: Words, word: number): number {
  if (word < 2) return -1;
  const start = words.starts[word] as number;
  let end = words.ends[word] as number;
  if (end - start > 3 && isFadeAt(units, end - 3)) end -= 3;
  if (end - start > LARGEST_DURATION_DIGITS) return -1;
  let value = 0;
  for (let at = start; at < end; at += 1) {
    const code = units[at] as number;
    if (!isDigit(code)) return -1;
    value = value * 10 + code - 48;
  }
  return end > start ? value : -1;
}

function isFadeMark(units: Uint8Array, words: Words, word: number): boolean {
  const start = words.starts[word] as number;
  return (words.ends[word] as number) - start === 3 && isFadeAt(units, start);
}

function isLetter(units: Uint8Array, words: Words, word: number, capital: number): boolean {
  const start = words.starts[word] as number;
  return (words.ends[word] as number) - start === 1 && ((units[start] as number) & ~0x20) === capital;
}

/** `(F)` stands at `at`. */
function isFadeAt(units: Uint8Array, at: number): boolean {
  return units[at] === 40 && ((units[at + 1] as number) & ~0x20) === 70 && units[at + 2] === 41;
}

/** NONE, or made of the letters, digits and separators of channel fields and beginning with a letter. */
function isChannelWord(units: Uint8Array, words: Words, word: number): boolean {
  const start = words.starts[word] as number;
  const length = (words.ends[word] as number) - start;
  const isNone = length === 4 && [78, 79, 78, 69].every((letter, index) => ((units[start + index] as number) & ~0x20) === letter);
  if (isNone) return true;
  for (let at = start; at < start + length; at += 1) {
    const unit = units[at] as number;
    const letter = unit & ~0x20;
    const isLetterOfChannel = letter === 65 || letter === 66 || letter === 86;
    const isSeparator = unit === 47 || unit === 44 || unit === 43 || unit === 38;
    if (!isLetterOfChannel && (at === start || (!isDigit(unit) && !isSeparator))) return false;
  }
  return true;
}
