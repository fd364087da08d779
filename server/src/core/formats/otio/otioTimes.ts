/**
 * RationalTime.1 and TimeRange.1: times with the places of their numbers.
 *
 * The value is taken as exactly the decimal written, the rate as the ratio it stands for (see `snapRate`), so 2002 at
 * 48000 and 1 at 23.976 are the same instant. What can't be read is reported and answered with null; callers decide what
 * follows from that.
 */

import { endOf, type JsonDocument, kindOf, spanOf, startOf } from '../../syntax/json/jsonDocument.ts';
import type { Rate } from '../../time/rate.ts';
import { divide, type Rational, sign } from '../../time/rational.ts';
import type { WrittenTime } from '../../timeline/model.ts';
import { isWord, openingSpan, openObject, type Reading, reportUnreadable, valueNode } from './otioReading.ts';
import { describeKind, type Part, readNumber, readRate, titleOf, visibleSpan } from './otioValues.ts';
import { MEMBER, type OtioWord, RATIONAL_TIME, TIME_RANGE } from './otioWords.ts';

/** A written time with the seconds it comes to. */
export interface OtioTime extends WrittenTime {
  readonly seconds: Rational;
}

export interface OtioRange {
  readonly start: OtioTime | null;
  /** Never negative. */
  readonly duration: OtioTime | null;
}

/** A range of which nobody will ask where its numbers stand, save the rate. */
export interface PlainRange {
  readonly start: Rational | null;
  /** Seconds; never negative. */
  readonly duration: Rational | null;
  /** That of the start, else of the duration. */
  readonly rate: Rate | null;
  readonly rateNode: number;
}

type RangeName = 'source_range' | 'available_range' | 'marked_range' | 'range';

/** The range at `node`; null when the text says null or nothing. */
export function readRange(reading: Reading, node: number, name: RangeName): OtioRange | null {
  if (!openRange(reading, node, name)) return node === -1 || kindOf(reading.document, node) === 'null' ? null : UNREADABLE_RANGE;
  const startNode = valueNode(reading, MEMBER.start_time);
  const durationNode = valueNode(reading, MEMBER.duration);
  const start = startNode === -1 ? null : readTime(reading, startNode, name, 'start_time');
  const duration = durationNode === -1 ? null : readTime(reading, durationNode, name, 'duration');
  if (duration === null || isLength(reading, duration.count, duration.span.start, name)) return { start, duration };
  return { start, duration: null };
}

/** As `readRange`, without the places. */
export function readPlainRange(reading: Reading, node: number, name: RangeName): PlainRange | null {
  if (!openRange(reading, node, name)) return null;
  const startNode = valueNode(reading, MEMBER.start_time);
  const durationNode = valueNode(reading, MEMBER.duration);
  let start: Rational | null = null;
  let duration: Rational | null = null;
  let rate: Rate | null = null;
  let rateNode = -1;
  const { scratch } = reading;
  if (durationNode !== -1 && scanTime(reading, durationNode, name, 'duration')) {
    rate = scratch.rate;
    rateNode = scratch.rateNode;
    if (isLength(reading, scratch.count, startOf(reading.document, scratch.valueNode), name))
      duration = divide(scratch.count, scratch.rate);
  }
  if (startNode !== -1 && scanTime(reading, startNode, name, 'start_time')) {
    rate = scratch.rate;
    rateNode = scratch.rateNode;
    start = divide(scratch.count, scratch.rate);
  }
  return { start, duration, rate, rateNode };
}

/** The time at `node`, which the text must hold; null, and reported, when it can't be read. */
export function readTime(reading: Reading, node: number, title: string, part: Part = ''): OtioTime | null {
  if (!scanTime(reading, node, title, part)) return null;
  const { document, scratch } = reading;
  const { count, rate } = scratch;
  return {
    span: spanOf(document, scratch.valueNode),
    count,
    rate,
    rateSpan: spanOf(document, scratch.rateNode),
    seconds: divide(count, rate),
  };
}

const UNREADABLE_RANGE: OtioRange = { start: null, duration: null };

function openRange(reading: Reading, node: number, name: RangeName): boolean {
  if (node === -1) return false;
  const { document } = reading;
  const kind = kindOf(document, node);
  if (kind === 'null') return false;
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `${name} holds ${describeKind(kind)}: expected a TimeRange.1 object or null.`,
    );
    return false;
  }
  openObject(reading, node);
  checkValueSchema(reading, node, valueNode(reading, MEMBER.OTIO_SCHEMA), TIME_RANGE, name, '');
  if (valueNode(reading, MEMBER.start_time) === -1) {
    reportUnreadable(reading, openingSpan(document, node), `${name} has no start_time: expected a RationalTime.1.`);
  }
  if (valueNode(reading, MEMBER.duration) === -1) {
    reportUnreadable(reading, openingSpan(document, node), `${name} has no duration: expected a RationalTime.1.`);
  }
  return true;
}

/** Reads a time into the scratch of the reading; false, and reported, when it can't be read. */
function scanTime(reading: Reading, node: number, title: string, part: Part): boolean {
  const { document, scratch } = reading;
  const kind = kindOf(document, node);
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `The ${titleOf(title, part)} is ${describeKind(kind)}: expected a RationalTime.1 object.`,
    );
    return false;
  }
  openObject(reading, node);
  const numberNode = valueNode(reading, MEMBER.value);
  const rateNode = valueNode(reading, MEMBER.rate);
  checkValueSchema(reading, node, valueNode(reading, MEMBER.OTIO_SCHEMA), RATIONAL_TIME, title, part);
  const count = readNumber(reading, node, numberNode, 'value', title, part);
  const rate = readRate(reading, node, rateNode, title, part);
  if (count === null || rate === null) return false;
  scratch.count = count;
  scratch.rate = rate;
  scratch.valueNode = numberNode;
  scratch.rateNode = rateNode;
  return true;
}

function isLength(reading: Reading, count: Rational, offset: number, name: RangeName): boolean {
  if (sign(count) >= 0) return true;
  reportUnreadable(reading, { start: offset, end: offset + 1 }, `The duration of ${name} is negative: expected zero or more.`);
  return false;
}

function checkValueSchema(
  reading: Reading,
  objectNode: number,
  schemaNode: number,
  expected: OtioWord,
  title: string,
  part: Part,
): void {
  const { document } = reading;
  if (isWord(document, schemaNode, expected)) return;
  if (schemaNode === -1) {
    const message = `The ${titleOf(title, part)} does not say that it is a ${expected.text}: expected "OTIO_SCHEMA": "${expected.text}".`;
    reportUnreadable(reading, openingSpan(document, objectNode), message);
    return;
  }
  const message = `The ${titleOf(title, part)} has the schema ${written(document, schemaNode)}: expected "${expected.text}".`;
  reportUnreadable(reading, visibleSpan(document, schemaNode), message);
}

function written(document: JsonDocument, node: number): string {
  return document.text.slice(startOf(document, node), endOf(document, node)).slice(0, 60);
}
