/**
 * RationalTime.1 and TimeRange.1: times with the places of their numbers.
 *
 * The value is taken as exactly the decimal written, the rate as the ratio it stands for (see `snapRate`), so 2002 at
 * 48000 and 1 at 23.976 are the same instant. What can't be read is reported and answered with null; callers decide what
 * follows from that.
 */

import { type JsonDocument, kindOf, numberText, spanOf } from '../../syntax/json/jsonDocument.ts';
import { isSampleRate, type Rate, rateLabel, snapRate } from '../../time/rate.ts';
import { add, divide, parseDecimal, type Rational, sign } from '../../time/rational.ts';
import type { WrittenTime } from '../../timeline/model.ts';
import { isTextAt, type MemberName } from './otioMembers.ts';
import { countUp, isString, openingSpan, type Reading, reportUnreadable } from './otioReading.ts';

/** A written time with the seconds it comes to. */
export interface OtioTime extends WrittenTime {
  readonly seconds: Rational;
}

export interface OtioRange {
  readonly node: number;
  readonly start: OtioTime | null;
  /** Never negative. */
  readonly duration: OtioTime | null;
}

/** What a time is called in messages: 'start_time of source_range'. */
export type TimeTitle = string;

/** The range at `node`; null when the text says null or nothing. */
export function readRange(reading: Reading, node: number, title: MemberName): OtioRange | null {
  if (node === -1) return null;
  const { document, members } = reading;
  const kind = kindOf(document, node);
  if (kind === 'null') return null;
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      spanOf(document, node),
      `${title} holds ${describeKind(kind)}: expected a TimeRange.1 object or null.`,
    );
    return { node, start: null, duration: null };
  }
  members.gather(document, node);
  const startNode = members.node('start_time');
  const durationNode = members.node('duration');
  checkValueSchema(reading, node, members.node('OTIO_SCHEMA'), 'TimeRange.1', title);
  if (startNode === -1)
    reportUnreadable(reading, openingSpan(document, node), `${title} has no start_time: expected a RationalTime.1.`);
  if (durationNode === -1)
    reportUnreadable(reading, openingSpan(document, node), `${title} has no duration: expected a RationalTime.1.`);
  const start = startNode === -1 ? null : readTime(reading, startNode, `start_time of ${title}`);
  const duration = durationNode === -1 ? null : readTime(reading, durationNode, `duration of ${title}`);
  if (duration !== null && sign(duration.count) < 0) {
    reportUnreadable(reading, duration.span, `The duration of ${title} is negative: expected zero or more.`);
    return { node, start, duration: null };
  }
  return { node, start, duration };
}

/** The time at `node`, which the text must hold; null, and reported, when it can't be read. */
export function readTime(reading: Reading, node: number, title: TimeTitle): OtioTime | null {
  const { document, members } = reading;
  const kind = kindOf(document, node);
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `The ${title} is ${describeKind(kind)}: expected a RationalTime.1 object.`,
    );
    return null;
  }
  members.gather(document, node);
  const valueNode = members.node('value');
  const rateNode = members.node('rate');
  checkValueSchema(reading, node, members.node('OTIO_SCHEMA'), 'RationalTime.1', title);
  const count = readNumber(reading, node, valueNode, 'value', title);
  const rate = readRate(reading, node, rateNode, title);
  if (count === null || rate === null) return null;
  return { span: spanOf(document, valueNode), count, rate, rateSpan: spanOf(document, rateNode), seconds: divide(count, rate) };
}

/** The rate at `node`, snapped; null, and reported, when it is no rate. Unusual ones are counted for one observation each. */
export function readRate(reading: Reading, objectNode: number, node: number, title: TimeTitle): Rate | null {
  const { document, rates } = reading;
  if (node !== -1) {
    const start = document.starts[node] as number;
    const length = (document.ends[node] as number) - start;
    for (const known of rates) {
      if (known.text.length !== length || !isTextAt(document.text, start, known.text)) continue;
      if (known.rate === null) break;
      const unusual = reading.unusualRates.get(known.text);
      if (unusual !== undefined) unusual.count += 1;
      return known.rate;
    }
  }
  const written = readNumber(reading, objectNode, node, 'rate', title);
  if (written === null) return null;
  const snapped = snapRate(written);
  const text = numberText(document, node);
  if (snapped === null) {
    reportUnreadable(
      reading,
      spanOf(document, node),
      `The rate of the ${title} is ${text}: expected more than zero frames or samples per second.`,
    );
    return null;
  }
  if (!snapped.isUsual) countUp(reading.unusualRates, text, { span: spanOf(document, node), count: 0, rate: snapped.rate });
  if (rates.length < 8) rates.push({ text, rate: snapped.rate });
  return snapped.rate;
}

