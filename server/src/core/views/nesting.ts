/**
 * What holds what: timeline, stack, track, clip, and the media a clip shows. The tree is the outline's; this only walks it, so that
 * a person can ask one step at a time, in either direction: which clips use this recording, on which track, in which stack.
 *
 * Nothing is remembered between two steps. An item is found again in the current text by its kind, its name and about where it
 * stood.
 *
 * Cost: each step looks at every node once, some milliseconds for a hundred thousand clips.
 */

import type { Audit } from '../audit.ts';
import { type Span, touches } from '../text/span.ts';
import type { Clip, OutlineNode } from '../timeline/model.ts';
import { clipsOf, type MediaSubject, mediaName, subjectAt } from './mediaSubject.ts';
import { type DocumentSymbol, describeNode, shownName } from './symbols.ts';

export type NestingItem = Omit<DocumentSymbol, 'children'>;

/** An item and where its holder names it. */
export interface NestingLink {
  readonly item: NestingItem;
  readonly at: Span;
}

/** What is left of an item when an editor comes back with it. */
export interface NestingPlace {
  readonly kind: NestingItem['kind'];
  readonly name: string;
  readonly start: number;
}

/** The innermost item at `offset`, media where its name is written; null outside the timeline. */
export function nestingAt(result: Audit, offset: number): NestingItem | null {
  let found: OutlineNode | null = null;
  let nodes = result.timeline.outline;
  for (;;) {
    // Where one ends and the next begins, the next is meant: an event of a list ends with its line.
    const node: OutlineNode | undefined = nodes.findLast(({ kind, span }) => isItem(kind) && touches(span, offset));
    if (node === undefined) break;
    if (node.kind === 'media') {
      // Media that no clip shows is held by nothing.
      const user = result.timeline.clips.find((clip) => isInside(mediaOf(clip)?.span, node.span));
      const media = user === undefined ? null : mediaOf(user);
      if (media !== null) return media;
      break;
    }
    found = node;
    nodes = node.children;
  }
  if (found === null) return null;
  const clip = clipOf(result, found);
  const media = mediaOf(clip);
  return media !== null && clip !== undefined && namesOf(clip, media).some((span) => touches(span, offset))
    ? media
    : describeNode(result.timeline, found);
}

/** What holds the item at `place`: one holder, or of media every clip that shows it. */
export function holdersOf(result: Audit, place: NestingPlace): readonly NestingLink[] {
  if (place.kind === 'media') return usersOf(result, place);
  const found = nodeAt(result, place);
  if (found === null || found.parent === null) return [];
  return [{ item: describeNode(result.timeline, found.parent), at: describeNode(result.timeline, found.node).nameSpan }];
}

/** What the item at `place` holds; gaps and transitions hold nothing and are left out. */
export function heldBy(result: Audit, place: NestingPlace): readonly NestingLink[] {
  const node = nodeAt(result, place)?.node;
  if (node === undefined) return [];
  const media = mediaOf(clipOf(result, node));
  if (media !== null) return [{ item: media, at: placeOfMedia(result, node, media) }];
  return node.children
    .filter(({ kind }) => isItem(kind) && kind !== 'media')
    .map((child) => {
      const item = describeNode(result.timeline, child);
      return { item, at: item.nameSpan };
    });
}

function usersOf(result: Audit, place: NestingPlace): readonly NestingLink[] {
  const { clips } = result.timeline;
  const named = clips.filter((clip) => mediaOf(clip)?.name === place.name);
  const [one] = named.sort((left, right) => distance(mediaOf(left), place) - distance(mediaOf(right), place));
  if (one === undefined) return [];
  const subject = subjectAt(result, one.span.start);
  const users = subject === null ? [] : clipsOf(result, (other) => isSame(other, subject));
  // One event of a list on several channels is several clips and one item.
  const groups = new Set(users.map(({ textGroup }) => textGroup));
  const links: NestingLink[] = [];
  for (const { node } of everyNode(result.timeline.outline)) {
    const clip = clipOf(result, node);
    const media = mediaOf(clip);
    if (clip === undefined || media === null || !groups.has(clip.textGroup)) continue;
    links.push({ item: describeNode(result.timeline, node), at: placeOfMedia(result, node, media) });
  }
  return links;
}

function isItem(kind: OutlineNode['kind']): boolean {
  return kind !== 'gap' && kind !== 'transition';
}

function clipOf({ timeline }: Audit, { clip }: OutlineNode): Clip | undefined {
  return clip === null ? undefined : timeline.clips[clip];
}

/**
 * The media of a clip, where it is named; null where nothing in the text names it. In a list the name of the clip stands for that of
 * its file, and the reel, where there is one, is what clips have in common.
 */
function mediaOf(clip: Clip | undefined): NestingItem | null {
  if (clip === undefined) return null;
  const { urlSpan, nameSpan, reelSpan, reel } = clip.media;
  const span = urlSpan ?? (isOwnName(clip) ? (reelSpan ?? nameSpan) : nameSpan) ?? reelSpan;
  const name = span === reelSpan ? reel : mediaName(clip);
  return span === null || name === null || name.trim() === '' ? null : { kind: 'media', name, detail: '', span, nameSpan: span };
}

/** Every place where a clip names its media. */
function namesOf(clip: Clip, { span }: NestingItem): readonly Span[] {
  const { urlSpan, nameSpan, reelSpan } = clip.media;
  return [span, urlSpan, reelSpan, isOwnName(clip) ? null : nameSpan].filter((each) => each !== null);
}

function isOwnName({ nameSpan, media }: Clip): boolean {
  return media.nameSpan?.start === nameSpan?.start;
}

/** Where a clip names its media. Neutral XML lists media apart, so there it is the clip's own name. */
function placeOfMedia({ timeline }: Audit, node: OutlineNode, { span }: NestingItem): Span {
  return isInside(span, node.span) ? span : describeNode(timeline, node).nameSpan;
}

interface FoundNode {
  readonly node: OutlineNode;
  readonly parent: OutlineNode | null;
}

/**
 * The nearest node of that kind and name; else the one that stands there now, under another name. The name counts more: lines of a
 * list are equally long, and after one more above, each event stands where the one before it stood.
 */
function nodeAt({ timeline, input }: Audit, place: NestingPlace): FoundNode | null {
  let best: FoundNode | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const found of everyNode(timeline.outline)) {
    const { node } = found;
    if (node.kind !== place.kind) continue;
    const apart = Math.abs(node.span.start - place.start);
    const isNamed = shownName(node) === place.name;
    const rank = isNamed ? apart : input.text.length;
    if ((isNamed || apart === 0) && rank < least) {
      best = found;
      least = rank;
    }
  }
  return best;
}

/** Parents before children, in text order. */
function* everyNode(nodes: readonly OutlineNode[], parent: OutlineNode | null = null): Generator<FoundNode> {
  for (const node of nodes) {
    yield { node, parent };
    yield* everyNode(node.children, node);
  }
}

function distance(item: NestingItem | null, { start }: NestingPlace): number {
  return item === null ? Number.POSITIVE_INFINITY : Math.abs(item.span.start - start);
}

function isInside(inner: Span | undefined, outer: Span): boolean {
  return inner !== undefined && inner.start >= outer.start && inner.end <= outer.end;
}

function isSame(left: MediaSubject, right: MediaSubject): boolean {
  if (left.kind === 'name') return right.kind === 'name' && left.name === right.name;
  return right.kind === 'entry' && left.key === right.key && left.file === right.file;
}
