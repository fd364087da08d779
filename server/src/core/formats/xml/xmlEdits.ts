/**
 * Changes to a timeline XML as the smallest edits of its text: digits for digits, a line for an acceptance.
 *
 * What cannot be written in the format is refused with a reason; nothing is rounded here.
 */

import type { Span } from '../../text/span.ts';
import { isTimecodeRate, nominalFramesPerSecond, type Rate, rateLabel } from '../../time/rate.ts';
import { formatRational, isInteger, type Rational, reduce, sign } from '../../time/rational.ts';
import type { Timeline } from '../../timeline/model.ts';
import type { Change, EditResult } from '../timelineFormat.ts';
import { acceptEdits } from './acceptEdits.ts';

const NUMBER = /^-?[0-9]*\.?[0-9]+$|^-?[0-9]+\.$/;
const START_TAG_BEFORE = /<(?:[^\s<>:/]+:)?([^\s<>:/]+)[^<>]*>\s*$/;
const RATE_TEXT = /^[0-9./ \t\r\n-]+$/;
/** A start tag in front of a value is never longer than this. */
const LONGEST_LOOK_BACK = 2000;

export function xmlEdits(text: string, timeline: Timeline, change: Change): EditResult {
  switch (change.kind) {
    case 'set-source-start':
      return setSourceStart(text, timeline, change.clip, change.count);
    case 'set-rate':
      return setRate(text, change.span, change.rate);
    case 'replace':
      return isInside(text, change.span)
        ? replaced(change.span, change.newText)
        : refused('The place to change lies outside the text.');
    case 'accept':
      return acceptEdits(text, timeline, change.clip, change.code, change.reason);
  }
}

function setSourceStart(text: string, timeline: Timeline, index: number, count: Rational): EditResult {
  const start = timeline.clips[index]?.start;
  if (start === null || start === undefined) return refused('The clip has no readable EntryPoint to change.');
  if (!isInteger(count)) {
    return refused(
      `EntryPoint holds whole edit units only; ${formatRational(count)} lies between two. Give the clip or its track a finer EditRate.`,
    );
  }
  if (sign(count) < 0) {
    return refused(`EntryPoint would be ${formatRational(count)}, before the first frame or sample of the file.`);
  }
  const written = text.slice(start.span.start, start.span.end);
  if (!NUMBER.test(written)) {
    return refused(
      'The digits of EntryPoint are broken up by a comment, a CDATA section or references. Write them plainly first.',
    );
  }
  // A number that was written with leading zeros keeps its width.
  const digits = formatRational(count);
  return replaced(start.span, /^0[0-9]+$/.test(written) ? digits.padStart(written.length, '0') : digits);
}

function setRate(text: string, place: Span, rate: Rate): EditResult {
  if (!isInside(text, place)) return refused('The rate to change lies outside the text.');
  const before = text.slice(Math.max(0, place.start - LONGEST_LOOK_BACK), place.start);
  const element = START_TAG_BEFORE.exec(before)?.[1];
  if (element !== 'EditRate' && element !== 'TimecodeRate') return refused('No EditRate or TimecodeRate stands at this place.');
  if (!RATE_TEXT.test(text.slice(place.start, place.end))) {
    return refused('The digits of the rate are broken up by a comment, a CDATA section or references. Write them plainly first.');
  }
  if (element === 'EditRate') {
    const { numerator, denominator } = reduce(rate);
    return replaced(place, `${numerator} ${denominator}`);
  }
  if (!isTimecodeRate(rate)) return refused(`No timecode counts at ${rateLabel(rate)} frames per second.`);
  return replaced(place, String(nominalFramesPerSecond(rate)));
}

function isInside(text: string, place: Span): boolean {
  return place.start >= 0 && place.start <= place.end && place.end <= text.length;
}

function replaced(place: Span, newText: string): EditResult {
  return { ok: true, edits: [{ span: place, newText }] };
}

function refused(reason: string): EditResult {
  return { ok: false, reason };
}
