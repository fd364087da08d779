/**
 * OTIO JSON to the neutral timeline: syntax, then items as written, then lengths, then places.
 *
 * Never throws. Every step is a loop over flat lists, so that a hundred thousand nested stacks are read like any other file.
 * Items are listed parents before children, in text order; lengths are filled backwards over that list, places forwards.
 */

import { type JsonDocument, kindOf, nextSibling, spanOf } from '../../syntax/json/jsonDocument.ts';
import { withJson } from '../../syntax/json/withJson.ts';
import { multiply, reduce } from '../../time/rational.ts';
import type { OutlineNode, Timeline } from '../../timeline/model.ts';
import { buildClips } from './otioBuild.ts';
import { checkMetadata, type Item, readItem, syntheticStack } from './otioItem.ts';
import { measureItems } from './otioLengths.ts';

import { finishObservations } from './otioObservations.ts';
import { timelineRate } from './otioRate.ts';
import { contentSpan, openingSpan, openObject, type Reading, startReading, valueNode } from './otioReading.ts';
import { findRoot } from './otioRoot.ts';
import { type OtioTime, readTime } from './otioTimes.ts';
import { readText } from './otioValues.ts';
import { MEMBER, OTIO_VOCABULARY } from './otioWords.ts';

interface TimelineMembers {
  readonly name: string;
  readonly nameNode: number;
  readonly metadataNode: number;
  readonly globalStart: OtioTime | null;
}

const NO_MEMBERS: TimelineMembers = { name: '', nameNode: -1, metadataNode: -1, globalStart: null };

/** Reads any string; what is wrong with it stands in the timeline's observations. */
export function readOtio(text: string): Timeline {
  return withJson(text, OTIO_VOCABULARY, readDocument);
}

function readDocument(document: JsonDocument): Timeline {
  const reading = startReading(document);
  const { timelineNode, contentNode } = findRoot(reading);
  const written = timelineNode === -1 ? NO_MEMBERS : readTimelineMembers(reading, timelineNode);
  const items = contentNode === -1 ? [] : readItems(reading, contentNode);
  measureItems(reading, items);
  const built = buildClips(reading, items, written.metadataNode);
  const rate = timelineRate(written.globalStart, built.clips);
  const outline: OutlineNode[] =
    timelineNode === -1
      ? built.outline
      : [
          {
            kind: 'timeline',
            name: written.name,
            span: spanOf(document, timelineNode),
            nameSpan: written.name === '' ? null : contentSpan(document, written.nameNode),
            clip: null,
            children: built.outline,
          },
        ];
  return {
    format: 'otio',
    name: timelineNode === -1 ? (items.find((item) => item.node === contentNode && item.name !== '')?.name ?? '') : written.name,
    ...rate,
    isDropFrame: false,
    startFrame: written.globalStart === null ? null : reduce(multiply(written.globalStart.seconds, rate.rate)),
    duration: built.duration,
    tracks: built.tracks,
    clips: built.clips,
    transitions: built.transitions,
    observations: finishObservations(reading),
    acceptances: built.acceptances,
    outline,
  };
}

function readTimelineMembers(reading: Reading, node: number): TimelineMembers {
  const { document } = reading;
  openObject(reading, node);
  const nameNode = valueNode(reading, MEMBER.name);
  const metadataNode = valueNode(reading, MEMBER.metadata);
  const startNode = valueNode(reading, MEMBER.global_start_time);
  checkMetadata(reading, metadataNode);
  const hasStart = startNode !== -1 && kindOf(document, startNode) !== 'null';
  return {
    name: readText(reading, nameNode, 'name') ?? '',
    nameNode,
    metadataNode,
    globalStart: hasStart ? readTime(reading, startNode, 'global_start_time') : null,
  };
}

/** Every item below and including `node`, parents before children, in text order. The first is always a composition. */
function readItems(reading: Reading, node: number): readonly Item[] {
  const top = readItem(reading, node, null, 0);
  if (top.kind === 'stack') return readDescendants(reading, top, []);
  // A track, clip or anything else that stands alone: put on a stack, as a timeline would.
  const root = syntheticStack(node, openingSpan(reading.document, node));
  const child: Item = { ...top, parent: root };
  root.children.push(child);
  return readDescendants(reading, child, [root]);
}

function readDescendants(reading: Reading, top: Item, before: readonly Item[]): readonly Item[] {
  const { document } = reading;
  const items: Item[] = [...before, top];
  const open: { readonly item: Item; next: number }[] = [{ item: top, next: top.firstChildNode }];
  while (open.length > 0) {
    const frame = open.at(-1) as { readonly item: Item; next: number };
    if (frame.next === -1) {
      open.pop();
      continue;
    }
    const child = readItem(reading, frame.next, frame.item, frame.item.children.length);
    frame.next = nextSibling(document, frame.next);
    frame.item.children.push(child);
    items.push(child);
    if (child.firstChildNode !== -1) open.push({ item: child, next: child.firstChildNode });
  }
  return items;
}
