/**
 * From the collected places of a composition playlist to the neutral timeline.
 *
 * Rules of SMPTE ST 2067-3 that are carried out here
 * - Segments follow one another. All sequences of a segment start together and have one length.
 * - Sequences with one TrackId are one track through all segments (a virtual track); a TrackId stands once in a segment.
 * - The record timecode of the first instant is `TimecodeStartAddress`, whose separators mean nothing.
 *
 * Where the sequences of a segment differ in length, the longest decides where the next segment starts, and what comes after
 * is doubtful: such clips are kept, with the reason, and not compared.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import { countToSeconds, isSampleRate, type Rate, rateLabel } from '../../time/rate.ts';
import { absolute, add, compare, equals, maximum, ONE, type Rational, rational, subtract, ZERO } from '../../time/rational.ts';
import { parseTimecode, type TimecodeLabel } from '../../time/timecode.ts';
import type { Clip, Observation, OutlineNode, Timeline, Track } from '../../timeline/model.ts';
import { readTimecode } from '../xml/readTimecode.ts';
import type { RateInForce } from '../xml/readTrack.ts';
import { shown, type WrittenValues } from '../xml/writtenValues.ts';
import type { CplDraft, ResourceDraft, SegmentDraft, SequenceDraft } from './cplDraft.ts';
import { placeResource, type ResourceContext } from './cplResource.ts';

/** A timeline that knows whether its text is signed, since a signed text must not be edited. */
export interface CplTimeline extends Timeline {
  readonly signature: CplDraft['signature'];
}

/** Where the file states no rate. Nothing is compared on the strength of it. */
const ASSUMED_RATE: Rate = rational(24);
const LETTER = { picture: 'V', sound: 'A', other: 'T' } as const;

interface Building extends ResourceContext {
  readonly inherited: RateInForce;
  readonly tracks: Track[];
  /** Tracks by kind and TrackId. */
  readonly trackIndex: Map<string, number>;
}

interface PlacedSequence {
  readonly draft: SequenceDraft;
  readonly length: Rational;
  /** Why the length is not to be trusted; null when it is. */
  readonly doubt: string | null;
  readonly node: OutlineNode;
}

export function buildCpl(
  text: string,
  draft: CplDraft | null,
  values: WrittenValues,
  log: ProblemLog<Observation>,
  assetNames: ReadonlyMap<string, string> | null,
): CplTimeline {
  if (draft === null) return emptyTimeline(log);
  const stated = draft.rate === null ? null : values.editRate(draft.rate, null);
  const missing = draft.rate === null ? 'the composition has no EditRate' : 'the EditRate of the composition cannot be read';
  const rate = stated ?? ASSUMED_RATE;
  if (stated !== null && isSampleRate(stated) && draft.rate !== null) {
    const message = `The EditRate of the composition is ${rateLabel(stated)}, a sample rate. Expected: the frame rate of the picture.`;
    log.report({ kind: 'rate', span: draft.rate, message, clip: null });
  }
  for (const { span, year, known } of draft.unknownYears) {
    const message = `This namespace has '${shown(year)}' where a published edition has its year (${known.join(', ')}). It is read like those; ask whoever wrote the playlist which edition it follows.`;
    log.report({ kind: 'note', span, message, clip: null, isWarning: true });
  }
  if (draft.signature !== null) {
    const message = 'This playlist is signed. It is checked as it is; any change would break the signature, so none is offered.';
    log.report({ kind: 'note', span: openingOf(text, draft.signature), message, clip: null });
  }
  const timecode = readTimecode(text, draft, rate, values, log, parseStartAddress);
  const building: Building = {
    text,
    values,
    log,
    assetNames,
    clips: [],
    inherited: { rate, doubt: stated === null ? `${missing}, so the length of an edit unit is unknown` : null },
    tracks: [],
    trackIndex: new Map(),
  };
  const name = draft.title === null ? '' : values.textAt(draft.title);
  const { nodes, duration } = placeSegments(building, draft.segments, rate);
  return {
    format: 'cpl',
    name,
    rate,
    rateReason: stated === null ? `${missing}, so 24 is assumed` : 'the EditRate of the composition says so',
    rateSpan: stated === null ? null : draft.rate,
    isDropFrame: timecode.isDropFrame,
    startFrame: stated === null ? null : timecode.startFrame,
    duration,
    tracks: building.tracks,
    clips: building.clips,
    transitions: [],
    observations: inTextOrder(log.entries),
    acceptances: [],
    outline: [
      {
        kind: 'timeline',
        name: name === '' ? 'Composition' : name,
        span: { start: draft.start, end: draft.end },
        nameSpan: draft.title,
        clip: null,
        children: nodes,
      },
    ],
    signature: draft.signature,
  };
}

function placeSegments(
  building: Building,
  segments: readonly SegmentDraft[],
  rate: Rate,
): { readonly nodes: readonly OutlineNode[]; readonly duration: Rational } {
  const nodes: OutlineNode[] = [];
  let start = ZERO;
  let doubt: string | null = null;
  for (const [position, segment] of segments.entries()) {
    const number = position + 1;
    const placed = placeSequences(building, segment, number, start, doubt);
    const annotation = segment.annotation === null ? '' : building.values.textAt(segment.annotation);
    nodes.push({
      kind: 'stack',
      name: annotation === '' ? `Segment ${number}` : annotation,
      span: { start: segment.start, end: segment.end },
      nameSpan: segment.annotation,
      clip: null,
      children: placed.map(({ node }) => node),
    });
    start = add(
      start,
      placed.reduce((longest, { length }) => maximum(longest, length), ZERO),
    );
    const isUneven = reportUnequalLengths(building, placed, number, rate);
    doubt ??= placed.find((sequence) => sequence.doubt !== null)?.doubt ?? null;
    doubt ??= isUneven ? 'the sequences of a segment before it differ in length' : null;
  }
  return { nodes, duration: start };
}

