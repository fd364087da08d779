/**
 * What has to be pulled for the mix: each recording with the ranges the cut uses, handles added, merged where they meet.
 *
 * Times are media times, seconds from a recording's first sample. A handle ends where the recording ends; by how much it is short is
 * said, since nobody can record it afterwards.
 */

import type { PictureEntry, SoundEntry } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import { mediaName } from '../review/mediaKey.ts';
import type { ResolvedClip } from '../rules/context.ts';
import { mediaRange } from '../rules/mediaRange.ts';
import { isSampleRate, type Rate } from '../time/rate.ts';
import {
  add,
  compare,
  divide,
  equals,
  formatRational,
  maximum,
  minimum,
  type Rational,
  rational,
  subtract,
  ZERO,
} from '../time/rational.ts';
import type { TimeRange } from '../timeline/model.ts';
import type { HandleLength } from './handleLength.ts';
import type { FoundRecording, RecordingFacts } from './recordingFacts.ts';
import { recordingKey, recordingNames } from './recordingKey.ts';

/** One timeline of the hand-off. */
export interface PulledTimeline {
  /** As shown to people. */
  readonly path: string;
  readonly audit: Audit;
  readonly handles: HandleLength;
}

export interface PulledRecording {
  readonly key: string;
  /** File name as the report or the timeline has it. */
  readonly name: string;
  readonly sound: SoundEntry | null;
  /** A camera file on a sound track: its own sound is used. */
  readonly camera: PictureEntry | null;
  readonly found: FoundRecording | null;
  /** Of the file where it was found, else of the report, else of the timeline; null when nobody knows. */
  readonly sampleRate: Rate | null;
  readonly length: Rational | null;
  readonly ranges: readonly PulledRange[];
  readonly clipCount: number;
  /** Clips at a speed that is not known: what they use is not known either. */
  readonly unknownCount: number;
  /** What does not fit, in sentences; why a file is absent stands in `found`. */
  readonly remarks: readonly string[];
}

export interface PulledRange {
  /** With handles, as far as the recording has them. */
  readonly range: TimeRange;
  /** What the cut itself uses, transitions included. */
  readonly used: TimeRange;
  /** Seconds by which the handles are short; not negative. */
  readonly missingHead: Rational;
  readonly missingTail: Rational;
  readonly uses: readonly RangeUse[];
}

export interface RangeUse {
  readonly timeline: PulledTimeline;
  readonly clip: number;
}

/** `foundOf` answers null for a recording nobody looked for. In the order in which the timelines first use them. */
export function pullList(
  timelines: readonly PulledTimeline[],
  foundOf: (key: string) => FoundRecording | null,
): readonly PulledRecording[] {
  const gathered = new Map<string, Gathered>();
  for (const timeline of timelines) {
    for (const resolved of inRecordOrder(timeline.audit.context.clips)) gather(gathered, timeline, resolved);
  }
  return [...gathered.entries()].map(([key, recording]) => pulled(key, recording, foundOf(key)));
}

/** Recordings the pull list will hold, with the names their files may have, before any file was looked for. */
export function recordingsUsed(
  timelines: readonly PulledTimeline[],
): ReadonlyMap<
  string,
  { readonly names: readonly string[]; readonly urls: readonly string[]; readonly sound: SoundEntry | null }
> {
  const used = new Map<string, { names: string[]; urls: string[]; sound: SoundEntry | null }>();
  for (const { audit } of timelines) {
    for (const resolved of audit.context.clips) {
      if (!isPulled(resolved)) continue;
      const key = recordingKey(resolved);
      const known = used.get(key) ?? { names: [], urls: [], sound: resolved.sound };
      for (const name of recordingNames(resolved)) if (!known.names.includes(name)) known.names.push(name);
      const { url } = resolved.clip.media;
      if (url !== null && !known.urls.includes(url)) known.urls.push(url);
      used.set(key, known);
    }
  }
  return used;
}

interface Gathered {
  readonly first: ResolvedClip;
  readonly pieces: { readonly used: TimeRange; readonly handle: Rational; readonly use: RangeUse }[];
  clipCount: number;
  unknownCount: number;
}

/** Sound that is heard. What is disabled is not pulled; what has no media (a tone, silence) can't be. */
function isPulled({ clip }: ResolvedClip): boolean {
  return clip.role === 'sound' && clip.isEnabled && clip.media.kind !== 'generator' && mediaName(clip) !== '';
}

function gather(gathered: Map<string, Gathered>, timeline: PulledTimeline, resolved: ResolvedClip): void {
  if (!isPulled(resolved)) return;
  const key = recordingKey(resolved);
  const known = gathered.get(key) ?? { first: resolved, pieces: [], clipCount: 0, unknownCount: 0 };
  gathered.set(key, known);
  known.clipCount += 1;
  const range = mediaRange(resolved);
  if (range === null) known.unknownCount += 1;
  else {
    const use = { timeline, clip: resolved.clip.index };
    known.pieces.push({ used: { start: range.start, end: range.end }, handle: timeline.handles.seconds, use });
  }
}

