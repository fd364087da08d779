/**
 * The rate of a timeline. OTIO has none; it is worked out, and the reason is told.
 *
 * In order: the global start time; what most picture clips count their length in; the rate of frames most common among
 * all clips; 24.
 */

import { type Rate, rateLabel } from '../../time/rate.ts';
import { equals, formatRational, rational } from '../../time/rational.ts';
import type { Clip, Timeline } from '../../timeline/model.ts';
import type { OtioTime } from './otioTimes.ts';
import { isFrameRate } from './otioValues.ts';

/** `clips` in text order. */
export function timelineRate(
  globalStart: OtioTime | null,
  clips: readonly Clip[],
): Pick<Timeline, 'rate' | 'rateReason' | 'rateSpan'> {
  if (globalStart !== null && isFrameRate(globalStart.rate)) {
    const rateReason = `the global start time counts ${rateLabel(globalStart.rate)} frames per second`;
    return { rate: globalStart.rate, rateReason, rateSpan: globalStart.rateSpan };
  }
  const ofPictures = mostCommon(clips.filter((clip) => clip.role === 'picture'));
  if (ofPictures !== null) {
    return { ...ofPictures, rateReason: `most picture clips count ${rateLabel(ofPictures.rate)} frames per second` };
  }
  const ofAll = mostCommon(clips);
  if (ofAll !== null)
    return { ...ofAll, rateReason: `most clips that count in frames count ${rateLabel(ofAll.rate)} per second` };
  return { rate: rational(24), rateReason: 'nothing in the file tells, so 24 is assumed', rateSpan: null };
}

function mostCommon(clips: readonly Clip[]): Pick<Timeline, 'rate' | 'rateSpan'> | null {
  const votes = new Map<string, { count: number; rate: Rate; rateSpan: Timeline['rateSpan'] }>();
  let winner: { count: number; rate: Rate; rateSpan: Timeline['rateSpan'] } | null = null;
  let last: { count: number; rate: Rate; rateSpan: Timeline['rateSpan'] } | null = null;
  for (const clip of clips) {
    const rate = clip.length?.rate ?? clip.media.rate;
    if (rate === null || !isFrameRate(rate)) continue;
    if (last === null || (last.rate !== rate && !equals(last.rate, rate))) {
      const key = formatRational(rate);
      last = votes.get(key) ?? { count: 0, rate, rateSpan: clip.length?.rateSpan ?? clip.media.rateSpan };
      votes.set(key, last);
    }
    last.count += 1;
    // The first to reach a number keeps it: ties go to the rate that comes first in the text.
    if (winner === null || last.count > winner.count) winner = last;
  }
  return winner === null ? null : { rate: winner.rate, rateSpan: winner.rateSpan };
}
