/**
 * A frame as a person types it, and as it is shown: a number from the first frame of the file (0), or a timecode where the report
 * knows the stamp of the first frame.
 */

import { type Rate, rateLabel } from '../../core/time/rate.ts';
import { compare, floor, isInteger, parseDecimal, type Rational, rational, subtract, ZERO } from '../../core/time/rational.ts';
import { formatTimecode, labelToFrame, parseTimecode } from '../../core/time/timecode.ts';

export interface FrameCounting {
  readonly rate: Rate;
  readonly isDropFrame: boolean;
  /** Frame number of the time stamp of the first frame; null when the report does not say. */
  readonly startFrame: Rational | null;
  readonly frameCount: Rational | null;
}

export type FrameEntry = { readonly ok: true; readonly frame: Rational } | { readonly ok: false; readonly words: string };

export function parseFrameEntry(text: string, counting: FrameCounting): FrameEntry {
  const trimmed = text.trim();
  const label = parseTimecode(trimmed);
  const frame = label === null ? numberEntry(trimmed) : labelEntry(label, counting);
  return frame.ok ? withinFile(frame, counting) : frame;
}

/** '14:03:25:12', or null where the report has no stamp. */
export function frameLabelText(frame: number, { rate, isDropFrame, startFrame }: FrameCounting): string | null {
  return startFrame === null ? null : formatTimecode(Number(floor(startFrame)) + frame, rate, isDropFrame);
}

function numberEntry(text: string): FrameEntry {
  const frame = parseDecimal(text);
  if (frame === null || !isInteger(frame)) {
    return refusal('Type the number of a frame, the first of the file being 0, or its timecode as hh:mm:ss:ff.');
  }
  return { ok: true, frame };
}

function labelEntry(label: NonNullable<ReturnType<typeof parseTimecode>>, counting: FrameCounting): FrameEntry {
  const { rate, isDropFrame, startFrame } = counting;
  if (startFrame === null) {
    return refusal('The report has no "start" for this picture, so a timecode names no frame of it. Type the frame number.');
  }
  const answer = labelToFrame(label, rate, isDropFrame);
  if (!answer.ok) return refusal(`There is no such timecode at ${rateLabel(rate)} frames per second.`);
  return { ok: true, frame: subtract(rational(answer.frame), startFrame) };
}

function withinFile(entry: FrameEntry & { readonly ok: true }, { frameCount, startFrame }: FrameCounting): FrameEntry {
  if (compare(entry.frame, ZERO) < 0) {
    return refusal(startFrame === null ? 'Frames count from 0.' : 'That is before the first frame of the file.');
  }
  if (frameCount !== null && compare(entry.frame, frameCount) >= 0) {
    return refusal(`The file has ${floor(frameCount)} frames, the last being ${floor(frameCount) - 1n}.`);
  }
  return entry;
}

function refusal(words: string): FrameEntry {
  return { ok: false, words };
}
