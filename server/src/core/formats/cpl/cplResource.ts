/**
 * One resource of a sequence: its clips, placed in record time.
 *
 * Rules of SMPTE ST 2067-3 that are carried out here
 * - Numbers count edit units of the resource's own `EditRate`, else the composition's. That is a unit only: sound of a 48 kHz
 *   file may be counted in frames, so nothing is concluded about the file.
 * - `EntryPoint` is 0 when absent, `SourceDuration` is `IntrinsicDuration` less `EntryPoint`, `RepeatCount` is 1.
 * - A resource lasts `SourceDuration` times `RepeatCount`: it plays the same stretch again and again. Each time is a clip of
 *   its own here, and all of them share their characters.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import { countToSeconds, type Rate } from '../../time/rate.ts';
import {
  add,
  compare,
  floor,
  isInteger,
  multiply,
  ONE,
  type Rational,
  rational,
  sign,
  subtract,
  ZERO,
} from '../../time/rational.ts';
import type { Clip, Media, Observation, OutlineNode, Speed, Track } from '../../timeline/model.ts';
import { fileNameOf } from '../xml/readMedia.ts';
import { type RateInForce, rateInForce } from '../xml/readTrack.ts';
import { shown, type WrittenCount, type WrittenValues } from '../xml/writtenValues.ts';
import type { ResourceDraft } from './cplDraft.ts';

export interface ResourceContext {
  readonly text: string;
  readonly values: WrittenValues;
  readonly log: ProblemLog<Observation>;
  readonly assetNames: ReadonlyMap<string, string> | null;
  /** What is read goes to the end of this. */
  readonly clips: Clip[];
}

export interface PlacedResource {
  /** Seconds on record; null when it cannot be known. */
  readonly length: Rational | null;
  /** Why the length is not to be trusted; null when it is. */
  readonly doubt: string | null;
  readonly node: OutlineNode;
}

const NORMAL_SPEED: Speed = { kind: 'constant', scalar: ONE, span: null };
/** A still or a loop is repeated some hundred times at most; each time is a clip. */
const MOST_REPEATS = 1000;

interface Numbers {
  readonly rate: Rate;
  readonly intrinsic: WrittenCount | null;
  /** Null when nothing readable is written. */
  readonly entry: WrittenCount | null;
  readonly isEntryUnreadable: boolean;
  readonly duration: WrittenCount | null;
  /** Edit units of one play; null when they cannot be known. */
  readonly length: Rational | null;
  readonly repeats: bigint;
}

export function placeResource(
  context: ResourceContext,
  draft: ResourceDraft,
  track: Track,
  inherited: RateInForce,
  start: Rational,
  doubt: string | null,
): PlacedResource {
  const { clips } = context;
  const firstClip = clips.length;
  const inForce = rateInForce(draft.rate, inherited, context.values, 'a Resource on its track', firstClip);
  const numbers = readNumbers(context, draft, inForce.rate, firstClip);
  const { name, media } = mediaOf(context, draft, numbers);
  const nameSpan = draft.annotation ?? draft.trackFileId;
  const span = { start: draft.start, end: draft.end };
  const node: OutlineNode = { kind: 'clip', name, span, nameSpan, clip: null, children: [] };
  if (numbers.length === null) {
    return { length: null, doubt: 'a Resource before it on its track has no readable length', node };
  }
  const length = countToSeconds(numbers.length, inForce.rate);
  const total = multiply(length, rational(numbers.repeats));
  if (sign(length) > 0) {
    let at = start;
    for (let repeat = 0n; repeat < numbers.repeats && repeat < BigInt(MOST_REPEATS); repeat += 1n) {
      const end = add(at, length);
      clips.push({
        index: clips.length,
        track: track.index,
        role: track.kind,
        name,
        nameSpan,
        span,
        isEnabled: true,
        record: { start: at, end },
        doubt: doubt ?? inForce.doubt ?? (numbers.isEntryUnreadable ? 'it has no readable EntryPoint' : null),
        sourceStart: numbers.entry === null ? ZERO : countToSeconds(numbers.entry.count, inForce.rate),
        speed: NORMAL_SPEED,
        media,
        start: written(numbers.entry, inForce.rate, draft),
        length: written(numbers.duration, inForce.rate, draft),
        textGroup: firstClip,
        headOverlap: ZERO,
        tailOverlap: ZERO,
      });
      at = end;
    }
    reportRepeats(context, draft, numbers.repeats);
  }
  return { length: total, doubt: inForce.doubt, node: clips.length === firstClip ? node : { ...node, clip: firstClip } };
}

