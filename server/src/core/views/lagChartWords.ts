/**
 * What the lag chart says: numbers in words, a line that sums up, and why there may be nothing to see.
 *
 * Signs are never shown: sound leads or lags. Wording a lag costs more than comparing it, and a cut repeats the same few lags
 * thousands of times, so each is worded once.
 */

import { isUnread } from '../alignment/lookup.ts';
import type { ExactTolerance } from '../alignment/tolerance.ts';
import type { Comparison, Verdict } from '../rules/comparison.ts';
import type { AuditContext } from '../rules/context.ts';
import { amountInSamples, amountOfTime, countOf, listInWords } from '../text/words.ts';
import { type Rate, secondsToCount } from '../time/rate.ts';
import { absolute, add, formatRational, isZero, type Rational, sign } from '../time/rational.ts';
import type { Timeline, TimeRange } from '../timeline/model.ts';
import { countText, hasTimecode, timecodeText } from './timeText.ts';

export interface ReadLag {
  /** Exact, as `num/den`. */
  readonly head: string;
  readonly tail: string;
  /** 'leads by 41.7 ms, 1 frame, 2002 samples'; both ends where they differ. */
  readonly words: string;
  /** 'leads 41.7 ms', 'lags 6.4 to 66.9 ms', 'exact'. */
  readonly short: string;
  readonly isExact: boolean;
}

/** Words for lags on a timeline of this rate. */
export function lagWords(rate: Rate): (comparison: Comparison) => ReadLag {
  const known = new Map<string, ReadLag>();
  return ({ lag, pair }) => {
    const head = formatRational(lag.head);
    const tail = lag.tail === lag.head ? head : formatRational(lag.tail);
    const { sampleRate } = pair.sound;
    const key = `${head} ${tail} ${sampleRate.numerator}/${sampleRate.denominator}`;
    let words = known.get(key);
    if (words === undefined) {
      words = {
        head,
        tail,
        words: head === tail ? lagOf(lag.head, rate, sampleRate) : lagOfBoth(lag, rate, sampleRate),
        short: shortOf(lag, head === tail),
        isExact: head === '0' && tail === '0',
      };
      known.set(key, words);
    }
    return words;
  };
}

function lagOf(seconds: Rational, rate: Rate, sampleRate: Rate): string {
  return isZero(seconds) ? 'is exact' : `${verbOf(seconds)} ${amountsOf(seconds, rate, sampleRate)}`;
}

function lagOfBoth({ head, tail }: Comparison['lag'], rate: Rate, sampleRate: Rate): string {
  const start = lagOf(head, rate, sampleRate);
  const hasOneVerb = sign(head) === sign(tail) && sign(head) !== 0;
  const end = hasOneVerb ? amountsOf(tail, rate, sampleRate) : lagOf(tail, rate, sampleRate);
  return `${start} at the head and ${end} at the tail`;
}

function amountsOf(seconds: Rational, rate: Rate, sampleRate: Rate): string {
  const frames = countOf(absolute(secondsToCount(seconds, rate)), 'frame');
  return `by ${amountOfTime(seconds)}, ${frames}, ${amountInSamples(seconds, sampleRate)}`;
}

function shortOf({ head, tail }: Comparison['lag'], isSteady: boolean): string {
  const one = (seconds: Rational): string => (isZero(seconds) ? 'exact' : `${verbOf(seconds)} ${amountOfTime(seconds)}`);
  if (isSteady) return one(head);
  if (sign(head) !== sign(tail) || isZero(head)) return `${one(head)} to ${one(tail)}`;
  return `${verbOf(head)} ${amountOfTime(head)} to ${amountOfTime(tail)}`;
}

function verbOf(seconds: Rational): 'leads' | 'lags' {
  return sign(seconds) < 0 ? 'leads' : 'lags';
}

