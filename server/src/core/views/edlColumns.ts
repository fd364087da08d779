/**
 * Puts the columns of an edit decision list under one another.
 *
 * Only blanks between the fields of an event's line change. Lines that are not plainly an event (comments, motion effects,
 * anything broken) stay as they are, so formatting never changes what a list says.
 *
 * Column widths are those that lists commonly have: reel 8, channels 5, edit type 4, length 3; a longer field widens its
 * column for the whole list.
 */

import type { Span } from '../text/span.ts';
import type { TextEdit } from '../text/textEdit.ts';

const LABEL = '(\\d{1,3}[:;.,]\\d{1,3}[:;.,]\\d{1,3}[:;.,]\\d{1,3})';
const EVENT = new RegExp(
  `^([ \\t]*)(\\d+)([ \\t]+)(\\S+)([ \\t]+)(\\S+)([ \\t]+)([A-Za-z]\\w*)(?:([ \\t]+)(\\d{1,4}))?([ \\t]+)${LABEL}([ \\t]+)${LABEL}([ \\t]+)${LABEL}([ \\t]+)${LABEL}`,
);
const REEL_WIDTH = 8;
const CHANNEL_WIDTH = 5;
const TYPE_WIDTH = 4;
const LENGTH_WIDTH = 3;

interface EventLine {
  readonly start: number;
  readonly match: RegExpExecArray;
}

/** Edits for the event lines that meet `range`; widths are those of the whole list. */
export function alignEdlColumns(text: string, range: Span): readonly TextEdit[] {
  const events = [...eventLines(text)];
  const widest = (field: number, least: number): number =>
    events.reduce((width, { match }) => Math.max(width, (match[field] as string).length), least);
  const widths = {
    number: widest(2, 3),
    reel: widest(4, REEL_WIDTH),
    channel: widest(6, CHANNEL_WIDTH),
    type: widest(8, TYPE_WIDTH),
  };
  const edits: TextEdit[] = [];
  for (const { start, match } of events) {
    if (start > range.end || start + match[0].length < range.start) continue;
    const field = (number: number): string => match[number] ?? '';
    const gap = (width: number, number: number): string => ' '.repeat(width - field(number).length + 1);
    const length = field(10);
    const wanted: readonly (readonly [field: number, blanks: string])[] = [
      [1, ''],
      [3, `${gap(widths.number, 2)} `],
      [5, gap(widths.reel, 4)],
      [7, gap(widths.channel, 6)],
      // The length of a transition is right-aligned before the labels; without one its column stays empty.
      ...(length === ''
        ? ([[11, `${gap(widths.type, 8)}${' '.repeat(LENGTH_WIDTH + 1)}`]] as const)
        : ([
            [9, `${gap(widths.type, 8)}${' '.repeat(Math.max(0, LENGTH_WIDTH - length.length))}`],
            [11, ' '],
          ] as const)),
      [13, ' '],
      [15, ' '],
      [17, ' '],
    ];
    const offsets = offsetsOf(start, match);
    for (const [number, blanks] of wanted) {
      const at = offsets[number] as number;
      if (field(number) !== blanks) edits.push({ span: { start: at, end: at + field(number).length }, newText: blanks });
    }
  }
  return edits;
}

function* eventLines(text: string): Generator<EventLine> {
  for (const line of text.matchAll(/[^\r\n]+/g)) {
    const match = EVENT.exec(line[0]);
    if (match !== null) yield { start: line.index, match };
  }
}

/** Where each group of the pattern starts; the groups follow one another without a gap. */
function offsetsOf(start: number, match: RegExpExecArray): readonly number[] {
  const offsets = [start];
  let at = start;
  for (const group of match.slice(1)) {
    offsets.push(at);
    at += group?.length ?? 0;
  }
  return offsets;
}
