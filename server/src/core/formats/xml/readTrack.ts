/**
 * One track of a timeline XML: its clips, gaps and transitions, placed in record time.
 *
 * Items follow one another without a hole, so a place is the sum of the lengths before it. Where one length cannot be
 * known, every later place on the track is doubtful: such clips are kept, with the reason, and not compared.
 *
 * Invariant: nothing here looks at another track.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import type { Span } from '../../text/span.ts';
import { countToSeconds, type Rate } from '../../time/rate.ts';
import { add, compare, ONE, type Rational, ZERO } from '../../time/rational.ts';
import type { Acceptance, Clip, Observation, OutlineNode, Speed, TimeRange, Track, Transition } from '../../timeline/model.ts';
import { fileNameOf, type MediaTable } from './readMedia.ts';
import type { AcceptDraft, ItemDraft, TrackDraft } from './timelineDraft.ts';
import type { WrittenCount, WrittenValues } from './writtenValues.ts';

/** The rate in which a number counts, and why that rate may be wrong. */
export interface RateInForce {
  readonly rate: Rate;
  readonly doubt: string | null;
}

export interface TrackContext {
  readonly values: WrittenValues;
  readonly log: ProblemLog<Observation>;
  readonly media: MediaTable;
  /** What is read goes to the ends of these. */
  readonly clips: Clip[];
  readonly transitions: Transition[];
  readonly acceptances: Acceptance[];
}

export interface ReadTrack {
  readonly duration: Rational;
  readonly nodes: readonly OutlineNode[];
}

const NORMAL_SPEED: Speed = { kind: 'constant', scalar: ONE, span: null };
const NO_CHILDREN: readonly OutlineNode[] = [];

/** How far a transition reaches over the cut, in seconds. */
interface Reach {
  readonly before: Rational;
  readonly after: Rational;
}

/** The element's own EditRate where it has one, else the one it inherits. */
export function rateInForce(
  own: Span | null,
  inherited: RateInForce,
  values: WrittenValues,
  owner: string,
  clip: number | null,
): RateInForce {
  if (own === null) return inherited;
  const rate = values.editRate(own, clip);
  return rate === null ? { rate: inherited.rate, doubt: `the EditRate of ${owner} cannot be read` } : { rate, doubt: null };
}