/** '01:00:10:00 to 01:00:20:00'; frames of the timeline where its rate has no timecode. */
export function recordWords({ rate, startFrame, isDropFrame }: Timeline): (range: TimeRange) => string {
  const known = new Map<string, string>();
  const place = (seconds: Rational): string => {
    const key = `${seconds.numerator}/${seconds.denominator}`;
    let words = known.get(key);
    if (words === undefined) {
      const count = secondsToCount(seconds, rate);
      words = hasTimecode(rate)
        ? timecodeText(startFrame === null ? count : add(startFrame, count), rate, isDropFrame)
        : countText(seconds, rate);
      known.set(key, words);
    }
    return words;
  };
  return ({ start, end }) => `${place(start)} to ${place(end)}`;
}

export function limitWords({ lead, lag }: ExactTolerance): string {
  return `Allowed: leads by up to ${amountOfTime(lead)}, lags by up to ${amountOfTime(lag)}.`;
}

/** '18 comparisons: 9 in, 4 lead, 4 lag, 1 drifts.' and how many clips are compared with nothing. */
export function summaryWords(timeline: Timeline, comparisons: readonly Comparison[]): string {
  if (comparisons.length === 0) return 'Nothing is compared.';
  const counts: Record<Verdict, number> = { in: 0, leads: 0, lags: 0, drifts: 0 };
  const compared = new Set<number>();
  for (const { verdict, pictureClip, soundClip } of comparisons) {
    counts[verdict] += 1;
    compared.add(pictureClip).add(soundClip);
  }
  const verdicts = (Object.keys(VERBS) as Verdict[])
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => `${counts[verdict]} ${VERBS[verdict][counts[verdict] === 1 ? 0 : 1]}`);
  const total = `${comparisons.length} ${comparisons.length === 1 ? 'comparison' : 'comparisons'}: ${verdicts.join(', ')}.`;
  const rest = timeline.clips.filter(
    ({ index, isEnabled, role }) => isEnabled && role !== 'other' && !compared.has(index),
  ).length;
  if (rest === 0) return total;
  return `${total} ${rest === 1 ? '1 enabled clip is' : `${rest} enabled clips are`} compared with nothing.`;
}

const VERBS: Readonly<Record<Verdict, readonly [one: string, several: string]>> = {
  in: ['in', 'in'],
  leads: ['leads', 'lead'],
  lags: ['lags', 'lag'],
  drifts: ['drifts', 'drift'],
};

/** Why nothing is compared, in the order in which the reasons hide one another; null when something is. */
export function emptyWords(context: AuditContext, reportReason: string): string | null {
  const { timeline, reports, clips, overlaps, comparisons } = context;
  if (comparisons.length > 0) return null;
  if (timeline.clips.length === 0)
    return 'This timeline holds no clips, or none that can be read. The list of problems says more.';
  if (reports.length === 0) return `There is no alignment report to hold this timeline against. ${reportReason}`;
  const files = listInWords(reports.map(({ file }) => file));
  if (reports.every(isUnread))
    return `Nothing can be read of ${files}, so nothing is compared. Put it right first; the list of problems says where.`;
  const pictureCount = clips.filter(({ picture }) => picture !== null).length;
  const soundCount = clips.filter(({ sound }) => sound !== null).length;
  if (pictureCount + soundCount === 0) {
    return `${files} knows none of the media of this timeline, so nothing can be compared. Media are looked up by file name, reel and clip name; the names used here can be added to "names" in the report.`;
  }
  if (overlaps.length > 0) {
    return `No lag can be told: wherever picture stands over sound of its pair, one of the two stands still, runs backwards or follows a speed that is not known.`;
  }
  const known = `${countedClips(pictureCount, 'picture')} and ${countedClips(soundCount, 'sound')}`;
  return `${files} knows ${known} of this timeline, but nowhere does an enabled picture stand over enabled sound of its pair. If it should, look for disabled clips and tracks.`;
}

function countedClips(count: number, role: string): string {
  return count === 0 ? `no ${role} clip` : `${count} ${role} ${count === 1 ? 'clip' : 'clips'}`;
}
