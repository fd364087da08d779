/**
 * The text edits of a change to a list: only the characters of the labels concerned, in their own style.
 *
 * A slip keeps the length of the source, so source in and source out move together, and with them whatever repeats them: the
 * M2 trigger that names the source in, and the first line of a dissolve that names the source out. Nothing else is touched.
 */

import {
  EDIT,
  type EdlTape,
  EVENT_ROW,
  LABEL,
  LABEL_ROW,
  LINE,
  labelRow,
  labelSpan,
  lineKind,
} from '../../syntax/edl/edlTape.ts';
import { NO_LABEL, readLabel } from '../../syntax/edl/readLabel.ts';
import { scanEdl } from '../../syntax/edl/scanEdl.ts';
import { textUnits } from '../../syntax/json/textUnits.ts';
import { type Span, span, textOf } from '../../text/span.ts';
import type { TextEdit } from '../../text/textEdit.ts';
import { rateLabel } from '../../time/rate.ts';
import { equals, floor, isInteger, type Rational, sign } from '../../time/rational.ts';
import { framesPerDay, type LabelCounting, labelCounting } from '../../time/timecode.ts';
import type { Clip, Timeline, WrittenTime } from '../../timeline/model.ts';
import type { Change, EditResult } from '../timelineFormat.ts';
import { usableFrame } from './edlCounting.ts';
import { writeLabelLike } from './edlLabel.ts';
import { isSameReel, readMotion, reelText } from './edlMotion.ts';

export function editsForEdl(text: string, timeline: Timeline, change: Change): EditResult {
  switch (change.kind) {
    case 'set-source-start':
      return setSourceStart(text, timeline, change.clip, change.count);
    case 'set-rate':
      return refused('An edit decision list holds no frame rate. Set edlRate in afterclap.json instead.');
    case 'replace':
      return isInside(text, change.span)
        ? { ok: true, edits: [{ span: change.span, newText: change.newText }] }
        : refused('The place to change is not in this text any more.');
    case 'accept':
      return accept(text, timeline, change.clip, change.code, change.reason);
  }
}

/** Part of a list, scanned apart; `offset` takes its places back to the whole text. */
interface Part {
  readonly tape: EdlTape;
  readonly offset: number;
}

interface Slip {
  readonly start: WrittenTime;
  readonly counting: LabelCounting;
  readonly oldIn: number;
  readonly newIn: number;
  readonly oldOut: number;
  readonly newOut: number;
}

function setSourceStart(text: string, timeline: Timeline, clipIndex: number, count: Rational): EditResult {
  const clip = timeline.clips[clipIndex];
  if (clip === undefined || clip.start === null)
    return refused('Nothing in this list says where the source of that clip starts.');
  if (!isInteger(count)) return refused('An edit decision list holds whole frames only, and this start lies between two.');
  if (sign(count) < 0) return refused('The source would have to start before 00:00:00:00.');
  const part = scanPart(text, clip.span);
  if (part.tape.eventCount === 0) return refused('The event is not in this text any more.');
  const slip = workOutSlip(part, clip, clip.start, Number(floor(count)));
  if (typeof slip === 'string') return refused(slip);
  const edits: TextEdit[] = [];
  moveLabel(part, 0, LABEL.sourceIn, slip.newIn, slip, edits);
  moveLabel(part, 0, LABEL.sourceOut, slip.newOut, slip, edits);
  moveTriggers(part, reelText(part.tape, 0), slip.oldIn, slip.newIn, slip, edits);
  for (const place of followingTransitions(timeline, clip)) moveOutgoingLine(scanPart(text, place), part, slip, edits);
  return { ok: true, edits };
}

/** Old and new ends of the source; a sentence when the labels can't hold the new ones. */
function workOutSlip(part: Part, clip: Clip, start: WrittenTime, newIn: number): Slip | string {
  const isDropFrame = start.isDropFrame === true;
  const counting = labelCounting(start.rate, isDropFrame);
  const { events } = part.tape;
  const oldIn = usableFrame(events, labelRow(0, LABEL.sourceIn), counting);
  const oldOut = usableFrame(events, labelRow(0, LABEL.sourceOut), counting);
  if (oldIn === null || oldOut === null) {
    return `The source labels of this event do not exist at ${rateLabel(start.rate)} frames per second; correct them or the rate first.`;
  }
  let newOut = oldOut + newIn - oldIn;
  if (isBareNumber(part, LABEL.sourceIn) || isBareNumber(part, LABEL.sourceOut)) {
    return newOut < 0 ? 'The source would have to end before frame 0.' : { start, counting, oldIn, newIn, oldOut, newOut };
  }
  const day = framesPerDay(start.rate, isDropFrame);
  if (newIn >= day) return 'The source would have to start after the last timecode of the day.';
  const isBackwards = clip.speed.kind === 'constant' && sign(clip.speed.scalar) < 0;
  if (newOut < 0 && isBackwards) return 'The source would have to end before 00:00:00:00.';
  newOut = ((newOut % day) + day) % day;
  return { start, counting, oldIn, newIn, oldOut, newOut };
}

