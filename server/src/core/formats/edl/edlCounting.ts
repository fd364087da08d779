/**
 * Frame numbers of every label of a list: which counting mode each label is in, and what does not fit.
 *
 * Custom, not a standard, decides the mode (common practice):
 * - Record labels share one mode. Where most of them carry drop-frame separators they are believed, even against the FCM line,
 *   and the contradiction is said. Otherwise the first FCM line decides if it stands above the first event; else they are non-drop.
 * - Source labels: a drop-frame separator decides. Plain colons mean non-drop in a list that marks its record labels; in any
 *   other list they mean nothing, and the FCM line in force decides.
 * - Every later FCM line speaks of the sources that follow. If record times then stop being continuous and reading them
 *   in the new mode makes them continuous, it spoke of the record times too.
 *
 * A label that drop-frame counting skips is read as the next one that exists, so that writing that one changes nothing else.
 * A label with a field past its largest value is read by plain counting and marked unusable.
 */

import {
  BARE_NUMBER,
  CLOCK_OVERFLOW,
  type EdlTape,
  EVENT_ROW,
  FRAME_FIELD,
  LABEL,
  LABEL_ROW,
  labelRow,
  labelSpan,
  lineSpan,
  MARKED_DROP,
  valueSpan,
} from '../../syntax/edl/edlTape.ts';
import { type Span, textOf } from '../../text/span.ts';
import { droppedLabelsPerMinute, nominalFramesPerSecond, type Rate } from '../../time/rate.ts';
import { countLabel, isSkippedLabel, type LabelCounting, labelCounting } from '../../time/timecode.ts';
import { isMostlyMarked, type LabelEvidence, statedMode } from './edlRate.ts';

/** Trouble with one label, as a bit: several may meet on one. */
export const TROUBLE = {
  /** The frame field is not below the nominal rate. */
  frameField: 1,
  /** Hours above 23, minutes or seconds above 59. */
  clockField: 2,
  skipped: 4,
  /** Its separator says the other mode than its fellows. */
  mixed: 8,
} as const;

export interface EdlCounting {
  /** Four per event, in column order. Whole frames from 00:00:00:00. */
  readonly frames: Int32Array | Float64Array;
  /** `TROUBLE` bits, four per event. */
  readonly troubles: Uint8Array;
  /** Modes of an event's labels: 1 when drop-frame. */
  readonly sourceIsDrop: Uint8Array;
  readonly recordIsDrop: Uint8Array;
  /** The mode record time starts in. */
  readonly isDropFrame: boolean;
  readonly notes: readonly CountingNote[];
}

/** Something about the list as a whole. */
type CountingNote =
  | { readonly kind: 'no-drop-frame-at-rate'; readonly span: Span; readonly isOnModeLine: boolean }
  | { readonly kind: 'separators-against-mode-line'; readonly span: Span }
  | { readonly kind: 'plain-sources'; readonly span: Span }
  | { readonly kind: 'record-mode-changes'; readonly span: Span; readonly isDropFrame: boolean }
  | { readonly kind: 'unknown-mode'; readonly span: Span };

/** A hundred labelled hours, and a day more, stay below 2^31 frames. */
const LARGEST_SMALL_RATE = 4000;

interface ModeLine {
  readonly line: number;
  readonly span: Span;
  readonly isDrop: boolean;
}

/** What holds for the list as a whole. */
interface ListModes {
  readonly modeLines: readonly ModeLine[];
  /** The first FCM line, when it stands above the first event. */
  readonly header: ModeLine | null;
  /** False at rates that have no drop-frame counting. */
  readonly canDrop: boolean;
  readonly hasMarks: boolean;
  /** Most record labels carry drop-frame separators, so that a plain colon means something too. */
  readonly isMarkedList: boolean;
  readonly isDropFrame: boolean;
  readonly plain: LabelCounting;
  readonly drop: LabelCounting;
}

