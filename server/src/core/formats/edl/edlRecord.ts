/**
 * Record places of all events: frames from the earliest record in, midnight unwound.
 *
 * Record timecode wraps at 24 hours. An event whose record out is smaller than its record in crosses midnight if that makes
 * it no longer than half a day; events whose record in lies more than half a day before such a one belong to the next day.
 * An event that would last longer than half a day has its columns the wrong way round: it gets no length, and is reported.
 */

import { BARE_NUMBER, type EdlTape, LABEL, LABEL_ROW, labelRow } from '../../syntax/edl/edlTape.ts';
import type { Rate } from '../../time/rate.ts';
import { framesPerDay } from '../../time/timecode.ts';
import { type EdlCounting, frameArray } from './edlCounting.ts';

export interface RecordTimes {
  /** Frames from `base`. */
  readonly starts: Int32Array | Float64Array;
  readonly ends: Int32Array | Float64Array;
  /** 1 where record out lies before record in and no midnight explains it; such an event has start equal to end. */
  readonly isReversed: Uint8Array;
  /** Frame number of the earliest record in. */
  readonly base: number;
  /** Frames from `base` to the latest record out. */
  readonly length: number;
}

export function placeRecordTimes(tape: EdlTape, counting: EdlCounting, rate: Rate): RecordTimes {
  const { eventCount } = tape;
  const starts = frameArray(rate, eventCount);
  const ends = frameArray(rate, eventCount);
  const isReversed = new Uint8Array(eventCount);
  const day = framesPerDay(rate, counting.isDropFrame);
  let firstOfMidnight = Number.POSITIVE_INFINITY;
  for (let event = 0; event < eventCount; event += 1) {
    const start = counting.frames[event * 4 + LABEL.recordIn] as number;
    let end = counting.frames[event * 4 + LABEL.recordOut] as number;
    if (end < start) {
      const crosses = !isBare(tape, event) && end + day > start && (end + day - start) * 2 <= day;
      if (crosses) {
        end += day;
        if (start < firstOfMidnight) firstOfMidnight = start;
      } else {
        end = start;
        isReversed[event] = 1;
      }
    }
    starts[event] = start;
    ends[event] = end;
  }
  if (firstOfMidnight !== Number.POSITIVE_INFINITY) moveToNextDay(starts, ends, firstOfMidnight - day / 2, day);
  let base = eventCount === 0 ? 0 : (starts[0] as number);
  for (let event = 1; event < eventCount; event += 1) base = Math.min(base, starts[event] as number);
  let length = 0;
  for (let event = 0; event < eventCount; event += 1) {
    starts[event] = (starts[event] as number) - base;
    ends[event] = (ends[event] as number) - base;
    length = Math.max(length, ends[event] as number);
  }
  return { starts, ends, isReversed, base, length };
}

function moveToNextDay(starts: RecordTimes['starts'], ends: RecordTimes['ends'], before: number, day: number): void {
  for (let event = 0; event < starts.length; event += 1) {
    if ((starts[event] as number) >= before) continue;
    starts[event] = (starts[event] as number) + day;
    ends[event] = (ends[event] as number) + day;
  }
}

function isBare(tape: EdlTape, event: number): boolean {
  const field = tape.events[labelRow(event, LABEL.recordOut) + LABEL_ROW.framesAndFlags] as number;
  return (field & BARE_NUMBER) !== 0;
}