function pulled(
  key: string,
  { first, pieces, clipCount, unknownCount }: Gathered,
  found: FoundRecording | null,
): PulledRecording {
  const facts = found?.kind === 'found' ? found.facts : null;
  const length = lengthOf(first, facts);
  const recording = { key, sound: first.sound, camera: first.sound === null ? first.picture : null, found };
  return {
    ...recording,
    name: mediaName(first.clip),
    sampleRate: sampleRateOf(first, facts),
    length,
    ranges: mergedRanges(pieces, length),
    clipCount,
    unknownCount,
    remarks: remarksOn(first, found, unknownCount),
  };
}

function mergedRanges(pieces: Gathered['pieces'], length: Rational | null): readonly PulledRange[] {
  const inOrder = pieces.toSorted((left, right) => compare(left.used.start, right.used.start));
  const ranges: { start: Rational; end: Rational; used: TimeRange; uses: RangeUse[] }[] = [];
  for (const { used, handle, use } of inOrder) {
    const start = subtract(used.start, handle);
    const end = add(used.end, handle);
    const last = ranges.at(-1);
    if (last !== undefined && compare(start, last.end) <= 0) {
      last.end = maximum(last.end, end);
      last.start = minimum(last.start, start);
      last.used = { start: minimum(last.used.start, used.start), end: maximum(last.used.end, used.end) };
      last.uses.push(use);
    } else ranges.push({ start, end, used, uses: [use] });
  }
  return ranges.map(({ start, end, used, uses }) => ({
    range: { start: maximum(ZERO, start), end: length === null ? end : maximum(ZERO, minimum(length, end)) },
    used,
    missingHead: maximum(ZERO, subtract(ZERO, start)),
    missingTail: length === null ? ZERO : maximum(ZERO, subtract(end, length)),
    uses,
  }));
}

/** The file itself knows best; then the report; then what the timeline states. */
function lengthOf({ sound, picture, clip }: ResolvedClip, facts: RecordingFacts | null): Rational | null {
  if (facts !== null) return divide(rational(facts.sampleCount), rational(facts.sampleRate));
  if (sound !== null && sound.sampleCount !== null) return divide(sound.sampleCount, sound.sampleRate);
  if (picture !== null && picture.frameCount !== null) return divide(picture.frameCount, picture.rate);
  const { available } = clip.media;
  return available === null || equals(available.start, available.end) ? null : subtract(available.end, available.start);
}

function sampleRateOf({ sound, clip }: ResolvedClip, facts: RecordingFacts | null): Rate | null {
  if (facts !== null) return rational(facts.sampleRate);
  if (sound !== null) return sound.sampleRate;
  return [clip.media.rate, clip.start?.rate ?? null].find((rate) => rate !== null && isSampleRate(rate)) ?? null;
}

function remarksOn({ sound, picture }: ResolvedClip, found: FoundRecording | null, unknownCount: number): readonly string[] {
  const remarks: string[] = [];
  if (found?.kind === 'found') {
    remarks.push(...found.remarks, ...(sound === null ? [] : differences(sound, found.facts)));
  }
  if (sound === null && picture === null) remarks.push('It is not in the report, so nothing was checked against it.');
  if (sound === null && picture !== null) remarks.push("This is the camera's own sound.");
  if (unknownCount > 0) {
    const clips = unknownCount === 1 ? '1 clip plays' : `${unknownCount} clips play`;
    remarks.push(`${clips} it at a speed that is not known; what of it they use is not listed, so pull all of it.`);
  }
  return remarks;
}

/** Where the file found and the report's entry contradict each other. */
export function differences(sound: SoundEntry, facts: RecordingFacts): readonly string[] {
  const remarks: string[] = [];
  if (!equals(sound.sampleRate, rational(facts.sampleRate))) {
    remarks.push(
      `The file runs at ${facts.sampleRate} Hz, the report says ${formatRational(sound.sampleRate)}: one of them is wrong, or the sound was pulled.`,
    );
  }
  if (sound.sampleCount !== null && !equals(sound.sampleCount, rational(facts.sampleCount))) {
    remarks.push(
      `The file holds ${facts.sampleCount} samples, the report says ${formatRational(sound.sampleCount)}: it may be another file, or cut short.`,
    );
  }
  if (sound.startSample !== null && facts.startSample !== null && !equals(sound.startSample, rational(facts.startSample))) {
    remarks.push(
      `The file is stamped ${facts.startSample} samples after midnight, the report says ${formatRational(sound.startSample)}: it may be another file.`,
    );
  }
  return remarks;
}

function inRecordOrder(clips: readonly ResolvedClip[]): readonly ResolvedClip[] {
  return clips.toSorted(
    (left, right) => compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index,
  );
}
