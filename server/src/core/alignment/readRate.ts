/**
 * Frame rates and sample rates as the report and the settings file write them.
 *
 * `"24000/1001"` as text, or a number: 25, 23.976, 48000. Each is snapped to the ratio it stands for (see time/rate.ts), so
 * 23.98 and 23.976 are one rate.
 */

import { kindOf, numberText, spanOf, stringOf } from '../syntax/json/jsonDocument.ts';
import type { Span } from '../text/span.ts';
import { isSampleRate, type Rate, snapRate } from '../time/rate.ts';
import { formatRational, parseDecimal, parseRational, type Rational, sign } from '../time/rational.ts';
import { addProblem, type JsonFile, reportKind, shown } from './jsonFields.ts';

export interface WrittenRate {
  readonly rate: Rate;
  readonly span: Span;
}

const LONGEST_RATE = 40;

/** A frame rate; null with a problem when it is none. */
export function readFrameRate(json: JsonFile, node: number, what: string): WrittenRate | null {
  const written = readPositive(json, node, what, 'a frame rate such as "24000/1001", 25 or 23.976');
  if (written === null) return null;
  const span = spanOf(json.document, node);
  const snapped = snapRate(written);
  if (snapped === null) return null;
  if (isSampleRate(snapped.rate)) {
    addProblem(
      json,
      'error',
      span,
      `${what} is ${formatRational(snapped.rate)}, which is a sample rate: expected frames per second.`,
    );
    return null;
  }
  if (!snapped.isUsual) {
    const taken = formatRational(snapped.rate);
    addProblem(
      json,
      'information',
      span,
      `${what} is no usual frame rate; it is taken as ${taken} frames per second. Check it against the file.`,
    );
  }
  return { rate: snapped.rate, span };
}

/** A sample rate; null with a problem when it is none. */
export function readSampleRate(json: JsonFile, node: number, what: string): WrittenRate | null {
  const written = readPositive(json, node, what, 'samples per second, such as 48000');
  if (written === null) return null;
  const span = spanOf(json.document, node);
  const snapped = snapRate(written);
  if (snapped === null) return null;
  if (!isSampleRate(snapped.rate)) {
    addProblem(
      json,
      'error',
      span,
      `${what} is ${formatRational(snapped.rate)} per second, too low for sound: expected samples per second, such as 48000 (not kilohertz).`,
    );
    return null;
  }
  return { rate: snapped.rate, span };
}

function readPositive(json: JsonFile, node: number, what: string, expected: string): Rational | null {
  const { document } = json;
  const kind = kindOf(document, node);
  if (kind !== 'number' && kind !== 'string') {
    reportKind(json, node, kind, what, expected);
    return null;
  }
  const text = kind === 'number' ? numberText(document, node) : stringOf(document, node);
  const value = text.length > LONGEST_RATE ? null : (parseRational(text) ?? parseDecimal(text.trim()));
  const span = spanOf(document, node);
  if (value === null) {
    const hint = /^\s*\d+,\d+\s*$/.test(text) ? ' Write a point, not a comma.' : '';
    addProblem(json, 'error', span, `${what} is "${shown(text)}": expected ${expected}.${hint}`);
    return null;
  }
  if (sign(value) <= 0) {
    addProblem(json, 'error', span, `${what} is ${sign(value) === 0 ? 'zero' : 'below zero'}: expected ${expected}.`);
    return null;
  }
  return value;
}