export function countLabels(tape: EdlTape, rate: Rate, evidence: LabelEvidence): EdlCounting {
  const { events, eventCount } = tape;
  const notes: CountingNote[] = [];
  const modes = readModes(tape, rate, evidence, notes);
  const { modeLines, header, canDrop, isMarkedList, isDropFrame, plain, drop } = modes;
  const counted: EdlCounting = {
    frames: frameArray(rate, eventCount * 4),
    troubles: new Uint8Array(eventCount * 4),
    sourceIsDrop: new Uint8Array(eventCount),
    recordIsDrop: new Uint8Array(eventCount),
    isDropFrame,
    notes,
  };
  let isRecordDrop = isDropFrame;
  let nextMode = header === null ? 0 : 1;
  let isStatedDrop = header?.isDrop ?? isDropFrame;
  let recordOut = -1;
  for (let event = 0; event < eventCount; event += 1) {
    const labels = event * EVENT_ROW.size + EVENT_ROW.labels;
    const change = lastModeBefore(modeLines, nextMode, events[event * EVENT_ROW.size + EVENT_ROW.line] as number);
    if (change !== null) {
      nextMode = change.index + 1;
      isStatedDrop = change.mode.isDrop;
      if (canDrop && isStatedDrop !== isRecordDrop && event > 0) {
        const recordIn = labels + LABEL.recordIn * LABEL_ROW.size;
        const asBefore = frameOf(events, recordIn, isRecordDrop ? drop : plain);
        const asStated = frameOf(events, recordIn, isStatedDrop ? drop : plain);
        if (asBefore !== recordOut && asStated === recordOut) {
          isRecordDrop = isStatedDrop;
          notes.push({ kind: 'record-mode-changes', span: change.mode.span, isDropFrame: isRecordDrop });
        }
      }
    }
    const isSourceMarked = ((events[labels + LABEL_ROW.framesAndFlags] as number) & MARKED_DROP) !== 0;
    // What a plain colon means for the sources here.
    const isPlainDrop = isStatedDrop && !isMarkedList;
    const isSourceDrop = canDrop && (isSourceMarked || isPlainDrop);
    counted.sourceIsDrop[event] = isSourceDrop ? 1 : 0;
    counted.recordIsDrop[event] = isRecordDrop ? 1 : 0;
    for (let label = 0; label < 4; label += 1) {
      countLabelRow(tape, modes, event, label, label < 2 ? isSourceDrop : isRecordDrop, isPlainDrop, counted);
    }
    recordOut = counted.frames[event * 4 + LABEL.recordOut] as number;
  }
  return counted;
}

function readModes(tape: EdlTape, rate: Rate, evidence: LabelEvidence, notes: CountingNote[]): ListModes {
  const { events, eventCount } = tape;
  const modeLines = readModeLines(tape, notes);
  const canDrop = droppedLabelsPerMinute(rate) > 0;
  const first = modeLines[0];
  const header = first !== undefined && eventCount > 0 && first.line < (events[EVENT_ROW.line] as number) ? first : null;
  const hasMarks = evidence.markedSource + evidence.markedRecord > 0;
  const isMarkedList = isMostlyMarked(evidence);
  if (!canDrop) noteImpossibleMode(tape, modeLines, hasMarks, notes);
  else if (isMarkedList) {
    if (header !== null && !header.isDrop) notes.push({ kind: 'separators-against-mode-line', span: header.span });
    if (evidence.markedSource === 0) notes.push({ kind: 'plain-sources', span: labelSpan(tape, 0, LABEL.sourceIn) });
  }
  return {
    modeLines,
    header,
    canDrop,
    hasMarks,
    isMarkedList,
    isDropFrame: canDrop && (isMarkedList || header?.isDrop === true),
    plain: labelCounting(rate, false),
    drop: labelCounting(rate, true),
  };
}

/** Counts one label into `counted`, with its troubles. */
function countLabelRow(
  tape: EdlTape,
  modes: ListModes,
  event: number,
  label: number,
  isDrop: boolean,
  isPlainDrop: boolean,
  counted: EdlCounting,
): void {
  const row = labelRow(event, label);
  const field = tape.events[row + LABEL_ROW.framesAndFlags] as number;
  const seconds = tape.events[row + LABEL_ROW.seconds] as number;
  const at = event * 4 + label;
  if ((field & BARE_NUMBER) !== 0) {
    counted.frames[at] = seconds;
    return;
  }
  const counting = isDrop ? modes.drop : modes.plain;
  const frames = field & FRAME_FIELD;
  let trouble = frames >= counting.nominal ? TROUBLE.frameField : 0;
  if ((field & CLOCK_OVERFLOW) !== 0) trouble |= TROUBLE.clockField;
  const isSkipped = isDrop && trouble === 0 && isSkippedLabel(counting, seconds, frames);
  if (isSkipped) trouble |= TROUBLE.skipped;
  if (modes.canDrop && modes.hasMarks && isAgainstItsFellows(field, label, isDrop, isPlainDrop, modes.isMarkedList)) {
    trouble |= TROUBLE.mixed;
  }
  counted.frames[at] = countLabel(counting, seconds, isSkipped ? counting.dropped : frames);
  if (trouble !== 0) counted.troubles[at] = trouble;
}

