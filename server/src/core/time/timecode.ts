/**
 * Timecode labels to frame numbers and back, at every SMPTE ST 12-1 rate.
 *
 * A label is a name for a frame, not a clock: at 24000/1001 the label 01:00:00:00 is 3603.6 s after
 * 00:00:00:00. Drop-frame counting skips labels, never pictures: ;00 and ;01 (;00 to ;03 at 59.94) at the start of every
 * minute except each tenth. Text forms are custom, not part of the standard: `;` or `,` before the frames marks
 * drop-frame, `:` and `.` do not decide.
 *
 * Frame numbers here are whole and count from 00:00:00:00. What does not exist is answered, not thrown.
 */

import type { Rate } from './rate.ts';
import { droppedLabelsPerMinute, nominalFramesPerSecond } from './rate.ts';

export interface TimecodeLabel {
  readonly hours: number;
  readonly minutes: number;
  readonly seconds: number;
  readonly frames: number;
  /** True when the text used a drop-frame separator. False says nothing: drop lists with plain colons are common. */
  readonly isMarkedDrop: boolean;
}

export type LabelProblem =
  /** The frame field is not below the nominal rate. */
  | { readonly kind: 'frame-field'; readonly largest: number }
  /** Hours above 23, minutes or seconds above 59. */
  | { readonly kind: 'clock-field'; readonly field: 'hours' | 'minutes' | 'seconds' }
  /** Drop-frame counting skips this label; `next` is the first one that exists. */
  | { readonly kind: 'skipped'; readonly next: TimecodeLabel }
  /** Drop-frame counting is not defined at this rate. */
  | { readonly kind: 'no-drop-frame-at-rate' };

export type LabelToFrame =
  | { readonly ok: true; readonly frame: number }
  /** `frame` is where plain counting puts the label: good enough to go on reading, not to trust. */
  | { readonly ok: false; readonly problem: LabelProblem; readonly frame: number };

/** The fields of `hh:mm:ss:ff` with any of `:;.,` between; null when the text has another form. */
export function parseTimecode(text: string): TimecodeLabel | null {
  const match = /^\s*(\d{1,2})[:;.,](\d{2})[:;.,](\d{2})([:;.,])(\d{2,3})\s*$/.exec(text);
  if (match === null) return null;
  return {
    hours: Number(match[1]),
    minutes: Number(match[2]),
    seconds: Number(match[3]),
    frames: Number(match[5]),
    isMarkedDrop: match[4] === ';' || match[4] === ',',
  };
}

/** How labels count at one rate in one mode. Worked out once where many labels are read. */
export interface LabelCounting {
  /** Labels per second. */
  readonly nominal: number;
  /** Labels skipped at the start of nine minutes in ten. */
  readonly dropped: 0 | 2 | 4;
}

export function labelCounting(rate: Rate, isDropFrame: boolean): LabelCounting {
  return { nominal: nominalFramesPerSecond(rate), dropped: isDropFrame ? droppedLabelsPerMinute(rate) : 0 };
}

/** The frame number of a label given as whole labelled seconds since 00:00:00 and its frame field; nothing is checked. */
export function countLabel(counting: LabelCounting, labelSeconds: number, frames: number): number {
  if (counting.dropped === 0) return labelSeconds * counting.nominal + frames;
  const minuteCount = Math.floor(labelSeconds / 60);
  return labelSeconds * counting.nominal + frames - counting.dropped * (minuteCount - Math.floor(minuteCount / 10));
}

/** True when drop-frame counting skips this label. */
export function isSkippedLabel(counting: LabelCounting, labelSeconds: number, frames: number): boolean {
  return frames < counting.dropped && labelSeconds % 60 === 0 && labelSeconds % 600 !== 0;
}

/** The frame number of a label (SMPTE ST 12-1, drop-frame counting; clause 5.2.2 from memory). */
export function labelToFrame(label: TimecodeLabel, rate: Rate, isDropFrame: boolean): LabelToFrame {
  const counting = labelCounting(rate, isDropFrame);
  const { nominal, dropped } = counting;
  const labelSeconds = (label.hours * 60 + label.minutes) * 60 + label.seconds;
  const frame = countLabel(counting, labelSeconds, label.frames);
  if (label.frames >= nominal) return { ok: false, problem: { kind: 'frame-field', largest: nominal - 1 }, frame };
  if (label.seconds > 59) return { ok: false, problem: { kind: 'clock-field', field: 'seconds' }, frame };
  if (label.minutes > 59) return { ok: false, problem: { kind: 'clock-field', field: 'minutes' }, frame };
  if (label.hours > 23) return { ok: false, problem: { kind: 'clock-field', field: 'hours' }, frame };
  if (isDropFrame && dropped === 0) return { ok: false, problem: { kind: 'no-drop-frame-at-rate' }, frame };
  if (isSkippedLabel(counting, labelSeconds, label.frames)) {
    return { ok: false, problem: { kind: 'skipped', next: { ...label, frames: dropped } }, frame };
  }
  return { ok: true, frame };
}

/** The label of a frame number; wraps at 24 hours both ways. */
export function frameToLabel(frame: number, rate: Rate, isDropFrame: boolean): TimecodeLabel {
  const nominal = nominalFramesPerSecond(rate);
  const dropped = isDropFrame ? droppedLabelsPerMinute(rate) : 0;
  const day = framesPerDay(rate, isDropFrame);
  let count = ((frame % day) + day) % day;
  if (dropped > 0) {
    const perTenMinutes = 600 * nominal - 9 * dropped;
    const perMinute = 60 * nominal - dropped;
    const tens = Math.floor(count / perTenMinutes);
    const rest = count % perTenMinutes;
    count += 9 * dropped * tens + (rest >= dropped ? dropped * Math.floor((rest - dropped) / perMinute) : 0);
  }
  return {
    hours: Math.floor(count / (nominal * 3600)),
    minutes: Math.floor(count / (nominal * 60)) % 60,
    seconds: Math.floor(count / nominal) % 60,
    frames: count % nominal,
    isMarkedDrop: dropped > 0,
  };
}

/** Labels in 24 hours: 2,589,408 at 29.97 drop-frame, 2,592,000 non-drop. */
export function framesPerDay(rate: Rate, isDropFrame: boolean): number {
  const nominal = nominalFramesPerSecond(rate);
  return 144 * (600 * nominal - (isDropFrame ? 9 * droppedLabelsPerMinute(rate) : 0));
}

/** `hh:mm:ss:ff`, with `;` before the frames when the label is a drop-frame one. */
export function formatLabel(label: TimecodeLabel): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${two(label.hours)}:${two(label.minutes)}:${two(label.seconds)}${label.isMarkedDrop ? ';' : ':'}${two(label.frames)}`;
}

/** The label of a frame as text; see `frameToLabel`. */
export function formatTimecode(frame: number, rate: Rate, isDropFrame: boolean): string {
  return formatLabel(frameToLabel(frame, rate, isDropFrame));
}
