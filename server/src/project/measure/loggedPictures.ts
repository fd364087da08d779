/**
 * Pictures as a clap log knows them, joined with what their files say.
 *
 * A file knows best; the log fills in what it leaves out. A picture that only the log names needs no file at all: its rate and the frame
 * in which the hands meet are enough for a pair.
 */

import { droppedLabelsPerMinute, type Rate } from '../../core/time/rate.ts';
import { type LoggedPicture, placeIn } from './clapLog.ts';
import type { LeftOver } from './measurement.ts';
import type { OpenPicture } from './openRecordings.ts';
import { stampedFrame } from './seenClaps.ts';

/** `file` completed from the log. */
export function completed(file: OpenPicture, { entries }: LoggedPicture): OpenPicture {
  const stamp = stampOf(entries, file.rate);
  const frameCount = file.frameCount ?? entries.find((entry) => entry.frameCount !== null)?.frameCount ?? null;
  return file.startFrame === null && stamp !== null ? { ...file, ...stamp, frameCount } : { ...file, frameCount };
}

/** A picture without a file that could be read; told when nobody says its rate. */
export function pictureFromLog(
  logged: LoggedPicture,
  file: { readonly path: string; readonly name: string } | null,
  otherRate: Rate | null,
  logName: string,
): OpenPicture | LeftOver {
  const name = file?.name ?? logged.name;
  const rate = logged.rate ?? otherRate;
  const line = logged.entries[0]?.line ?? 1;
  if (rate === null) {
    return {
      severity: 'error',
      kind: 'log',
      name: placeIn(logName, line, null),
      reason: `The frames per second of ${name} are not known: no file of that name was given that says them. Add a column "rate", or give --rate.`,
    };
  }
  const picture: OpenPicture = {
    path: file?.path ?? null,
    name,
    rate,
    startFrame: null,
    isDropFrame: false,
    frameCount: null,
    scratch: null,
    close: () => Promise.resolve(),
    remarks: file === null ? [] : ['Only the clap log was used for it: reading the file needs ffprobe and ffmpeg on the PATH.'],
  };
  return completed(picture, logged);
}

function stampOf(entries: LoggedPicture['entries'], rate: Rate): Pick<OpenPicture, 'startFrame' | 'isDropFrame'> | null {
  const label = entries.find(({ start }) => start !== null)?.start ?? null;
  if (label === null) return null;
  const isDropFrame = label.isMarkedDrop && droppedLabelsPerMinute(rate) > 0;
  const startFrame = stampedFrame(label, { rate, isDropFrame });
  return startFrame === null ? null : { startFrame, isDropFrame };
}
