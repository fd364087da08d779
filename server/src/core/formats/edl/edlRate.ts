/**
 * The frame rate of a list. An EDL holds none, so it is decided, and the reason is said.
 *
 * Order (DESIGN of the settings): `edlRate`; the rate all pictures of the report share; drop-frame counting, which exists at
 * 29.97 and 59.94 only; the highest frame field seen; 24. Frame fields can't tell 23.976 from 24, 29.97 non-drop from 30,
 * or 59.94 from 60: at 3.6 s per hour between them, the reason says so, since only a person knows.
 */

import {
  BARE_NUMBER,
  type EdlTape,
  EVENT_ROW,
  FRAME_FIELD,
  LABEL_ROW,
  MARKED_DROP,
  valueSpan,
} from '../../syntax/edl/edlTape.ts';
import { textOf } from '../../text/span.ts';
import { type Rate, rateLabel } from '../../time/rate.ts';
import { rational } from '../../time/rational.ts';
import type { ReadOptions } from '../timelineFormat.ts';

export interface DecidedRate {
  readonly rate: Rate;
  /** A phrase for people. */
  readonly reason: string;
}

/** What the labels of a list say about its counting. */
export interface LabelEvidence {
  /** -1 when the list has no timecode. */
  readonly highestFrameField: number;
  readonly recordTimecodes: number;
  /** Timecodes with a drop-frame separator, in the source and in the record columns. */
  readonly markedSource: number;
  readonly markedRecord: number;
}

export function gatherEvidence(tape: EdlTape): LabelEvidence {
  let highestFrameField = -1;
  let recordTimecodes = 0;
  let markedSource = 0;
  let markedRecord = 0;
  const { events, eventCount } = tape;
  for (let event = 0; event < eventCount; event += 1) {
    const labels = event * EVENT_ROW.size + EVENT_ROW.labels + LABEL_ROW.framesAndFlags;
    for (let label = 0; label < 4; label += 1) {
      const field = events[labels + label * LABEL_ROW.size] as number;
      if ((field & BARE_NUMBER) !== 0) continue;
      if (label >= 2) recordTimecodes += 1;
      const frames = field & FRAME_FIELD;
      if (frames > highestFrameField) highestFrameField = frames;
      if ((field & MARKED_DROP) !== 0) {
        if (label < 2) markedSource += 1;
        else markedRecord += 1;
      }
    }
  }
  return { highestFrameField, recordTimecodes, markedSource, markedRecord };
}

/** The counting mode an FCM line states; null when its text is neither. */
export function statedMode(value: string): 'drop' | 'non-drop' | null {
  if (/\bNON|\bNDF?\b/i.test(value)) return 'non-drop';
  return /\bDROP|\bDF\b/i.test(value) ? 'drop' : null;
}

/** The first counting mode the list states; null when it states none. */
function firstStatedMode(tape: EdlTape): 'drop' | 'non-drop' | null {
  for (const line of tape.modeLines) {
    const mode = statedMode(textOf(tape.text, valueSpan(tape, line)));
    if (mode !== null) return mode;
  }
  return null;
}

export function decideRate(tape: EdlTape, evidence: LabelEvidence, options: ReadOptions): DecidedRate {
  if (options.edlRate !== null) return { rate: options.edlRate, reason: 'edlRate in afterclap.json' };
  if (options.sharedPictureRate !== null) {
    return {
      rate: options.sharedPictureRate,
      reason: `all pictures of the alignment report run at ${rateLabel(options.sharedPictureRate)}`,
    };
  }
  const highest = evidence.highestFrameField;
  const isStatedDrop = firstStatedMode(tape) === 'drop';
  if (isStatedDrop || isMarkedDropFrame(evidence)) {
    const because = isStatedDrop ? "'FCM: DROP FRAME'" : 'drop-frame separators in its timecodes';
    return highest >= 30
      ? { rate: rational(60000, 1001), reason: `59.94, because of ${because} and frame fields up to ${highest}` }
      : { rate: rational(30000, 1001), reason: `29.97, because of ${because}` };
  }
  if (highest < 0)
    return { rate: rational(24), reason: 'nothing in the list tells a rate, so 24 is assumed; set edlRate to be sure' };
  return rateOfField(highest);
}

/** True when at least half of the record labels carry drop-frame separators. */
export function isMostlyMarked(evidence: LabelEvidence): boolean {
  return evidence.markedRecord > 0 && evidence.markedRecord * 2 >= evidence.recordTimecodes;
}

/**
 * Most of its timecodes are marked drop-frame. Some writers use semicolons at any rate, so in a list with many timecodes
 * of which none reaches frame field 25 the marks mean nothing (by chance alone that would be less likely than 1 in 1,000).
 */
function isMarkedDropFrame(evidence: LabelEvidence): boolean {
  return isMostlyMarked(evidence) && (evidence.highestFrameField >= 25 || evidence.recordTimecodes < 20);
}

/** The lowest usual rate whose labels reach the frame field `highest`. */
export function rateOfField(highest: number): DecidedRate {
  const [rate, doubt] =
    highest <= 23
      ? [24, '23.976 is written the same way']
      : highest === 24
        ? [25, null]
        : highest <= 29
          ? [30, '29.97 non-drop is written the same way']
          : highest <= 49
            ? [50, '47.952 and 48 are written the same way up to 47']
            : [60, '59.94 non-drop is written the same way'];
  const caution = doubt === null ? '' : `; ${doubt}, so set edlRate if it is that`;
  return { rate: rational(rate as number), reason: `the highest frame field is ${highest}, which fits ${rate}${caution}` };
}
