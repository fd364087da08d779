/**
 * Lists for tests, and a short way of saying what was read from them.
 *
 * Every reel, clip and file in these lists is invented.
 */

import { edlFormat } from '../../../server/src/core/formats/edl/edlFormat.ts';
import type { ReadOptions } from '../../../server/src/core/formats/timelineFormat.ts';
import { type Rate, secondsToCount } from '../../../server/src/core/time/rate.ts';
import { formatRational, type Rational } from '../../../server/src/core/time/rational.ts';
import type { Clip, Observation, Timeline } from '../../../server/src/core/timeline/model.ts';

const UNDECIDED: ReadOptions = { edlRate: null, sharedPictureRate: null };

/** Lines joined by line feeds. */
export function list(...lines: readonly string[]): string {
  return `${lines.join('\n')}\n`;
}

export function readList(text: string, options: Partial<ReadOptions> = {}): Timeline {
  return edlFormat.read(text, { ...UNDECIDED, ...options });
}

/** Whole frames, or a fraction of them. */
export function frames(seconds: Rational, rate: Rate): string {
  return formatRational(secondsToCount(seconds, rate));
}

/** `V1 NAME record 0-24 source 86400`, with speed, tail and doubt where there is something to say. */
function describeClip(timeline: Timeline, clip: Clip): string {
  const at = (seconds: Rational): string => frames(seconds, timeline.rate);
  const words = [
    timeline.tracks[clip.track]?.name ?? '?',
    clip.name,
    `record ${at(clip.record.start)}-${at(clip.record.end)}`,
    `source ${at(clip.sourceStart)}`,
  ];
  if (clip.speed.kind === 'unknown') words.push('speed unknown');
  else if (formatRational(clip.speed.scalar) !== '1') words.push(`speed ${formatRational(clip.speed.scalar)}`);
  if (at(clip.tailOverlap) !== '0') words.push(`tail ${at(clip.tailOverlap)}`);
  if (clip.doubt !== null) words.push('doubtful');
  return words.join(' ');
}

export function describeClips(timeline: Timeline): readonly string[] {
  return timeline.clips.map((clip) => describeClip(timeline, clip));
}

/** What was noticed: kind, the characters it stands on, and for labels and lengths what should stand there. */
export function describeObservations(text: string, timeline: Timeline): readonly string[] {
  return timeline.observations.map((observation) => {
    const place = text.slice(observation.span.start, observation.span.end);
    if (observation.kind === 'label') return `${observation.problem} '${place}' -> ${observation.replacement}`;
    if (observation.kind === 'length') {
      return `length '${place}' source ${formatRational(observation.sourceFrames)} record ${formatRational(observation.recordFrames)} -> ${observation.replacement}`;
    }
    return `${observation.kind} '${place}'`;
  });
}

export function messagesOf(timeline: Timeline, kind: Observation['kind']): readonly string[] {
  return timeline.observations.flatMap((observation) =>
    observation.kind === kind && 'message' in observation ? [observation.message] : [],
  );
}
