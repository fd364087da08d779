/**
 * M2 lines: reel, speed, trigger timecode. `M2   REEL   [-]fff.f   hh:mm:ss:ff`
 */

import { type EdlTape, EVENT_ROW, lineSpan, valueSpan } from '../../syntax/edl/edlTape.ts';
import { type Span, span, textOf } from '../../text/span.ts';

export interface Motion {
  readonly reel: string;
  readonly speed: string;
  readonly speedSpan: Span;
  /** Null when the line has no trigger. */
  readonly trigger: string | null;
  readonly triggerSpan: Span | null;
  readonly span: Span;
}

/** A longer M2 line is something else, and not worth cutting into words. */
const LONGEST_LINE = 1000;
const SPEED = /^[+-]?\d{1,5}(?:\.\d{0,6})?$/;
const TRIGGER = /^\d{1,2}[:;.,]\d\d[:;.,]\d\d[:;.,]\d{2,3}$/;

/** Reads an M2 line from the right, since reels may hold blanks; null when it has no speed. */
export function readMotion(tape: EdlTape, line: number): Motion | null {
  const value = valueSpan(tape, line);
  if (value.end - value.start > LONGEST_LINE) return null;
  const words = [...textOf(tape.text, value).matchAll(/\S+/g)].map((match) => ({
    text: match[0],
    place: span(value.start + match.index, value.start + match.index + match[0].length),
  }));
  let last = words.length - 1;
  const beforeLast = words[last - 1];
  const end = words[last];
  if (end === undefined) return null;
  // A bare frame number may be the trigger too, but only behind a speed.
  const hasTrigger =
    TRIGGER.test(end.text) ||
    (beforeLast !== undefined && words.length > 2 && /^\d+$/.test(end.text) && SPEED.test(beforeLast.text));
  if (hasTrigger) last -= 1;
  const speed = words[last];
  if (speed === undefined || !SPEED.test(speed.text)) return null;
  const first = words[0];
  const reelEnd = words[last - 1];
  return {
    reel: first !== undefined && reelEnd !== undefined ? tape.text.slice(first.place.start, reelEnd.place.end) : '',
    speed: speed.text,
    speedSpan: speed.place,
    trigger: hasTrigger ? end.text : null,
    triggerSpan: hasTrigger ? end.place : null,
    span: lineSpan(tape, line),
  };
}

/** True when two reel names can be one: lists cut them short to different widths. */
export function isSameReel(left: string, right: string): boolean {
  const a = left.toUpperCase();
  const b = right.toUpperCase();
  return a === b || (a.length >= 3 && b.length >= 3 && (a.startsWith(b) || b.startsWith(a)));
}

/** The motion lines of a transition, shared out between its two sides: by reel, and by order where the reels are one. */
export function shareMotions(
  motions: readonly Motion[],
  incomingReel: string,
  outgoingReel: string,
): { readonly incoming: Motion | null; readonly outgoing: Motion | null } {
  const isOneReel = isSameReel(incomingReel, outgoingReel);
  const [first, second] = motions;
  if (isOneReel && second !== undefined) return { outgoing: first ?? null, incoming: second };
  const outgoing = isOneReel ? undefined : motions.find((motion) => isSameReel(motion.reel, outgoingReel));
  const incoming = motions.find((motion) => motion !== outgoing && isSameReel(motion.reel, incomingReel));
  return { incoming: incoming ?? motions.find((motion) => motion !== outgoing) ?? null, outgoing: outgoing ?? null };
}

export function reelText(tape: EdlTape, event: number): string {
  const row = event * EVENT_ROW.size;
  return tape.text.slice(tape.events[row + EVENT_ROW.reelStart], tape.events[row + EVENT_ROW.reelEnd]);
}