/** A number that must be there, exactly as written. */
export function readNumber(
  reading: Reading,
  objectNode: number,
  node: number,
  name: MemberName,
  title: TimeTitle,
): Rational | null {
  const { document } = reading;
  if (node === -1) {
    reportUnreadable(reading, openingSpan(document, objectNode), `The ${title} has no ${name}: expected a number.`);
    return null;
  }
  const kind = kindOf(document, node);
  if (kind !== 'number') {
    const found =
      kind === 'nonfinite'
        ? `${document.text.slice(document.starts[node], document.ends[node])}, which is no time`
        : describeKind(kind);
    reportUnreadable(reading, visibleSpan(document, node), `The ${name} of the ${title} is ${found}: expected a number.`);
    return null;
  }
  const value = decimalAt(document, node);
  if (value === null)
    reportUnreadable(
      reading,
      spanOf(document, node),
      `The ${name} of the ${title} is out of all proportion: expected a number a timeline could hold.`,
    );
  return value;
}

/** The exact decimal of a number node; null for one that is far too large or small, or no number of JSON. */
function decimalAt(document: JsonDocument, node: number): Rational | null {
  const { text } = document;
  const start = document.starts[node] as number;
  const end = document.ends[node] as number;
  // Whole numbers of up to fifteen digits, with or without a fraction of zeros, are nearly all there is.
  let at = start;
  const isNegative = text.charCodeAt(at) === 45;
  if (isNegative) at += 1;
  const firstDigit = at;
  let value = 0;
  let code = text.charCodeAt(at);
  while (at < end && code >= 48 && code <= 57) {
    value = value * 10 + (code - 48);
    at += 1;
    code = text.charCodeAt(at);
  }
  const digits = at - firstDigit;
  if (digits >= 1 && digits <= 15) {
    if (at < end && code === 46) {
      at += 1;
      while (at < end && text.charCodeAt(at) === 48) at += 1;
    }
    if (at === end) return { numerator: isNegative ? 0 - value : value, denominator: 1 };
  }
  if (end - start > 2000) return null;
  return parseDecimal(text.slice(start, end));
}

/** The instant after a range; null when a part of it could not be read. */
export function rangeEnd(range: OtioRange): Rational | null {
  return range.start === null || range.duration === null ? null : add(range.start.seconds, range.duration.seconds);
}

/** True for a rate that counts frames of picture, as opposed to samples of sound. */
export function isFrameRate(rate: Rate): boolean {
  return !isSampleRate(rate);
}

/** What a JSON value is, in a sentence about something else that was expected. */
export function describeKind(kind: ReturnType<typeof kindOf>): string {
  switch (kind) {
    case 'object':
      return 'another kind of object';
    case 'array':
      return 'a list';
    case 'string':
      return 'a text';
    case 'number':
      return 'a number';
    case 'nonfinite':
      return 'not a finite number';
    case 'missing':
      return 'missing';
    default:
      return kind;
  }
}

/** The span of a node; for one that is not there the character before, so that something can be seen. */
export function visibleSpan(document: JsonDocument, node: number): { readonly start: number; readonly end: number } {
  const { start, end } = spanOf(document, node);
  return end > start
    ? { start, end: kindOf(document, node) === 'object' || kindOf(document, node) === 'array' ? start + 1 : end }
    : { start: Math.max(0, start - 1), end };
}

/** For messages: the label of a rate with 'frames' or 'samples' left to the reader. */
export function rateInWords(rate: Rate): string {
  return isSampleRate(rate) ? `${rateLabel(rate)} samples per second` : `${rateLabel(rate)} frames per second`;
}

function checkValueSchema(reading: Reading, objectNode: number, schemaNode: number, expected: string, title: TimeTitle): void {
  const { document } = reading;
  if (isString(document, schemaNode, expected)) return;
  if (schemaNode === -1) {
    reportUnreadable(
      reading,
      openingSpan(document, objectNode),
      `The ${title} does not say that it is a ${expected}: expected "OTIO_SCHEMA": "${expected}".`,
    );
    return;
  }
  const written = document.text.slice(document.starts[schemaNode], document.ends[schemaNode]).slice(0, 60);
  reportUnreadable(reading, spanOf(document, schemaNode), `The ${title} has the schema ${written}: expected "${expected}".`);
}
