/**
 * The characters of a change: the smallest edits to an OTIO text.
 *
 * A number keeps its style: `123` stays whole, `123.0` keeps its point, so that a diff shows the change and nothing else.
 */

import type { Span } from '../../text/span.ts';
import { type Rate, rateLabel, snapRate } from '../../time/rate.ts';
import { equals, formatExactDecimal, parseDecimal, type Rational, toNumber } from '../../time/rational.ts';
import type { Timeline } from '../../timeline/model.ts';
import type { Change, EditResult } from '../timelineFormat.ts';
import { acceptanceEdits } from './otioAcceptEdit.ts';

export function otioEditsFor(text: string, timeline: Timeline, change: Change): EditResult {
  switch (change.kind) {
    case 'set-source-start':
      return sourceStartEdits(text, timeline, change.clip, change.count);
    case 'set-rate':
      return rateEdits(text, change.span, change.rate);
    case 'replace':
      return isInside(text, change.span)
        ? replacing(change.span, change.newText)
        : refuse('The place to change is not in this text any more.');
    case 'accept':
      return acceptanceEdits(text, timeline, change);
  }
}

function sourceStartEdits(text: string, timeline: Timeline, clipIndex: number, count: Rational): EditResult {
  const clip = timeline.clips[clipIndex];
  if (clip === undefined) return refuse('The clip is not in this timeline any more.');
  if (clip.start === null) {
    return refuse('This clip has no source_range of its own, so there is no number to change: it starts where its media starts.');
  }
  const decimal = formatExactDecimal(count);
  if (decimal === null)
    return refuse('The new start has no finite decimal at the rate of this clip; choose a grid, such as whole frames.');
  return replacing(clip.start.span, inStyleOf(text.slice(clip.start.span.start, clip.start.span.end), decimal));
}

function rateEdits(text: string, place: Span, rate: Rate): EditResult {
  if (!isInside(text, place)) return refuse('The place to change is not in this text any more.');
  // The nearest double in its shortest spelling is what OTIO's own writers put there: 23.976023976023978.
  const shortest = String(toNumber(rate));
  const decimal = parseDecimal(shortest);
  const snapped = decimal === null ? null : snapRate(decimal);
  if (snapped === null || !equals(snapped.rate, rate)) {
    return refuse(`${rateLabel(rate)} frames per second cannot be written as a decimal that reads back as the same rate.`);
  }
  return replacing(place, inStyleOf(text.slice(place.start, place.end), shortest));
}

/** `decimal` with a point when what it replaces was written as a fraction or with an exponent. */
function inStyleOf(written: string, decimal: string): string {
  const isWhole = !/[.eE]/.test(decimal);
  return isWhole && /[.eE]/.test(written) ? `${decimal}.0` : decimal;
}

function isInside(text: string, place: Span): boolean {
  return place.start >= 0 && place.start <= place.end && place.end <= text.length;
}

function replacing(span: Span, newText: string): EditResult {
  return { ok: true, edits: [{ span, newText }] };
}

function refuse(reason: string): EditResult {
  return { ok: false, reason };
}
