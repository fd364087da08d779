/**
 * Which media an event shows, from its reel column and the comments below it.
 *
 * Practice: the reel column is cut short or says AX, so the file is named in comments: FROM CLIP NAME for the clip, SOURCE FILE,
 * FROM FILE and FROM CLIP for the file. In a dissolve FROM means the outgoing side and TO the incoming one, unless the outgoing line has
 * comments of its own or is black; then FROM on the second line can only mean that line.
 */

import { EDIT, type EdlTape, EVENT_ROW, LINE_ROW, valueSpan } from '../../syntax/edl/edlTape.ts';
import { type Span, span, textOf } from '../../text/span.ts';
import { type Attachments, namesMedia } from './edlAttachments.ts';
import { EdlMedia, type ReelKind } from './edlClip.ts';
import { reelText } from './edlMotion.ts';

const GENERATORS = new Set(['BL', 'BLACK', 'BARS']);
const LONGEST_SPECIAL_REEL = 5;

/** Longer names of reels are not looked for; a search without a limit is slow on a line of blanks. */
const LONGEST_REEL = 512;

/** What the reel column of an event says. */
export function reelKindOf(tape: EdlTape, event: number): ReelKind {
  const row = event * EVENT_ROW.size;
  const length = (tape.events[row + EVENT_ROW.reelEnd] as number) - (tape.events[row + EVENT_ROW.reelStart] as number);
  if (length > LONGEST_SPECIAL_REEL) return 'tape';
  const reel = reelText(tape, event).toUpperCase();
  if (reel === '' || reel === 'AX') return 'auxiliary';
  return GENERATORS.has(reel) ? 'generator' : 'tape';
}

/** The other side of a dissolve or wipe, as far as its zero-length line tells. */
export interface OutgoingLine {
  readonly event: number;
  readonly reelKind: ReelKind;
  readonly attachments: Attachments;
}

export function mediaOfEvent(
  tape: EdlTape,
  event: number,
  reelKind: ReelKind,
  attachments: Attachments,
  outgoing: OutgoingLine | null,
): EdlMedia {
  const row = event * EVENT_ROW.size;
  const type = tape.events[row + EVENT_ROW.type] as number;
  const isTransition = type === EDIT.dissolve || type === EDIT.wipe;
  const name = filled(tape, isTransition ? incomingName(tape, attachments, outgoing) : ownName(tape, type, attachments));
  const url = filled(tape, isTransition ? incomingUrl(tape, event, attachments, outgoing) : ownUrl(tape, attachments));
  const fullReel = reelKind === 'tape' ? filled(tape, attachments.fullReel) : -1;
  const reelFile = url < 0 && attachments.reelFile >= 0 ? fileOfReel(tape, event, attachments.reelFile) : null;
  return new EdlMedia(
    tape.text,
    reelKind,
    fullReel < 0 ? (tape.events[row + EVENT_ROW.reelStart] as number) : valueStart(tape, fullReel),
    fullReel < 0 ? (tape.events[row + EVENT_ROW.reelEnd] as number) : lineEnd(tape, fullReel),
    name < 0 ? -1 : valueStart(tape, name),
    name < 0 ? -1 : lineEnd(tape, name),
    reelFile !== null ? reelFile.start : url < 0 ? -1 : valueStart(tape, url),
    reelFile !== null ? reelFile.end : url < 0 ? -1 : lineEnd(tape, url),
  );
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

function incomingUrl(tape: EdlTape, event: number, attachments: Attachments, outgoing: OutgoingLine | null): number {
  const { toClip, toFile, sourceFile, secondSourceFile } = attachments;
  if (toFile >= 0) return toFile;
  if (isPathLine(tape, toClip)) return toClip;
  if (secondSourceFile >= 0) return secondSourceFile;
  if (fromMeansIncoming(outgoing)) return ownUrl(tape, attachments);
  if (sourceFile < 0 || outgoing === null) return sourceFile;
  // One file for two sides: it names the outgoing one only when it starts with that reel and not with this one.
  const file = textOf(tape.text, valueSpan(tape, sourceFile)).toUpperCase();
  const starts = (other: number): boolean =>
    reelKindOf(tape, other) === 'tape' && file.startsWith(reelText(tape, other).toUpperCase());
  return starts(outgoing.event) && !starts(event) ? -1 : sourceFile;
}

/** The outgoing side is black or names itself, so FROM below the second line speaks of that line. */
function fromMeansIncoming(outgoing: OutgoingLine | null): boolean {
  return outgoing !== null && (outgoing.reelKind === 'generator' || namesMedia(outgoing.attachments));
}

function isPathLine(tape: EdlTape, line: number): boolean {
  return line >= 0 && looksLikePath(textOf(tape.text, valueSpan(tape, line)));
}

/** `* REEL name IS file` names a file when `name` is the event's own reel. */
function fileOfReel(tape: EdlTape, event: number, line: number): Span | null {
  const place = valueSpan(tape, line);
  const match = /^(.+?)\s+IS\s+(?=\S)/i.exec(tape.text.slice(place.start, Math.min(place.end, place.start + LONGEST_REEL)));
  if (match === null || (match[1] as string).toUpperCase() !== reelText(tape, event).toUpperCase()) return null;
  return span(place.start + match[0].length, place.end);
}

function looksLikePath(text: string): boolean {
  return /[/\\]|^[a-z][a-z0-9+.-]*:|\.[a-z0-9]{1,5}$/i.test(text);
}

/** `line` when something stands after its keyword, else -1. */
function filled(tape: EdlTape, line: number): number {
  return line >= 0 && valueStart(tape, line) < lineEnd(tape, line) ? line : -1;
}

function valueStart(tape: EdlTape, line: number): number {
  return tape.lines[line * LINE_ROW.size + LINE_ROW.detail] as number;
}

function lineEnd(tape: EdlTape, line: number): number {
  return tape.lines[line * LINE_ROW.size + LINE_ROW.end] as number;
}
