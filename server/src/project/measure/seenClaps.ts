/**
 * The rows of a clap log as claps seen in pictures: a frame number, a rate, and what is known of the file.
 *
 * A row may name the frame by its timecode; that takes the stamp of the first frame, from the file or from the log.
 */

import { rateLabel } from '../../core/time/rate.ts';
import { compare, divide, formatExactDecimal, type Rational, rational, toNumber, ZERO } from '../../core/time/rational.ts';
import { formatTimecode, labelToFrame, type TimecodeLabel } from '../../core/time/timecode.ts';
import type { SeenClap } from '../../sound/clapLog/assignClaps.ts';
import type { ClapLogEntry } from '../../sound/clapLog/parseClapLog.ts';
import { placeIn } from './clapLog.ts';
import { filesNamed, likelyFile } from './logNames.ts';
import type { LeftOver } from './measurement.ts';
import type { OpenPicture, OpenSound } from './openRecordings.ts';

/** One row, made ready. */
export interface LoggedClap {
  readonly entry: ClapLogEntry;
  readonly picture: OpenPicture;
  readonly seen: SeenClap;
}

/** What a row means for its picture, or why it means nothing. */
export function seenClap(
  entry: ClapLogEntry,
  picture: OpenPicture,
  sounds: readonly OpenSound[],
  logName: string,
): LoggedClap | LeftOver {
  const refuse = (column: string, reason: string): LeftOver => ({
    severity: 'error',
    kind: 'log',
    name: placeIn(logName, entry.line, column),
    reason,
  });
  const named = entry.sound === null ? null : filesNamed(entry.sound, sounds);
  if (named !== null && named.length === 0) {
    return refuse(
      'sound',
      `There is no sound "${entry.sound}" among the recordings${likelyFile(entry.sound ?? '', sounds)}`.replace(/[^?.]$/, '$&.'),
    );
  }
  const frame = frameOf(entry, picture);
  if (typeof frame === 'string') return refuse(entry.clap.kind === 'frame' ? 'clap frame' : 'timecode', frame);
  if (picture.frameCount !== null && compare(frame, rational(picture.frameCount)) >= 0) {
    return refuse(
      'clap frame',
      `The hands are said to meet in frame ${formatExactDecimal(frame)}, but ${picture.name} has only the frames 0 to ${picture.frameCount - 1}.`,
    );
  }
  return {
    entry,
    picture,
    seen: {
      picture: picture.name,
      rate: picture.rate,
      frame,
      reading: entry.reading,
      shutterDegrees: entry.shutterDegrees,
      frameCount: picture.frameCount,
      sound: named === null ? null : (named[0]?.label ?? null),
      clapNumber: entry.clapNumber,
      startSeconds: picture.startFrame === null ? null : toNumber(divide(rational(picture.startFrame), picture.rate)),
    },
  };
}

/** Frames from the first one; a sentence where there is no such frame. */
function frameOf({ clap }: ClapLogEntry, picture: OpenPicture): Rational | string {
  if (clap.kind === 'frame') return clap.frame;
  if (picture.startFrame === null) {
    return `A timecode says nothing of the frame while the timecode of the first frame of ${picture.name} is unknown. Add a column "start" with it, or give the frame number.`;
  }
  const answer = stampedFrame(clap.label, picture);
  if (answer === null) return `The timecode ${clap.text} does not exist at ${rateLabel(picture.rate)} frames per second.`;
  const frame = rational(answer - picture.startFrame);
  if (compare(frame, ZERO) >= 0) return frame;
  const first = formatTimecode(picture.startFrame, picture.rate, picture.isDropFrame);
  return `The timecode ${clap.text} lies before the first frame of ${picture.name}, which is ${first}.`;
}

/** The frame number of a label, counted as the picture counts; null for a label that does not exist. */
export function stampedFrame(
  label: TimecodeLabel,
  { rate, isDropFrame }: Pick<OpenPicture, 'rate' | 'isDropFrame'>,
): number | null {
  const answer = labelToFrame(label, rate, isDropFrame);
  return answer.ok ? answer.frame : null;
}
