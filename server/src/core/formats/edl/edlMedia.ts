/**
 * Which media an event shows, from its reel column and the comments below it.
 *
 * Practice: the reel column is cut short or says AX, so the file is named in comments: FROM CLIP NAME for the clip, SOURCE FILE,
 * FROM FILE and FROM CLIP for the file. In a dissolve FROM means the outgoing side and TO the incoming one, unless the outgoing line has
 * comments of its own or is black; then FROM on the second line can only mean that line.
 */

import { EDIT, type EdlTape, EVENT_ROW, valueSpan } from '../../syntax/edl/edlTape.ts';
import { type Span, span, textOf } from '../../text/span.ts';
import { type Attachments, namesMedia } from './edlAttachments.ts';
import { EdlMedia, type ReelKind } from './edlClip.ts';

export interface Reel {
  /** As written. */
  readonly text: string;
  readonly kind: ReelKind;
}

const GENERATORS = new Set(['BL', 'BLACK', 'BARS']);
const AUXILIARY = new Set(['AX', '']);

export function readReel(text: string): Reel {
  const upper = text.toUpperCase();
  const kind = GENERATORS.has(upper) ? 'generator' : AUXILIARY.has(upper) ? 'auxiliary' : 'tape';
  return { text, kind };
}

/** The other side of a dissolve or wipe, as far as its zero-length line tells. */
export interface OutgoingLine {
  readonly reel: Reel;
  readonly attachments: Attachments;
}

export function mediaOfEvent(
  tape: EdlTape,
  event: number,
  reel: Reel,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
): EdlMedia {
  const type = tape.events[event * EVENT_ROW.size + EVENT_ROW.type] as number;
  const isTransition = type === EDIT.dissolve || type === EDIT.wipe;
  const nameLine = isTransition ? incomingName(tape, attachments, outgoing) : ownName(tape, type, attachments);
  const urlLine = isTransition ? incomingUrl(tape, reel, attachments, outgoing) : ownUrl(tape, attachments);
  const name = nameLine < 0 ? null : filled(valueSpan(tape, nameLine));
  const url = urlLine < 0 ? urlOfReel(tape, attachments, reel) : filled(valueSpan(tape, urlLine));
  const fullReel = reel.kind === 'tape' && attachments.fullReel >= 0 ? filled(valueSpan(tape, attachments.fullReel)) : null;
  return new EdlMedia(tape.text, reel.kind, fullReel ?? reelSpan(tape, event), name, url);
}

/** The reel column; empty when the line has none. */
function reelSpan(tape: EdlTape, event: number): Span {
  const row = event * EVENT_ROW.size;
  return span(tape.events[row + EVENT_ROW.reelStart] as number, tape.events[row + EVENT_ROW.reelEnd] as number);
}

/** The line with the clip name of a cut or key, or -1. A FROM CLIP that is no path serves as a name. */
function ownName(tape: EdlTape, type: number, attachments: Attachments): number {
  const isKey = type === EDIT.keyForeground || type === EDIT.keyOut;
  if (isKey && attachments.keyClipName >= 0) return attachments.keyClipName;
  if (attachments.fromClipName >= 0) return attachments.fromClipName;
  return isPathLine(tape, attachments.fromClip) ? -1 : attachments.fromClip;
}

/** The line with the file of a cut or key, or -1. */
function ownUrl(tape: EdlTape, attachments: Attachments): number {
  if (attachments.sourceFile >= 0) return attachments.sourceFile;
  if (attachments.fromFile >= 0) return attachments.fromFile;
  return isPathLine(tape, attachments.fromClip) ? attachments.fromClip : -1;
}

function incomingName(tape: EdlTape, attachments: Attachments, outgoing: OutgoingLine | null): number {
  if (attachments.toClipName >= 0) return attachments.toClipName;
  if (attachments.toClip >= 0 && !isPathLine(tape, attachments.toClip)) return attachments.toClip;
  return fromMeansIncoming(outgoing) ? ownName(tape, EDIT.cut, attachments) : -1;
}

function incomingUrl(tape: EdlTape, reel: Reel, attachments: Attachments, outgoing: OutgoingLine | null): number {
  const { toClip, toFile, sourceFile, secondSourceFile } = attachments;
  if (toFile >= 0) return toFile;
  if (isPathLine(tape, toClip)) return toClip;
  if (secondSourceFile >= 0) return secondSourceFile;
  if (fromMeansIncoming(outgoing)) return ownUrl(tape, attachments);
  if (sourceFile < 0 || outgoing === null) return sourceFile;
  // One file for two sides: it names the outgoing one only when it starts with that reel and not with this one.
  const file = textOf(tape.text, valueSpan(tape, sourceFile)).toUpperCase();
  const starts = (other: Reel): boolean => other.kind === 'tape' && file.startsWith(other.text.toUpperCase());
  return starts(outgoing.reel) && !starts(reel) ? -1 : sourceFile;
}

/** The outgoing side is black or names itself, so FROM below the second line speaks of that line. */
function fromMeansIncoming(outgoing: OutgoingLine | null): boolean {
  return outgoing !== null && (outgoing.reel.kind === 'generator' || namesMedia(outgoing.attachments));
}

function isPathLine(tape: EdlTape, line: number): boolean {
  return line >= 0 && looksLikePath(textOf(tape.text, valueSpan(tape, line)));
}

/** `* REEL name IS file` names a file when `name` is the event's own reel. */
function urlOfReel(tape: EdlTape, attachments: Attachments, reel: Reel): Span | null {
  if (attachments.reelFile < 0) return null;
  const place = valueSpan(tape, attachments.reelFile);
  const match = /^(.+?)\s+IS\s+(?=\S)/i.exec(textOf(tape.text, place));
  if (match === null || (match[1] as string).toUpperCase() !== reel.text.toUpperCase()) return null;
  return span(place.start + match[0].length, place.end);
}

function looksLikePath(text: string): boolean {
  return /[/\\]|^[a-z][a-z0-9+.-]*:|\.[a-z0-9]{1,5}$/i.test(text);
}

function filled(place: Span): Span | null {
  return place.start < place.end ? place : null;
}