function moveLabel(part: Part, event: number, label: number, frame: number, slip: Slip, edits: TextEdit[]): void {
  pushLabel(part, labelSpan(part.tape, event, label), frame, slip, edits);
}

function pushLabel(part: Part, place: Span, frame: number, slip: Slip, edits: TextEdit[]): void {
  const written = textOf(part.tape.text, place);
  const newText = writeLabelLike(written, frame, slip.start.rate, slip.start.isDropFrame === true);
  if (newText === null || newText === written) return;
  edits.push({ span: span(place.start + part.offset, place.end + part.offset), newText });
}

/** M2 triggers normally repeat the source in of their event (common practice); those that do are kept so. */
function moveTriggers(part: Part, reel: string, oldFrame: number, newFrame: number, slip: Slip, edits: TextEdit[]): void {
  const { tape } = part;
  for (let line = 0; line < tape.lineCount; line += 1) {
    if (lineKind(tape, line) !== LINE.motion) continue;
    const motion = readMotion(tape, line);
    if (motion === null || motion.triggerSpan === null || !isSameReel(motion.reel, reel)) continue;
    if (frameOfWord(motion.trigger ?? '', slip.counting) === oldFrame) pushLabel(part, motion.triggerSpan, newFrame, slip, edits);
  }
}

/** Places of the transitions under which this event's clips go on. A line's channels move together, so all of them are asked. */
function followingTransitions(timeline: Timeline, clip: Clip): readonly Span[] {
  const tracks = new Set<number>();
  const { clips } = timeline;
  for (let index = clip.index; clips[index]?.textGroup === clip.textGroup; index -= 1) tracks.add(clips[index]?.track ?? -1);
  for (let index = clip.index + 1; clips[index]?.textGroup === clip.textGroup; index += 1) tracks.add(clips[index]?.track ?? -1);
  const places = timeline.transitions
    .filter((transition) => tracks.has(transition.track) && equals(transition.at, clip.record.end))
    .map((transition) => transition.span);
  return places.filter((place, index) => places.findIndex((other) => other.start === place.start) === index);
}

/**
 * The first line of a dissolve repeats where its outgoing source ends: source in = source out = source out of the clip before.
 * When that clip slips, the line would contradict it, so a line that agreed before moves along; one that did not is left alone.
 */
function moveOutgoingLine(part: Part, moved: Part, slip: Slip, edits: TextEdit[]): void {
  const { tape } = part;
  if (tape.eventCount < 2 || tape.events[EVENT_ROW.type] !== EDIT.cut) return;
  const reel = reelText(tape, 0);
  if (!isSameReel(reel, reelText(moved.tape, 0))) return;
  const sourceIn = usableFrame(tape.events, labelRow(0, LABEL.sourceIn), slip.counting);
  const sourceOut = usableFrame(tape.events, labelRow(0, LABEL.sourceOut), slip.counting);
  if (sourceIn !== slip.oldOut || sourceOut !== slip.oldOut) return;
  moveLabel(part, 0, LABEL.sourceIn, slip.newOut, slip, edits);
  moveLabel(part, 0, LABEL.sourceOut, slip.newOut, slip, edits);
  moveTriggers(part, reel, slip.oldOut, slip.newOut, slip, edits);
}

/** A comment line below the event, in the list's own line ending. */
function accept(text: string, timeline: Timeline, clipIndex: number, code: string, reason: string): EditResult {
  const clip = timeline.clips[clipIndex];
  if (clip === undefined || !isInside(text, clip.span)) return refused('The event is not in this text any more.');
  let at = clip.span.end;
  while (at < text.length && !'\r\n\x1a'.includes(text.charAt(at))) at += 1;
  const oneLine = reason.replace(/[\s\p{Cc}]+/gu, ' ').trim();
  return { ok: true, edits: [{ span: span(at, at), newText: `${lineEnding(text, at)}* AFTERCLAP ACCEPT ${code}: ${oneLine}` }] };
}

/** The line ending at `at`; at the end of the text, the first one of the list. */
function lineEnding(text: string, at: number): string {
  const here = /^\r\n|^[\r\n]/.exec(text.slice(at, at + 2));
  return here?.[0] ?? /\r\n|[\r\n]/.exec(text)?.[0] ?? '\n';
}

function scanPart(text: string, place: Span): Part {
  return { tape: scanEdl(text.slice(place.start, place.end)), offset: place.start };
}

function isBareNumber(part: Part, label: number): boolean {
  return /^\d+$/.test(textOf(part.tape.text, labelSpan(part.tape, 0, label)));
}

function frameOfWord(word: string, counting: LabelCounting): number | null {
  const row = new Int32Array(LABEL_ROW.size);
  return readLabel(textUnits(word), 0, word.length, row, 0) === NO_LABEL ? null : usableFrame(row, 0, counting);
}

function isInside(text: string, place: Span): boolean {
  return place.start >= 0 && place.start <= place.end && place.end <= text.length;
}

function refused(reason: string): EditResult {
  return { ok: false, reason };
}