function placeSequences(
  building: Building,
  segment: SegmentDraft,
  number: number,
  start: Rational,
  doubt: string | null,
): readonly PlacedSequence[] {
  const seen = new Set<number>();
  return segment.sequences.map((draft, position) => {
    const track = trackOf(building, draft, `segment ${number}, sequence ${position + 1}`);
    if (seen.has(track.index) && draft.trackId !== null) {
      const message = `A second sequence of segment ${number} has the TrackId '${shown(building.values.textAt(draft.trackId))}'. Expected: each TrackId once in a segment, so two things would play on one track at once.`;
      building.log.unreadable(draft.trackId.start, draft.trackId.end, message);
    }
    seen.add(track.index);
    return placeSequence(building, draft, track, start, doubt);
  });
}

function placeSequence(
  building: Building,
  draft: SequenceDraft,
  track: Track,
  segmentStart: Rational,
  segmentDoubt: string | null,
): PlacedSequence {
  let length = ZERO;
  let doubt: string | null = null;
  const children: OutlineNode[] = [];
  for (const resource of draft.resources) {
    if (!isResource(resource)) {
      doubt ??= 'an element that could not be read stands before it on its track';
      continue;
    }
    const placed = placeResource(building, resource, track, building.inherited, add(segmentStart, length), segmentDoubt ?? doubt);
    children.push(placed.node);
    if (placed.length !== null) length = add(length, placed.length);
    doubt ??= placed.doubt;
  }
  const span = { start: draft.start, end: draft.end };
  return { draft, length, doubt, node: { kind: 'track', name: track.name, span, nameSpan: draft.trackId, clip: null, children } };
}

/** The virtual track of a sequence; `place` tells sequences without a TrackId apart. */
function trackOf(building: Building, draft: SequenceDraft, place: string): Track {
  const { tracks, trackIndex, values } = building;
  const id = draft.trackId === null ? place : values.textAt(draft.trackId).toLowerCase();
  const key = `${draft.kind} ${id}`;
  const known = trackIndex.get(key);
  if (known !== undefined) return tracks[known] as Track;
  const number = tracks.filter(({ kind }) => kind === draft.kind).length + 1;
  const track: Track = {
    index: tracks.length,
    kind: draft.kind,
    name: `${LETTER[draft.kind]}${number}`,
    span: { start: draft.start, end: draft.end },
    isEnabled: true,
  };
  trackIndex.set(key, track.index);
  tracks.push(track);
  return track;
}

/**
 * All sequences of a segment have one length (ST 2067-3). Each that differs from the first is told; true when one differs by an
 * edit unit of the composition or more, so that the place of what follows is in doubt.
 */
function reportUnequalLengths({ log }: Building, placed: readonly PlacedSequence[], number: number, rate: Rate): boolean {
  const certain = placed.filter(({ doubt }) => doubt === null);
  const first = certain[0];
  if (first === undefined) return false;
  let isUneven = false;
  for (const { draft, length, node } of certain.slice(1)) {
    if (equals(length, first.length)) continue;
    const difference = absolute(subtract(length, first.length));
    const units = decimalOf(difference, rate);
    const which = compare(length, first.length) < 0 ? 'shorter' : 'longer';
    const message = `${node.name} is ${units} ${units === '1' ? 'edit unit' : 'edit units'} ${which} than ${first.node.name} in segment ${number}. Expected: all sequences of a segment have one length, or the next segment starts at another instant for each player.`;
    log.unreadable(draft.start, draft.tagEnd, message);
    isUneven ||= compare(difference, countToSeconds(ONE, rate)) >= 0;
  }
  return isUneven;
}

/** Seconds as edit units to four places; for showing only. */
function decimalOf(seconds: Rational, rate: Rate): string {
  const tenThousandths =
    (BigInt(seconds.numerator) * BigInt(rate.numerator) * 10_000n) / (BigInt(seconds.denominator) * BigInt(rate.denominator));
  const fraction = String(tenThousandths % 10_000n)
    .padStart(4, '0')
    .replace(/0+$/, '');
  return fraction === '' ? String(tenThousandths / 10_000n) : `${tenThousandths / 10_000n}.${fraction}`;
}

/** Two-digit groups with any of `/ : ; , . + -` between (pattern of the schema); drop-frame is said elsewhere. */
function parseStartAddress(written: string): TimecodeLabel | null {
  return parseTimecode(written.replace(/[/:;,.+-]/g, ':'));
}

function isResource(resource: SequenceDraft['resources'][number]): resource is ResourceDraft {
  return 'tagEnd' in resource;
}

/** The start tag of an element, for underlining. */
function openingOf(text: string, place: { readonly start: number; readonly end: number }): { start: number; end: number } {
  const close = text.indexOf('>', place.start);
  return { start: place.start, end: close === -1 ? place.end : Math.min(close + 1, place.end) };
}

function inTextOrder(observations: readonly Observation[]): readonly Observation[] {
  return observations.toSorted((left, right) => left.span.start - right.span.start || left.span.end - right.span.end);
}

function emptyTimeline(log: ProblemLog<Observation>): CplTimeline {
  return {
    format: 'cpl',
    name: '',
    rate: ASSUMED_RATE,
    rateReason: 'the text holds no composition, so 24 is assumed',
    rateSpan: null,
    isDropFrame: false,
    startFrame: null,
    duration: ZERO,
    tracks: [],
    clips: [] as readonly Clip[],
    transitions: [],
    observations: inTextOrder(log.entries),
    acceptances: [],
    outline: [],
    signature: null,
  };
}