function readNumbers({ values, log }: ResourceContext, draft: ResourceDraft, rate: Rate, clip: number): Numbers {
  const read = (place: ResourceDraft['entryPoint'], what: string): WrittenCount | null =>
    place === null ? null : values.count(place, what, clip);
  const intrinsic = read(draft.intrinsicDuration, 'IntrinsicDuration');
  const entry = read(draft.entryPoint, 'EntryPoint');
  const duration = read(draft.sourceDuration, 'SourceDuration');
  const repeat = read(draft.repeatCount, 'RepeatCount');
  let repeats = 1n;
  if (repeat !== null && isInteger(repeat.count) && sign(repeat.count) > 0) {
    repeats = floor(repeat.count);
  } else if (repeat !== null) {
    const message = `RepeatCount is ${shown(values.textAt(repeat.span))}. Expected: a whole number from 1. It is read as 1.`;
    log.unreadable(repeat.span.start, repeat.span.end, message);
  }
  const isEntryUnreadable = draft.entryPoint !== null && entry === null;
  let length = duration?.count ?? null;
  if (draft.sourceDuration === null && intrinsic !== null && !isEntryUnreadable) {
    length = subtract(intrinsic.count, entry?.count ?? ZERO);
    if (sign(length) < 0) {
      const place = entry?.span ?? intrinsic.span;
      log.unreadable(
        place.start,
        place.end,
        'EntryPoint lies after the end of the file, as IntrinsicDuration states it, and there is no SourceDuration: the length of this Resource cannot be known.',
      );
      length = null;
    }
  }
  return { rate, intrinsic, entry, isEntryUnreadable, duration, length, repeats };
}

function mediaOf(
  context: ResourceContext,
  draft: ResourceDraft,
  numbers: Numbers,
): { readonly name: string; readonly media: Media } {
  const { values, log, assetNames } = context;
  const id = draft.trackFileId === null ? '' : values.textAt(draft.trackFileId);
  const url = assetNames?.get(id.toLowerCase()) ?? null;
  const annotation = draft.annotation === null ? '' : values.textAt(draft.annotation).replace(/\s+/g, ' ');
  if (id === '') {
    if (draft.isStereoscopic) {
      const message =
        'This Resource has a file for each eye. Its place and length are used, but which files it shows is not read.';
      log.report({ kind: 'note', span: { start: draft.start, end: draft.tagEnd }, message, clip: null });
    } else {
      log.unreadable(draft.start, draft.tagEnd, 'This Resource has no TrackFileId, so which file it plays is not known.');
    }
  }
  const name = annotation !== '' ? annotation : (fileNameOf(url) ?? (id === '' ? 'Resource' : id));
  const { intrinsic, rate } = numbers;
  return {
    name,
    media: {
      kind: id === '' ? 'missing' : 'file',
      url,
      urlSpan: url === null ? null : draft.trackFileId,
      name: id === '' ? null : id,
      nameSpan: id === '' ? null : draft.trackFileId,
      reel: null,
      reelSpan: null,
      available: intrinsic === null ? null : { start: ZERO, end: countToSeconds(intrinsic.count, rate) },
      sourceIsMediaTime: intrinsic === null,
      rate: null,
      rateSpan: null,
    },
  };
}

function written(value: WrittenCount | null, rate: Rate, draft: ResourceDraft): Clip['start'] {
  return value === null ? null : { span: value.span, count: value.count, rate, rateSpan: draft.rate, isUnitOnly: true };
}

function reportRepeats({ log }: ResourceContext, draft: ResourceDraft, repeats: bigint): void {
  if (compare(rational(repeats), rational(MOST_REPEATS)) <= 0) return;
  const place = draft.repeatCount ?? { start: draft.start, end: draft.tagEnd };
  const message = `This Resource is repeated ${repeats} times; only the first ${MOST_REPEATS} are looked at. What follows it keeps its place.`;
  log.limit(place.start, place.end, message);
}
