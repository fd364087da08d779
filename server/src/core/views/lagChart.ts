/**
 * From an audit to the data of its lag chart; see lagChartData.ts for what they mean.
 *
 * Cost: one pass over the comparisons; numbers and places that repeat are worded once.
 */

import type { Pair } from '../alignment/model.ts';
import type { ExactTolerance } from '../alignment/tolerance.ts';
import type { Audit } from '../audit.ts';
import { tolerancesBySampleRate } from '../rules/compareClips.ts';
import type { Comparison } from '../rules/comparison.ts';
import type { Finding } from '../rules/finding.ts';
import { isRetimedApart, isWithinUncertainty } from '../rules/offsetFinding.ts';
import { formatRational } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import type { ChartComparison, ChartPair, LagChart } from './lagChartData.ts';
import { emptyWords, lagWords, limitWords, type ReadLag, recordWords, summaryWords } from './lagChartWords.ts';
import { pairSentence } from './pairText.ts';

/** `reportReason` says which report is used and why. */
export function lagChart(result: Audit, reportReason: string): LagChart {
  const { timeline, comparisons, context } = result;
  const tables = createTables(result);
  const read = lagWords(timeline.rate);
  const at = recordWords(timeline);
  const judged = judgedComparisons(result);
  const drawn = comparisons.map((comparison): ChartComparison => {
    const lag = read(comparison);
    return {
      pair: tables.pair(comparison.pair),
      picture: tables.clip(comparison.pictureClip),
      sound: tables.clip(comparison.soundClip),
      start: formatRational(comparison.record.start),
      end: formatRational(comparison.record.end),
      head: lag.head,
      tail: lag.tail,
      verdict: comparison.verdict,
      ...judgement(result, comparison, judged, tables.toleranceOf(comparison.pair), lag),
      short: lag.short,
      at: at(comparison.record),
    };
  });
  return {
    name: timeline.name,
    rate: formatRational(timeline.rate),
    isDropFrame: timeline.isDropFrame,
    startFrame: timeline.startFrame === null ? null : formatRational(timeline.startFrame),
    duration: formatRational(timeline.duration),
    summary: summaryWords(timeline, comparisons),
    empty: emptyWords(context, reportReason),
    ...tables.done(),
    comparisons: drawn,
  };
}

/** The finding about a comparison, and the reason for which it was accepted, if it was. */
interface Judged {
  readonly finding: Finding;
  readonly acceptedBecause: string | null;
}

const OFFSET_CODES: readonly string[] = ['sound-leads', 'sound-lags', 'sound-drifts', 'speed-mismatch'];

/** By the characters both clips stand on, since one event on two channels gives two comparisons and one finding. */
function judgedComparisons({ timeline, findings, accepted }: Audit): ReadonlyMap<string, Judged> {
  const judged = new Map<string, Judged>();
  const add = (finding: Finding, acceptedBecause: string | null): void => {
    const [sound, picture] = finding.clips;
    if (!OFFSET_CODES.includes(finding.code) || sound === undefined || picture === undefined) return;
    const key = keyOf(timeline.clips, sound, picture);
    // An offset says more of a lag than a difference of speeds does; both stand on the same clips.
    if (finding.code === 'speed-mismatch' && judged.has(key)) return;
    judged.set(key, { finding, acceptedBecause });
  };
  for (const finding of findings) add(finding, null);
  for (const { finding, reason } of accepted) add(finding, reason);
  return judged;
}

function keyOf(clips: readonly Clip[], sound: number, picture: number): string {
  return `${clips[sound]?.textGroup} ${clips[picture]?.textGroup}`;
}

type Judgement = Pick<ChartComparison, 'severity' | 'isAccepted' | 'words' | 'remarks'>;

function judgement(
  { timeline, context }: Audit,
  comparison: Comparison,
  judged: ReadonlyMap<string, Judged>,
  tolerance: ExactTolerance,
  lag: ReadLag,
): Judgement {
  const remarks: string[] = [];
  if (isRetimedApart(context, comparison)) remarks.push('Picture and sound run at different speeds.');
  if (comparison.verdict === 'in') {
    return {
      severity: 'none',
      isAccepted: false,
      words: lag.isExact ? lag.words : `${lag.words}; that is allowed`,
      remarks: remarks.join(' '),
    };
  }
  const found = judged.get(keyOf(timeline.clips, comparison.soundClip, comparison.pictureClip));
  if (found === undefined) {
    remarks.push('The settings of this project switch the finding off.');
    return { severity: 'none', isAccepted: false, words: lag.words, remarks: remarks.join(' ') };
  }
  const { finding, acceptedBecause } = found;
  if (acceptedBecause !== null) remarks.push(`Accepted: ${acceptedBecause}${/[.!?]$/.test(acceptedBecause) ? '' : '.'}`);
  if (finding.cause !== null) remarks.push(`Likely cause: ${finding.cause}.`);
  if (isWithinUncertainty(comparison, tolerance)) remarks.push('The report is not sure enough to tell whether this is out.');
  return { severity: finding.severity, isAccepted: acceptedBecause !== null, words: lag.words, remarks: remarks.join(' ') };
}

interface Tables {
  readonly pair: (pair: Pair) => number;
  /** Takes an index into the timeline's clips. */
  readonly clip: (index: number) => number;
  readonly toleranceOf: (pair: Pair) => ExactTolerance;
  readonly done: () => Pick<LagChart, 'tracks' | 'clips' | 'pairs'>;
}

function createTables({ timeline, comparisons, context }: Audit): Tables {
  const compared = new Set<number>();
  for (const { pictureClip, soundClip } of comparisons) compared.add(pictureClip).add(soundClip);
  const usedTracks = new Set([...compared].map((index) => timeline.clips[index]?.track));
  const tracks = timeline.tracks.filter(({ index }) => usedTracks.has(index));
  const trackAt = new Map(tracks.map(({ index }, at) => [index, at]));
  const clips = timeline.clips.filter(({ index }) => compared.has(index));
  const clipAt = new Map(clips.map(({ index }, at) => [index, at]));
  const toleranceBySampleRate = tolerancesBySampleRate(context.settings, timeline.rate);
  const toleranceOf = (pair: Pair): ExactTolerance => toleranceBySampleRate(pair.sound.sampleRate);
  const pairs: ChartPair[] = [];
  const pairAt = new Map<Pair, number>();
  return {
    pair: (pair) => {
      let at = pairAt.get(pair);
      if (at === undefined) {
        at = pairs.push(chartPair(pair, toleranceOf(pair))) - 1;
        pairAt.set(pair, at);
      }
      return at;
    },
    clip: (index) => clipAt.get(index) as number,
    toleranceOf,
    done: () => ({
      tracks: tracks.map(({ name, kind }) => ({ name, kind })),
      clips: clips.map((clip) => ({
        index: clip.index,
        track: trackAt.get(clip.track) as number,
        name: nameOf(clip),
        start: formatRational(clip.record.start),
        end: formatRational(clip.record.end),
      })),
      pairs,
    }),
  };
}

function chartPair(pair: Pair, tolerance: ExactTolerance): ChartPair {
  return {
    picture: pair.picture.key,
    sound: pair.sound.key,
    early: formatRational(pair.uncertaintyEarly),
    late: formatRational(pair.uncertaintyLate),
    lead: formatRational(tolerance.lead),
    lag: formatRational(tolerance.lag),
    words: pairSentence(pair),
    limits: limitWords(tolerance),
  };
}

function nameOf({ name, media, index }: Clip): string {
  return [name, media.name, media.reel, media.url].find((text) => text !== null && text !== '') ?? `clip ${index + 1}`;
}