/** Small integers are cheap to keep; a rate beyond any timecode needs the room of doubles, which are exact to 2^53. */
export function frameArray(rate: Rate, length: number): Int32Array | Float64Array {
  return nominalFramesPerSecond(rate) <= LARGEST_SMALL_RATE ? new Int32Array(length) : new Float64Array(length);
}

/** The last of the FCM lines from index `from` on that stands above `line`; null when there is none. */
function lastModeBefore(
  modes: readonly ModeLine[],
  from: number,
  line: number,
): { readonly index: number; readonly mode: ModeLine } | null {
  let found: { index: number; mode: ModeLine } | null = null;
  for (let index = from; index < modes.length; index += 1) {
    const mode = modes[index] as ModeLine;
    if (mode.line > line) break;
    found = { index, mode };
  }
  return found;
}

/**
 * A label is against its fellows when its own separator says another mode than they are read in: the record labels of the
 * list, or the source in of its event. A plain colon says something only where labels are marked.
 */
function isAgainstItsFellows(
  field: number,
  label: number,
  isDrop: boolean,
  isPlainDrop: boolean,
  isMarkedList: boolean,
): boolean {
  const isMarked = (field & MARKED_DROP) !== 0;
  if (label < 2) return (isMarked || isPlainDrop) !== isDrop;
  return isMarked ? !isDrop : isDrop && isMarkedList;
}

/** The frame number of a label row, a skipped label read as the next; null when a field is past its largest value. */
export function usableFrame(events: Int32Array, row: number, counting: LabelCounting): number | null {
  const field = events[row + LABEL_ROW.framesAndFlags] as number;
  const frames = field & FRAME_FIELD;
  if ((field & BARE_NUMBER) === 0 && ((field & CLOCK_OVERFLOW) !== 0 || frames >= counting.nominal)) return null;
  const seconds = events[row + LABEL_ROW.seconds] as number;
  const isSkipped = (field & BARE_NUMBER) === 0 && isSkippedLabel(counting, seconds, frames);
  return isSkipped ? countLabel(counting, seconds, counting.dropped) : frameOf(events, row, counting);
}

function frameOf(events: Int32Array, row: number, counting: LabelCounting): number {
  const field = events[row + LABEL_ROW.framesAndFlags] as number;
  const seconds = events[row + LABEL_ROW.seconds] as number;
  return (field & BARE_NUMBER) !== 0 ? seconds : countLabel(counting, seconds, field & FRAME_FIELD);
}

function readModeLines(tape: EdlTape, notes: CountingNote[]): readonly ModeLine[] {
  const modes: ModeLine[] = [];
  for (const line of tape.modeLines) {
    const place = valueSpan(tape, line);
    const mode = statedMode(textOf(tape.text, place));
    if (mode === null) notes.push({ kind: 'unknown-mode', span: place.start < place.end ? place : lineSpan(tape, line) });
    else modes.push({ line, span: place, isDrop: mode === 'drop' });
  }
  return modes;
}

/** Drop-frame counting asked for at a rate that has none: said once, on the FCM line or on the first marked label. */
function noteImpossibleMode(tape: EdlTape, modeLines: readonly ModeLine[], hasMarks: boolean, notes: CountingNote[]): void {
  const stated = modeLines.filter((mode) => mode.isDrop);
  for (const mode of stated) notes.push({ kind: 'no-drop-frame-at-rate', span: mode.span, isOnModeLine: true });
  if (stated.length > 0 || !hasMarks) return;
  for (let event = 0; event < tape.eventCount; event += 1) {
    for (let label = 0; label < 4; label += 1) {
      const field = tape.events[labelRow(event, label) + LABEL_ROW.framesAndFlags] as number;
      if ((field & MARKED_DROP) === 0) continue;
      notes.push({ kind: 'no-drop-frame-at-rate', span: labelSpan(tape, event, label), isOnModeLine: false });
      return;
    }
  }
}
