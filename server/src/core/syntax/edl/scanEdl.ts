/**
 * Scans an edit decision list into a tape: which line is what, and where its fields are.
 *
 * It knows lines, not meaning: no rate, no counting mode, no tracks. It reads any string and reports each line that begins
 * like an event and is none; reading goes on with the next line.
 *
 * Decisions
 * - CR LF, LF and a lone CR all end a line, also mixed in one list.
 * - Ctrl-Z ends the list, as its writers meant it; text after it is reported, not read.
 * - A line that begins with a digit is an event or broken, unless no event has come yet and nothing on it looks like a
 *   time: many lists begin with a free header.
 */

import { span } from '../../text/span.ts';
import { textUnits } from '../json/textUnits.ts';
import { describeBrokenEvent, hasTimecode, looksLikeEventWithoutNumber } from './brokenEvent.ts';
import { isBlank, isDigit, skipBlanks } from './characters.ts';
import { type EdlProblem, type EdlTape, EVENT_ROW, LINE, LINE_ROW, type LineKind } from './edlTape.ts';
import { type KeywordMatch, matchKeyword } from './lineKeywords.ts';
import { emptyWords, scanEventLine, splitWords, type Words } from './scanEventLine.ts';

const LARGEST_FIRST_GUESS = 65_536;

interface Scan {
  readonly text: string;
  readonly units: Uint8Array;
  lines: Int32Array;
  lineCount: number;
  events: Int32Array;
  eventCount: number;
  readonly modeLines: number[];
  readonly problems: EdlProblem[];
  readonly words: Words;
  readonly match: KeywordMatch;
}

/** Scans a list, or any whole lines of one. Never throws. */
export function scanEdl(text: string): EdlTape {
  const end = indexOrEnd(text, '\x1a', 0, text.length);
  const scan: Scan = {
    text,
    units: textUnits(text),
    lines: new Int32Array(LINE_ROW.size * firstGuess(end, 40)),
    lineCount: 0,
    events: new Int32Array(EVENT_ROW.size * firstGuess(end, 90)),
    eventCount: 0,
    modeLines: [],
    problems: [],
    words: emptyWords(),
    match: { kind: LINE.comment, valueStart: 0 },
  };
  // Two searches that each run ahead to their next hit cost less than one loop over all characters.
  let lineFeed = indexOrEnd(text, '\n', 0, end);
  let carriageReturn = indexOrEnd(text, '\r', 0, end);
  // A byte order mark says how the file was stored and nothing about the list.
  let at = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  while (at < end) {
    const lineEnd = Math.min(lineFeed, carriageReturn);
    scanLine(scan, at, lineEnd);
    at = lineEnd + 1;
    if (lineFeed < at) lineFeed = indexOrEnd(text, '\n', at, end);
    if (carriageReturn < at) carriageReturn = indexOrEnd(text, '\r', at, end);
  }
  if (end < text.length) reportTextAfterEnd(scan, end);
  const { units, lines, lineCount, events, eventCount, modeLines, problems } = scan;
  return { text, units, lines, lineCount, events, eventCount, modeLines, end, problems };
}

function scanLine(scan: Scan, from: number, to: number): void {
  const { text, units } = scan;
  const start = skipBlanks(units, from, to);
  if (start === to) return;
  let end = to;
  while (isBlank(units[end - 1] as number)) end -= 1;
  if (isDigit(units[start] as number)) {
    scanDigitLine(scan, start, end);
    return;
  }
  matchKeyword(units, start, end, scan.match);
  let kind: LineKind = scan.match.kind;
  if (kind === LINE.comment && units[start] !== 42) {
    if (looksLikeEventWithoutNumber(text, start, end)) {
      kind = LINE.brokenEvent;
      scan.problems.push({
        span: span(start, end),
        message: 'This line holds four times but does not begin with an event number, so it is not read as an event.',
      });
    } else if (scan.eventCount === 0) {
      kind = LINE.header;
    }
  }
  if (kind === LINE.frameCodeMode) scan.modeLines.push(scan.lineCount);
  pushLine(scan, kind, start, end, scan.match.valueStart);
}

function scanDigitLine(scan: Scan, start: number, end: number): void {
  const { text, units, words } = scan;
  splitWords(units, start, end, words);
  let row = scan.eventCount * EVENT_ROW.size;
  if (row + EVENT_ROW.size > scan.events.length) scan.events = doubled(scan.events);
  row = scan.eventCount * EVENT_ROW.size;
  if (scanEventLine(units, start, end, words, scan.events, row)) {
    scan.events[row + EVENT_ROW.line] = scan.lineCount;
    pushLine(scan, LINE.event, start, end, scan.eventCount);
    scan.eventCount += 1;
    return;
  }
  if (!hasTimecode(units, words) && (scan.eventCount === 0 || !isNumberOfThreeDigits(units, words))) {
    pushLine(scan, scan.eventCount === 0 ? LINE.header : LINE.comment, start, end, start);
    return;
  }
  pushLine(scan, LINE.brokenEvent, start, end, start);
  scan.problems.push(describeBrokenEvent(text, units, words));
}

/** What every writer makes of an event number, and no sentence begins with. */
function isNumberOfThreeDigits(units: Uint8Array, words: Words): boolean {
  const start = words.starts[0] as number;
  const length = (words.ends[0] as number) - start;
  if (length < 3 || length > 6) return false;
  for (let at = start; at < start + length; at += 1) if (!isDigit(units[at] as number)) return false;
  return true;
}

function pushLine(scan: Scan, kind: LineKind, start: number, end: number, detail: number): void {
  const row = scan.lineCount * LINE_ROW.size;
  if (row + LINE_ROW.size > scan.lines.length) scan.lines = doubled(scan.lines);
  scan.lines[row + LINE_ROW.kind] = kind;
  scan.lines[row + LINE_ROW.start] = start;
  scan.lines[row + LINE_ROW.end] = end;
  scan.lines[row + LINE_ROW.detail] = detail;
  scan.lineCount += 1;
}

function reportTextAfterEnd(scan: Scan, end: number): void {
  const to = scan.text.length;
  const first = skipBlanks(scan.units, end, to);
  if (first === to) return;
  scan.problems.push({
    span: span(first, to),
    message: `Ctrl-Z ends this list, so the ${to - first} characters after it are not read. Delete the Ctrl-Z if they belong to the cut.`,
  });
}

function firstGuess(length: number, charactersEach: number): number {
  return Math.min(LARGEST_FIRST_GUESS, Math.ceil(length / charactersEach) + 8);
}

function doubled(rows: Int32Array): Int32Array {
  const larger = new Int32Array(rows.length * 2);
  larger.set(rows);
  return larger;
}

function indexOrEnd(text: string, character: string, from: number, end: number): number {
  const index = text.indexOf(character, from);
  return index === -1 || index > end ? end : index;
}
