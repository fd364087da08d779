/**
 * Plain values of OTIO JSON: texts, exact decimals, and rates snapped to the ratios they stand for.
 */

import {
  endOf,
  type JsonDocument,
  type JsonKind,
  kindOf,
  numberText,
  spanOf,
  startOf,
  stringOf,
} from '../../syntax/json/jsonDocument.ts';
import { kindAt, NUMBER } from '../../syntax/json/jsonTape.ts';
import type { Span } from '../../text/span.ts';
import { isSampleRate, type Rate, snapRate } from '../../time/rate.ts';
import { parseDecimal, type Rational } from '../../time/rational.ts';
import { countUp, openingSpan, type Reading, reportUnreadable } from './otioReading.ts';
import type { MemberName } from './otioWords.ts';

/** Where a number stands within what its title names; put together only when there is something to say. */
export type Part = 'start_time' | 'duration' | '';

/** Distinct spellings kept; a file has few rates and repeats them. */
const REMEMBERED_RATES = 8;

/** A rate as spelled somewhere in this text. */
export interface SpelledRate {
  /** A node with that spelling. */
  readonly node: number;
  readonly rate: Rate;
  readonly isUsual: boolean;
}

/** The rate at `node`, snapped; null, and reported, when it is no rate. Unusual ones are counted for one observation each. */
export function readRate(reading: Reading, objectNode: number, node: number, title: string, part: Part = ''): Rate | null {
  const { document, rates } = reading;
  if (node !== -1) {
    for (const known of rates) {
      if (!isSameSpelling(document, known.node, node)) continue;
      if (!known.isUsual) countUnusual(reading, node, known.rate);
      return known.rate;
    }
  }
  const written = readNumber(reading, objectNode, node, 'rate', title, part);
  if (written === null) return null;
  const snapped = snapRate(written);
  if (snapped === null) {
    const message = `The rate of the ${titleOf(title, part)} is ${numberText(document, node)}: expected more than zero frames or samples per second.`;
    reportUnreadable(reading, spanOf(document, node), message);
    return null;
  }
  if (!snapped.isUsual) countUnusual(reading, node, snapped.rate);
  if (rates.length < REMEMBERED_RATES) rates.push({ node, rate: snapped.rate, isUsual: snapped.isUsual });
  return snapped.rate;
}

/** A number that must be there, exactly as written. */
export function readNumber(
  reading: Reading,
  objectNode: number,
  node: number,
  name: MemberName,
  title: string,
  part: Part = '',
): Rational | null {
  const { document } = reading;
  if (node === -1) {
    reportUnreadable(
      reading,
      openingSpan(document, objectNode),
      `The ${titleOf(title, part)} has no ${name}: expected a number.`,
    );
    return null;
  }
  if (kindAt(document.tape, node) !== NUMBER) {
    const kind = kindOf(document, node);
    const found =
      kind === 'nonfinite'
        ? `${document.text.slice(startOf(document, node), endOf(document, node))}, which is no time`
        : describeKind(kind);
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `The ${name} of the ${titleOf(title, part)} is ${found}: expected a number.`,
    );
    return null;
  }
  const value = decimalAt(document, node);
  if (value === null) {
    const message = `The ${name} of the ${titleOf(title, part)} is out of all proportion: expected a number that a timeline could hold.`;
    reportUnreadable(reading, spanOf(document, node), message);
  }
  return value;
}

export function titleOf(title: string, part: Part): string {
  return part === '' ? title : `${part} of ${title}`;
}

/** True for a rate that counts frames of picture, as opposed to samples of sound. */
export function isFrameRate(rate: Rate): boolean {
  return !isSampleRate(rate);
}

/** A text member; null for null or none; reported and null for anything else. */
export function readText(reading: Reading, node: number, name: string): string | null {
  if (node === -1) return null;
  const kind = kindOf(reading.document, node);
  if (kind === 'string') return stringOf(reading.document, node);
  if (kind !== 'null')
    reportUnreadable(reading, visibleSpan(reading.document, node), `${name} is ${describeKind(kind)}: expected a text.`);
  return null;
}

/** What a JSON value is, in a sentence about something else that was expected. */
export function describeKind(kind: JsonKind): string {
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

/** The span of a value; of an object its opening, of one that is not there the character before. */
export function visibleSpan(document: JsonDocument, node: number): Span {
  const { start, end } = spanOf(document, node);
  if (end === start) return { start: Math.max(0, start - 1), end };
  const kind = kindOf(document, node);
  return kind === 'object' || kind === 'array' ? { start, end: start + 1 } : { start, end };
}

function countUnusual(reading: Reading, node: number, rate: Rate): void {
  const { document } = reading;
  countUp(reading.unusualRates, numberText(document, node), { span: spanOf(document, node), count: 0, rate });
}

function isSameSpelling(document: JsonDocument, left: number, right: number): boolean {
  const { units } = document;
  const leftStart = startOf(document, left);
  const rightStart = startOf(document, right);
  const length = endOf(document, right) - rightStart;
  if (endOf(document, left) - leftStart !== length) return false;
  for (let offset = 0; offset < length; offset += 1) if (units[leftStart + offset] !== units[rightStart + offset]) return false;
  return true;
}

/** The exact decimal of a number node; null for one that is far too large or small, or no number of JSON. */
function decimalAt(document: JsonDocument, node: number): Rational | null {
  const { text, units } = document;
  const start = startOf(document, node);
  const end = endOf(document, node);
  // Whole numbers of up to fifteen digits, with or without a fraction of zeros, are nearly all there is.
  let at = start;
  const isNegative = units[at] === 45;
  if (isNegative) at += 1;
  const firstDigit = at;
  let value = 0;
  let code = units[at] as number;
  while (at < end && code >= 48 && code <= 57) {
    value = value * 10 + (code - 48);
    at += 1;
    code = units[at] as number;
  }
  const digits = at - firstDigit;
  if (digits >= 1 && digits <= 15) {
    if (at < end && code === 46) {
      at += 1;
      while (at < end && units[at] === 48) at += 1;
    }
    if (at === end) return { numerator: isNegative ? 0 - value : value, denominator: 1 };
  }
  return end - start > LONGEST_NUMBER ? null : parseDecimal(text.slice(start, end));
}

/** Digits beyond this no time needs, and exact arithmetic on them would cost. */
const LONGEST_NUMBER = 2000;
