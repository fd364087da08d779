/**
 * The pull list in words: ranges in samples, as time of day where the recording is stamped, and which clips use them.
 */

import { type Rate, secondsToCount } from '../time/rate.ts';
import {
  add,
  ceiling,
  divide,
  floor,
  formatRational,
  isZero,
  multiply,
  type Rational,
  rational,
  subtract,
} from '../time/rational.ts';
import { clockText, rateText } from '../views/timeText.ts';
import { frameLabel } from './popWords.ts';
import { frameAt } from './programme.ts';
import type { PulledRange, PulledRecording } from './pullList.ts';

export interface PullWords {
  /** Samples per second as a number; empty when not known. */
  readonly sampleRate: string;
  /** '48 kHz'; 'not known'. */
  readonly sampleRateWords: string;
  /** Samples since midnight; empty when not known. */
  readonly startStamp: string;
  /** '2:10.000'; empty when not known. */
  readonly length: string;
  readonly range: (range: PulledRange) => RangeWords;
}

export interface RangeWords {
  /** Whole samples that hold the range; empty when the sample rate is not known. */
  readonly inSample: string;
  readonly outSample: string;
  /** Time of day as the recording's stamp has it, else time from its start. */
  readonly inClock: string;
  readonly outClock: string;
  readonly length: string;
  readonly usedInSample: string;
  readonly usedOutSample: string;
  readonly isShortAtHead: boolean;
  readonly isShortAtTail: boolean;
  /** For each timeline the places of its clips: '01:00:00:00 on A1'. */
  readonly usedBy: readonly { readonly timeline: string; readonly places: readonly string[] }[];
}

export function pullWords({ found, sound, sampleRate, length }: PulledRecording): PullWords {
  const facts = found?.kind === 'found' ? found.facts : null;
  const stamp = facts?.startSample != null ? rational(facts.startSample) : (sound?.startSample ?? null);
  const stampSeconds = stamp === null || sampleRate === null ? null : divide(stamp, sampleRate);
  return {
    sampleRate: sampleRate === null ? '' : formatRational(sampleRate),
    sampleRateWords: sampleRate === null ? 'not known' : rateText(sampleRate),
    startStamp: stamp === null ? '' : formatRational(stamp),
    length: length === null ? '' : clockText(length),
    range: (range) => rangeWords(range, sampleRate, stampSeconds),
  };
}

function rangeWords(
  { range, used, missingHead, missingTail, uses }: PulledRange,
  rate: Rate | null,
  stamp: Rational | null,
): RangeWords {
  const whole = (seconds: Rational, isEnd: boolean): string => {
    if (rate === null) return '';
    const count = secondsToCount(seconds, rate);
    return String(isEnd ? ceiling(count) : floor(count));
  };
  const clock = (seconds: Rational): string => (stamp === null ? clockText(seconds) : timeOfDay(add(stamp, seconds)));
  return {
    inSample: whole(range.start, false),
    outSample: whole(range.end, true),
    inClock: clock(range.start),
    outClock: clock(range.end),
    length: clockText(subtract(range.end, range.start)),
    usedInSample: whole(used.start, false),
    usedOutSample: whole(used.end, true),
    isShortAtHead: !isZero(missingHead),
    isShortAtTail: !isZero(missingTail),
    usedBy: usedByWords(uses),
  };
}

/** Clock time of a stamp: samples over their rate, which is no timecode. */
function timeOfDay(seconds: Rational): string {
  const milliseconds = floor(multiply(seconds, rational(1000)));
  const day = ((milliseconds % 86_400_000n) + 86_400_000n) % 86_400_000n;
  const two = (value: bigint, digits = 2): string => String(value).padStart(digits, '0');
  return `${two(day / 3_600_000n)}:${two((day / 60_000n) % 60n)}:${two((day / 1000n) % 60n)}.${two(day % 1000n, 3)}`;
}

function usedByWords(uses: PulledRange['uses']): RangeWords['usedBy'] {
  const byTimeline = new Map<string, string[]>();
  for (const { timeline, clip } of uses) {
    const { timeline: cut } = timeline.audit;
    const used = cut.clips[clip];
    if (used === undefined) continue;
    const places = byTimeline.get(timeline.path) ?? [];
    byTimeline.set(timeline.path, places);
    const place = frameLabel(cut)(frameAt(cut, used.record.start));
    const track = cut.tracks[used.track]?.name ?? '';
    places.push(track === '' ? place : `${place} on ${track}`);
  }
  return [...byTimeline.entries()].map(([timeline, places]) => ({ timeline, places }));
}
