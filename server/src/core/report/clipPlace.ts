/**
 * Where a clip stands, in the words of the trade: name, track and record timecode. It is how a person finds it again in the
 * cut, where no line numbers are.
 */

import { decimalText, listInWords } from '../rules/words.ts';
import { secondsToCount } from '../time/rate.ts';
import { add, floor, isZero, type Rational, rational, subtract, ZERO } from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Timeline } from '../timeline/model.ts';

/** `'door, wide' on V1, 01:00:00:00 to 01:00:10:00`; null when there is no such clip. */
export function clipPlace(timeline: Timeline, clipIndex: number | undefined): string | null {
  const clip = clipIndex === undefined ? undefined : timeline.clips[clipIndex];
  if (clip === undefined) return null;
  // One event line of an edit decision list may stand for several channels.
  const clips = timeline.clips.filter((other) => other.textGroup === clip.textGroup);
  const tracks = listInWords(clips.map((other) => timeline.tracks[other.track]?.name ?? '').filter((track) => track !== ''));
  const name = clip.name === '' ? 'an unnamed clip' : `'${clip.name}'`;
  const times = `${recordTime(timeline, clip.record.start)} to ${recordTime(timeline, clip.record.end)}`;
  const unknownStart = timeline.startFrame === null ? ' from the start of the timeline' : '';
  return `${name}${tracks === '' ? '' : ` on ${tracks}`}, ${times}${unknownStart}`;
}

/** Record timecode; parts of a frame are added in words. */
function recordTime(timeline: Timeline, seconds: Rational): string {
  const frames = add(timeline.startFrame ?? ZERO, secondsToCount(seconds, timeline.rate));
  const whole = floor(frames);
  const part = subtract(frames, rational(whole));
  const label = formatTimecode(Number(whole), timeline.rate, timeline.isDropFrame);
  return isZero(part) ? label : `${label} and ${decimalText(part)} frame`;
}
