/**
 * Writes a frame number in the style of the label it replaces: its separators, its digits, its counting mode.
 */

import { droppedLabelsPerMinute, type Rate } from '../../time/rate.ts';
import { frameToLabel } from '../../time/timecode.ts';

const TIMECODE = /^(\d{1,2})([:;.,])\d\d([:;.,])\d\d([:;.,])(\d{2,3})$/;

/**
 * `written` is the label that stands there now. Null when `frame` is negative or `written` is no label.
 * A timecode wraps at 24 hours. A bare frame number keeps its width only when it starts with a zero.
 */
export function writeLabelLike(written: string, frame: number, rate: Rate, isDropFrame: boolean): string | null {
  if (frame < 0 || !Number.isSafeInteger(frame)) return null;
  if (/^\d+$/.test(written)) return written.startsWith('0') ? String(frame).padStart(written.length, '0') : String(frame);
  const match = TIMECODE.exec(written);
  if (match === null) return null;
  const label = frameToLabel(frame, rate, isDropFrame);
  const two = (value: number): string => String(value).padStart(2, '0');
  const hours = String(label.hours).padStart((match[1] as string).length, '0');
  const frames = String(label.frames).padStart((match[5] as string).length, '0');
  return `${hours}${match[2]}${two(label.minutes)}${match[3]}${two(label.seconds)}${match[4]}${frames}`;
}

/** The first label after a skipped one that drop-frame counting has, in its own style; null when the label is not skipped. */
export function nextExistingLabel(written: string, rate: Rate): string | null {
  const dropped = droppedLabelsPerMinute(rate);
  const match = TIMECODE.exec(written);
  if (match === null || dropped === 0) return null;
  const frames = match[5] as string;
  return `${written.slice(0, -frames.length)}${String(dropped).padStart(frames.length, '0')}`;
}

/** The same label with the separator of the other mode before its frames. */
export function withSeparator(written: string, separator: string): string {
  return written.replace(/[:;.,](\d+)$/, `${separator}$1`);
}
