/**
 * An edit decision list as the scanner leaves it: rows of offsets in typed arrays, no object per line.
 *
 * A list of 20,000 events is 40,000 lines; an object with spans for each would cost more than everything done with them
 * afterwards. The arrays are read through the constants below; cold paths (one event at a time) use `labelSpan` and friends.
 *
 * Invariants
 * - Lines stand in text order, blank ones left out; events stand in text order, and `events[i]` is the i-th line of kind `event`.
 * - Every offset lies inside the text; starts are never after their ends.
 * - A label whose kind is `none` occurs only outside event rows: an event row always has four readable labels.
 */

import { type Span, span } from '../../text/span.ts';

/** What a line is. Words in capitals are those of the list itself. */
export const LINE = {
  /** TITLE: */
  title: 1,
  /** FCM: the counting mode. */
  frameCodeMode: 2,
  event: 3,
  /** A line that begins like an event and is not one. */
  brokenEvent: 4,
  /** M2: speed of the event above. */
  motion: 5,
  /** AUD: further sound channels of the event above. */
  addedSound: 6,
  /** SPLIT: AUDIO DELAY or VIDEO DELAY of the two lines below. */
  split: 7,
  /** GPI, SWM, M1, BLK, >>>: machine control. */
  control: 8,
  /** Free text before the first event. */
  header: 9,
  comment: 10,
  fromClipName: 11,
  toClipName: 12,
  keyClipName: 13,
  fromClip: 14,
  toClip: 15,
  fromFile: 16,
  toFile: 17,
  sourceFile: 18,
  /** REEL name IS file. */
  reelFile: 19,
  /** The full name of a reel that its column cuts short. */
  fullReel: 20,
  effectName: 21,
  freezeFrame: 22,
  locator: 23,
  colour: 24,
  /** AFTERCLAP ACCEPT code: reason. */
  acceptance: 25,
} as const;

export type LineKind = (typeof LINE)[keyof typeof LINE];

/** Fields of a line row. */
export const LINE_ROW = {
  kind: 0,
  /** Offset of the first character that is not blank. */
  start: 1,
  /** Offset after the last character that is not blank. */
  end: 2,
  /** Events: index of the event. Others: offset of the value after the keyword. */
  detail: 3,
  size: 4,
} as const;

/** Fields of an event row. */
export const EVENT_ROW = {
  start: 0,
  end: 1,
  numberEnd: 2,
  reelStart: 3,
  /** Equal to `reelStart` when the line has no reel. */
  reelEnd: 4,
  channelStart: 5,
  channelEnd: 6,
  type: 7,
  typeStart: 8,
  typeEnd: 9,
  /** Frames; -1 when the line has none. */
  duration: 10,
  /** Index of the line. */
  line: 11,
  /** Source in, source out, record in, record out: four label rows. */
  labels: 12,
  size: 28,
} as const;

/** Fields of a label row. */
export const LABEL_ROW = {
  start: 0,
  end: 1,
  /** Hours, minutes and seconds as seconds; the whole number when the label is a bare frame number. */
  seconds: 2,
  /** The frame field in the low bits, flags above them. */
  framesAndFlags: 3,
  size: 4,
} as const;

/** The four labels of an event, in the order of its columns. */
export const LABEL = { sourceIn: 0, sourceOut: 1, recordIn: 2, recordOut: 3 } as const;

export const FRAME_FIELD = 0xfff;
/** The label uses a drop-frame separator before its frames. */
export const MARKED_DROP = 0x1000;
/** A bare frame number instead of a timecode. */
export const BARE_NUMBER = 0x2000;
/** Hours above 23, minutes or seconds above 59. */
export const CLOCK_OVERFLOW = 0x4000;

/** Edit types. */
export const EDIT = {
  /** Not one of the known letters; read as a cut. */
  unknown: 0,
  cut: 1,
  dissolve: 2,
  wipe: 3,
  keyForeground: 4,
  keyBackground: 5,
  keyOut: 6,
} as const;

export interface EdlProblem {
  readonly span: Span;
  /** A full sentence: what is wrong here and what was expected. */
  readonly message: string;
}

export interface EdlTape {
  readonly text: string;
  /** The text as bytes, see `textUnits`. */
  readonly units: Uint8Array;
  readonly lines: Int32Array;
  readonly lineCount: number;
  readonly events: Int32Array;
  readonly eventCount: number;
  /** Indices of the FCM lines. */
  readonly modeLines: readonly number[];
  /** Where reading stopped: the length of the text, or the Ctrl-Z that ends an old list. */
  readonly end: number;
  readonly problems: readonly EdlProblem[];
}

/** Row of one of the four labels of an event. */
export function labelRow(event: number, label: number): number {
  return event * EVENT_ROW.size + EVENT_ROW.labels + label * LABEL_ROW.size;
}

export function labelSpan(tape: EdlTape, event: number, label: number): Span {
  const row = labelRow(event, label);
  return span(tape.events[row + LABEL_ROW.start] as number, tape.events[row + LABEL_ROW.end] as number);
}

export function lineSpan(tape: EdlTape, line: number): Span {
  const row = line * LINE_ROW.size;
  return span(tape.lines[row + LINE_ROW.start] as number, tape.lines[row + LINE_ROW.end] as number);
}

/** The text after the keyword of a line that is not an event. */
export function valueSpan(tape: EdlTape, line: number): Span {
  const row = line * LINE_ROW.size;
  return span(tape.lines[row + LINE_ROW.detail] as number, tape.lines[row + LINE_ROW.end] as number);
}

export function lineKind(tape: EdlTape, line: number): LineKind {
  return tape.lines[line * LINE_ROW.size] as LineKind;
}