export function readTrack(context: TrackContext, draft: TrackDraft, track: Track, rateOfTrack: RateInForce): ReadTrack {
  const { values, log, clips, transitions } = context;
  const items = draft.items;
  const reaches = readReaches();
  const nodes: OutlineNode[] = [];
  let place = ZERO;
  let doubt: string | null = null;

  for (const [position, item] of items.entries()) {
    if (item.kind === 'unknown') {
      doubt ??= 'an element that could not be read stands before it on its track';
    } else if (item.kind === 'transition') {
      addTransition(position, item);
    } else {
      addPlaced(position, item);
    }
  }
  return { duration: place, nodes };

  function addPlaced(position: number, item: ItemDraft): void {
    const clipIndex = item.kind === 'clip' ? clips.length : null;
    const owner = item.kind === 'clip' ? 'a Clip on its track' : 'a Gap before it on its track';
    const inForce = rateInForce(item.rate, rateOfTrack, values, owner, clipIndex);
    const length = item.length === null ? null : values.count(item.length, 'SourceDuration', clipIndex);
    if (length === null) {
      doubt ??= `a ${item.kind === 'clip' ? 'Clip' : 'Gap'} before it on its track has no readable SourceDuration`;
      if (item.kind === 'clip') checkLostClip(item);
      nodes.push(nodeOf(item, item.kind === 'clip' ? 'clip' : 'gap', nameOf(item, null), null));
      return;
    }
    const seconds = countToSeconds(length.count, inForce.rate);
    const record = { start: place, end: add(place, seconds) };
    place = record.end;
    doubt ??= inForce.doubt;
    const before = reaches.get(position - 1);
    const after = reaches.get(position + 1);
    if (before !== undefined) checkReach(items[position - 1] as ItemDraft, 'OutOffset', before.after, seconds);
    if (after !== undefined) checkReach(items[position + 1] as ItemDraft, 'InOffset', after.before, seconds);
    if (item.kind === 'gap') {
      nodes.push(nodeOf(item, 'gap', 'Gap', null));
    } else {
      addClip(item, inForce.rate, record, length, before?.before ?? ZERO, after?.after ?? ZERO);
    }
  }

  function addClip(
    item: ItemDraft,
    rate: Rate,
    record: TimeRange,
    length: WrittenCount,
    headOverlap: Rational,
    tailOverlap: Rational,
  ): void {
    const index = clips.length;
    const entry = item.entryPoint === null ? null : values.count(item.entryPoint, 'EntryPoint', index);
    const { media, offset } = context.media.find(item.mediaId);
    const name = item.name === null ? '' : values.textAt(item.name);
    const nameSpan = name === '' ? null : item.name;
    const clip: Clip = {
      index,
      track: track.index,
      role: track.kind,
      name: name === '' ? nameOf(item, media.name ?? fileNameOf(media.url)) : name,
      nameSpan,
      span: { start: item.start, end: item.end },
      isEnabled: item.isEnabled && track.isEnabled,
      record,
      doubt: doubt ?? (entry === null ? 'it has no readable EntryPoint' : null),
      sourceStart: entry === null ? offset : add(offset, countToSeconds(entry.count, rate)),
      speed: speedOf(item.scalar),
      media: item.reel === null ? media : context.media.withReel(media, item.reel),
      start: entry === null ? null : { span: entry.span, count: entry.count, rate, rateSpan: item.rate },
      length: { span: length.span, count: length.count, rate, rateSpan: item.rate },
      textGroup: index,
      headOverlap,
      tailOverlap,
    };
    clips.push(clip);
    nodes.push({ kind: 'clip', name: clip.name, span: clip.span, nameSpan, clip: index, children: NO_CHILDREN });
    if (item.accepts !== null) addAcceptances(context, item.accepts, [index]);
  }

  function addTransition(position: number, item: ItemDraft): void {
    const reach = reaches.get(position) ?? { before: ZERO, after: ZERO };
    const name = nameOf(item, null);
    const span = { start: item.start, end: item.end };
    transitions.push({ track: track.index, span, name, at: place, before: reach.before, after: reach.after });
    nodes.push(nodeOf(item, 'transition', name, null));
    if (items[position - 1]?.kind === 'transition') {
      log.unreadable(item.start, item.tagEnd, 'Two transitions stand side by side. Expected: a Clip or Gap between them.');
    }
  }

  function readReaches(): ReadonlyMap<number, Reach> {
    const found = new Map<number, Reach>();
    for (const [position, item] of items.entries()) {
      if (item.kind !== 'transition') continue;
      const { rate } = rateInForce(item.rate, rateOfTrack, values, 'a Transition', null);
      const before = item.inOffset === null ? null : values.count(item.inOffset, 'InOffset', null);
      const after = item.outOffset === null ? null : values.count(item.outOffset, 'OutOffset', null);
      found.set(position, {
        before: before === null ? ZERO : countToSeconds(before.count, rate),
        after: after === null ? ZERO : countToSeconds(after.count, rate),
      });
    }
    return found;
  }

  /** OTIO, specification of Transition: neither offset is longer than the item it reaches into. */
  function checkReach(transition: ItemDraft, what: 'InOffset' | 'OutOffset', reach: Rational, length: Rational): void {
    const span = what === 'InOffset' ? transition.inOffset : transition.outOffset;
    if (span === null || compare(reach, length) <= 0) return;
    const where = what === 'InOffset' ? 'before' : 'after';
    const message = `The ${what} of this transition is longer than the item ${where} it. Expected: at most that item's SourceDuration.`;
    log.report({ kind: 'note', span, message, clip: null });
  }

  /** A clip that cannot be placed is left out; its other values are still worth a look. */
  function checkLostClip(item: ItemDraft): void {
    if (item.entryPoint !== null) values.count(item.entryPoint, 'EntryPoint', null);
    if (item.mediaId !== null) context.media.find(item.mediaId);
    speedOf(item.scalar);
  }

  function speedOf(scalar: Span | null): Speed {
    if (scalar === null) return NORMAL_SPEED;
    const value = values.scalar(scalar);
    return value === null
      ? { kind: 'unknown', reason: 'its TimeScalar cannot be read', span: scalar }
      : { kind: 'constant', scalar: value, span: scalar };
  }

  function nameOf(item: ItemDraft, fallback: string | null): string {
    const written = item.name === null ? '' : values.textAt(item.name);
    if (written !== '') return written;
    return fallback ?? (item.kind === 'clip' ? 'Clip' : item.kind === 'gap' ? 'Gap' : 'Transition');
  }

  function nodeOf(item: ItemDraft, kind: OutlineNode['kind'], name: string, clip: number | null): OutlineNode {
    return { kind, name, span: { start: item.start, end: item.end }, nameSpan: item.name, clip, children: NO_CHILDREN };
  }
}

/** Acceptances as written; those without a code or a reason accept nothing and are reported. */
export function addAcceptances(
  context: Pick<TrackContext, 'values' | 'log' | 'acceptances'>,
  drafts: readonly AcceptDraft[],
  clips: readonly number[] | 'all',
): void {
  for (const draft of drafts) {
    const span = { start: draft.start, end: draft.end };
    const reason = draft.reason === null ? '' : context.values.textAt(draft.reason).replace(/\s+/g, ' ');
    if (draft.code === null) continue;
    if (draft.code === '' || reason === '') {
      const what = draft.code === '' ? 'names no finding code' : 'gives no reason';
      context.log.unreadable(
        span.start,
        span.end,
        `This Accept ${what}, so it accepts nothing. Expected: <Accept code="sound-lags">why</Accept>.`,
      );
    } else {
      context.acceptances.push({ code: draft.code, reason, span, clips });
    }
  }
}
