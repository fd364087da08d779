/**
 * The values of timeline XML: counts of edit units, edit rates, speeds, names. Each is read exactly as written or not at
 * all, and what is not as the schema wants it is reported on its own characters.
 *
 * A count is a whole number. A decimal fraction in its place is not thrown away: its exact value is used, and an
 * `off-grid` observation says that the place holds whole edit units only.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import { decodeXmlText, valueSpan } from '../../syntax/xml/xmlText.ts';
import type { Span } from '../../text/span.ts';
import { type Rate, rateLabel, snapRate } from '../../time/rate.ts';
import {
  equals,
  formatRational,
  isInteger,
  multiply,
  parseDecimal,
  type Rational,
  rational,
  reduce,
  sign,
} from '../../time/rational.ts';
import type { Observation } from '../../timeline/model.ts';

export interface WrittenCount {
  readonly count: Rational;
  /** The characters of the number itself. */
  readonly span: Span;
}

export interface WrittenValues {
  /** The text of a value: references expanded, comments gone, no white space at the ends. */
  readonly textAt: (place: Span) => string;
  /** A count of edit units; null, and an observation, when there is none to be had. `clip` goes into the observation. */
  readonly count: (place: Span, what: string, clip: number | null) => WrittenCount | null;
  /** `num den`; null, and an observation, when it cannot be read. Other spellings are reported and understood. */
  readonly editRate: (place: Span, clip: number | null) => Rate | null;
  /** A decimal or a ratio of two integers; null, and an observation, for anything else. */
  readonly scalar: (place: Span) => Rational | null;
}

/** A whole number this short fits a double with room to spare. */
const FAST_DIGITS = 15;
const WHOLE = /^[0-9]+$/;
const DECIMAL = /^-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?$/;
const PLAIN_DECIMAL = /^-?[0-9]{1,19}(?:\.[0-9]{1,19})?$/;
const RATIO = /^(-?[0-9]{1,19})(?:[ \t\r\n]+|\/)([0-9]{1,19})$/;
const LONGEST_SHOWN = 40;

export function createWrittenValues(text: string, largestDigits: number, log: ProblemLog<Observation>): WrittenValues {
  const rates = new Map<string, Rate>();
  return { textAt, count, editRate, scalar };

  function textAt(place: Span): string {
    const raw = text.slice(place.start, place.end);
    return raw.includes('<') || raw.includes('&') ? decodeXmlText(raw).trim() : raw;
  }

  function count(place: Span, what: string, clip: number | null): WrittenCount | null {
    const small = smallWhole(text, place);
    if (small >= 0) return { count: { numerator: small, denominator: 1 }, span: place };
    const written = textAt(place);
    const span = valueSpan(text, place);
    const unreadable = (why: string): null => {
      log.unreadable(span.start, span.end, `${what} ${why} Expected: a whole number of edit units in decimal digits.`);
      return null;
    };
    if (written === '') return unreadable('is empty.');
    if (written.length > largestDigits) return unreadable(`is longer than ${largestDigits} characters.`);
    if (WHOLE.test(written)) return { count: reduce(rational(BigInt(written))), span };
    const value = DECIMAL.test(written) ? parseDecimal(written) : null;
    if (value === null) return unreadable(`is '${shown(written)}', which is no number.`);
    if (sign(value) < 0) return unreadable(`is ${shown(written)}, but counts from zero.`);
    if (isInteger(value)) {
      unreadable(`is written as '${shown(written)}' and read as ${formatRational(value)}.`);
    } else {
      const message = `${what} is ${written}, between two edit units; this format holds whole ones only. It is read as exactly ${written}.`;
      log.report({ kind: 'off-grid', span, message, clip });
    }
    return { count: value, span };
  }

  function editRate(place: Span, clip: number | null): Rate | null {
    const raw = text.slice(place.start, place.end);
    const known = rates.get(raw);
    if (known !== undefined) return known;
    const entryCount = log.entries.length;
    const rate = freshEditRate(place, clip);
    // Only what needs no observation: the next one that is odd is odd again.
    if (rate !== null && log.entries.length === entryCount && !log.isFull()) rates.set(raw, rate);
    return rate;
  }

  function freshEditRate(place: Span, clip: number | null): Rate | null {
    const written = textAt(place);
    const span = valueSpan(text, place);
    const ratio = RATIO.exec(written);
    const exact = ratio === null ? decimal(written) : ratioOf(ratio);
    if (exact === null || sign(exact) <= 0) {
      const what = written === '' ? 'EditRate is empty.' : `EditRate is '${shown(written)}', which is no rate.`;
      log.unreadable(span.start, span.end, `${what} Expected: two positive whole numbers, as in 24000 1001.`);
      return null;
    }
    const snapped = snapRate(exact);
    const rate = snapped?.isUsual === true ? snapped.rate : reduce(exact);
    const asRatio = `${rate.numerator} ${rate.denominator}`;
    if (ratio === null || written.includes('/')) {
      const message = `EditRate is '${shown(written)}' and read as ${asRatio}. Expected: two whole numbers with a blank between, ${asRatio}.`;
      log.unreadable(span.start, span.end, message);
    } else if (!equals(rate, exact)) {
      const message = `EditRate ${shown(written)} is a rounded form of ${asRatio} (${rateLabel(rate)} per second) and read as that.`;
      log.report({ kind: 'rate', span, message, clip });
    } else if (snapped?.isUsual !== true && !isInteger(multiply(exact, rational(1001, 1000)))) {
      const message = `EditRate ${shown(written)} is neither a whole number per second nor one of the 1001 family. It is used exactly as written.`;
      log.report({ kind: 'rate', span, message, clip });
    }
    return rate;
  }

  function scalar(place: Span): Rational | null {
    const written = textAt(place);
    const span = valueSpan(text, place);
    const ratio = RATIO.exec(written);
    const value = ratio === null ? decimal(written) : ratioOf(ratio);
    if (value !== null) return value;
    const what = written === '' ? 'TimeScalar is empty.' : `TimeScalar is '${shown(written)}', which is no speed.`;
    log.unreadable(span.start, span.end, `${what} Expected: a decimal as in 0.5, or two whole numbers as in 1000 1001.`);
    return null;
  }
}

function decimal(written: string): Rational | null {
  return PLAIN_DECIMAL.test(written) ? parseDecimal(written) : null;
}

function ratioOf(match: RegExpExecArray): Rational | null {
  const denominator = BigInt(match[2] as string);
  return denominator === 0n ? null : reduce(rational(BigInt(match[1] as string), denominator));
}

/** The whole number that the characters of `place` are; -1 when they hold anything but a few digits. */
function smallWhole(text: string, place: Span): number {
  const length = place.end - place.start;
  if (length === 0 || length > FAST_DIGITS) return -1;
  let value = 0;
  for (let at = place.start; at < place.end; at += 1) {
    const digit = text.charCodeAt(at) - 48;
    if (digit < 0 || digit > 9) return -1;
    value = value * 10 + digit;
  }
  return value;
}

/** Foreign text in a message, kept to a length that can be read. */
export function shown(written: string): string {
  const oneLine = written.replace(/\s+/g, ' ');
  return oneLine.length <= LONGEST_SHOWN ? oneLine : `${oneLine.slice(0, LONGEST_SHOWN - 1)}…`;
}
