/**
 * Where clips stand, in the words of the trade: name, track and record timecode. It is how a person finds one again in the cut,
 * where no line numbers are.
 */

import { groupBy } from '../rules/groupBy.ts';
import { decimalText, listInWords } from '../text/words.ts';
import { secondsToCount } from '../time/rate.ts';
import { add, floor, isZero, type Rational, rational, subtract, ZERO } from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Timeline } from '../timeline/model.ts';

/** For a clip's index: `'door, wide' on V1, 01:00:00:00 to 01:00:10:00`; null when there is no such clip. */
export function clipPlaces(timeline: Timeline): (clipIndex: number | undefined) => string | null {
  // One event line of an edit decision list may stand for several channels.
  const channels = groupBy(timeline.clips, (clip) => clip.textGroup);
  return (clipIndex) => {
    const clip = clipIndex === undefined ? undefined : timeline.clips[clipIndex];
    if (clip === undefined) return null;
    const tracks = (channels.get(clip.textGroup) ?? [clip]).map(({ track }) => timeline.tracks[track]?.name ?? '');
    const named = listInWords(tracks.filter((track) => track !== ''));
    const name = clip.name === '' ? 'an unnamed clip' : `'${clip.name}'`;
    const times = `${recordTime(timeline, clip.record.start)} to ${recordTime(timeline, clip.record.end)}`;
    const unknownStart = timeline.startFrame === null ? ' from the start of the timeline' : '';
    return `${name}${named === '' ? '' : ` on ${named}`}, ${times}${unknownStart}`;
  };
}

/** Record timecode; parts of a frame are added in words. */
function recordTime(timeline: Timeline, seconds: Rational): string {
  const frames = add(timeline.startFrame ?? ZERO, secondsToCount(seconds, timeline.rate));
  const whole = floor(frames);
  const part = subtract(frames, rational(whole));
  const label = formatTimecode(Number(whole), timeline.rate, timeline.isDropFrame);
  return isZero(part) ? label : `${label} and ${decimalText(part)} frame`;
}
