/**
 * Everything a rule may look at, worked out once per audit: which report entry each clip means, where in its media it
 * starts, and every comparison of a picture with its sound.
 */

import { type Alignment, buildAlignment, entryFor, type MediaMatch } from '../alignment/lookup.ts';
import type { AlignmentReport, Pair, PictureEntry, SoundEntry } from '../alignment/model.ts';
import { type MediaOrigin, mediaOriginOf } from '../alignment/origin.ts';
import type { Settings } from '../alignment/settings.ts';
import { once } from '../once.ts';
import { maximum, minimum, type Rational, subtract } from '../time/rational.ts';
import type { Clip, Timeline } from '../timeline/model.ts';
import { compareClips } from './compareClips.ts';
import type { Comparison } from './comparison.ts';
import { type CutAlike, clipsCutAlike } from './cutAlike.ts';
import { groupBy } from './groupBy.ts';
import { buildNeighbours, type Neighbours } from './neighbours.ts';
import { type PairedOverlap, pairedOverlaps } from './pairedOverlaps.ts';
import { buildSlipIndex, type SlipIndex } from './slipIndex.ts';

export interface AuditContext {
  readonly text: string;
  readonly timeline: Timeline;
  readonly settings: Settings;
  readonly reports: readonly AlignmentReport[];
  readonly alignment: Alignment;
  /** By clip index. */
  readonly clips: readonly ResolvedClip[];
  /** Enabled pictures with enabled sounds of their pairs at the same record time, comparable or not. */
  readonly overlaps: readonly PairedOverlap[];
  readonly comparisons: readonly Comparison[];
  /** Built on first use, as all below. */
  readonly pairSummaries: () => ReadonlyMap<Pair, PairSummary>;
  /** Comparisons in which a sound clip takes part, by clip index. */
  readonly comparisonsBySoundClip: () => ReadonlyMap<number, readonly Comparison[]>;
  readonly cutAlike: () => readonly CutAlike[];
  readonly slipIndex: () => SlipIndex;
  readonly neighbours: () => Neighbours;
}

/** What the comparisons of one pair have in common; kept so that explaining a finding does not walk them all again. */
export interface PairSummary {
  readonly soundClips: ReadonlySet<number>;
  readonly leastHeadLag: Rational;
  readonly greatestHeadLag: Rational;
  /** The first few comparisons that are in. */
  readonly samplesIn: readonly Comparison[];
}

/** A clip with what the report knows of its media. */
export interface ResolvedClip {
  readonly clip: Clip;
  readonly match: MediaMatch;
  readonly picture: PictureEntry | null;
  readonly sound: SoundEntry | null;
  readonly origin: MediaOrigin;
  /** Media time, seconds from the file's first frame or sample, at the clip's record start. */
  readonly mediaStart: Rational;
}

/** `previous` is an earlier context with the same reports and settings, whose clips are used again where they say the same. */
export function buildContext(
  text: string,
  timeline: Timeline,
  reports: readonly AlignmentReport[],
  settings: Settings,
  previous: AuditContext | null,
): AuditContext {
  const alignment = previous?.alignment ?? buildAlignment(reports);
  const clips = timeline.clips.map((clip) => resolveAgain(previous?.clips[clip.index], clip) ?? resolveClip(alignment, clip));
  const overlaps = pairedOverlaps(alignment, clips);
  const comparisons = compareClips(timeline, overlaps, settings);
  return withTables({ text, timeline, settings, reports, alignment, clips, overlaps, comparisons });
}

/** What a context is made of; the tables are made from it. */
export type ContextParts = Pick<
  AuditContext,
  'text' | 'timeline' | 'settings' | 'reports' | 'alignment' | 'clips' | 'overlaps' | 'comparisons'
>;

/** A context of its parts. A part that is a getter is asked for when something needs it. */
export function withTables(parts: ContextParts): AuditContext {
  const tables = {
    pairSummaries: once(() => summarisePairs(parts.comparisons)),
    comparisonsBySoundClip: once(() => groupBy(parts.comparisons, (comparison) => comparison.soundClip)),
    cutAlike: once(() => clipsCutAlike(parts.clips)),
    slipIndex: once(() => buildSlipIndex(parts.clips)),
    neighbours: once(() => buildNeighbours(context)),
  };
  const context: AuditContext = Object.assign(parts, tables);
  return context;
}

/**
 * The context after an edit that `timelineAfterEdit` describes, of the same reports and settings. Its clips and overlaps are
 * worked out when they are asked for.
 */
export function contextAfterEdit(
  previous: AuditContext,
  text: string,
  timeline: Timeline,
  comparisons: readonly Comparison[],
): AuditContext {
  const { alignment } = previous;
  const clips = once(() =>
    timeline.clips.map((clip) => resolveAgain(previous.clips[clip.index], clip) ?? resolveClip(alignment, clip)),
  );
  const overlaps = once(() => pairedOverlaps(alignment, clips()));
  return withTables({
    text,
    timeline,
    settings: previous.settings,
    reports: previous.reports,
    alignment,
    comparisons,
    get clips() {
      return clips();
    },
    get overlaps() {
      return overlaps();
    },
  });
}

/** The clip as it was resolved before; null when it says something else now. Its place in the text may have moved. */
function resolveAgain(before: ResolvedClip | undefined, clip: Clip): ResolvedClip | null {
  if (before === undefined) return null;
  const old = before.clip;
  if (old === clip) return before;
  const saysTheSame =
    old.record === clip.record &&
    old.sourceStart === clip.sourceStart &&
    old.name === clip.name &&
    old.media.url === clip.media.url &&
    old.media.name === clip.media.name &&
    old.media.reel === clip.media.reel &&
    old.media.available === clip.media.available;
  return saysTheSame ? { ...before, clip } : null;
}

export function resolveClip(alignment: Alignment, clip: Clip): ResolvedClip {
  const match = entryFor(alignment, clip);
  const origin = mediaOriginOf(clip, match);
  return {
    clip,
    match,
    picture: match.picture,
    sound: match.sound,
    origin,
    mediaStart: subtract(clip.sourceStart, origin.seconds),
  };
}

const LARGEST_SAMPLE = 8;

function summarisePairs(comparisons: readonly Comparison[]): ReadonlyMap<Pair, PairSummary> {
  const summaries = new Map<
    Pair,
    { soundClips: Set<number>; leastHeadLag: Rational; greatestHeadLag: Rational; samplesIn: Comparison[] }
  >();
  for (const comparison of comparisons) {
    const { pair, lag, soundClip } = comparison;
    let summary = summaries.get(pair);
    if (summary === undefined) {
      summary = { soundClips: new Set(), leastHeadLag: lag.head, greatestHeadLag: lag.head, samplesIn: [] };
      summaries.set(pair, summary);
    }
    summary.soundClips.add(soundClip);
    summary.leastHeadLag = minimum(summary.leastHeadLag, lag.head);
    summary.greatestHeadLag = maximum(summary.greatestHeadLag, lag.head);
    if (comparison.verdict === 'in' && summary.samplesIn.length < LARGEST_SAMPLE) summary.samplesIn.push(comparison);
  }
  return summaries;
}
