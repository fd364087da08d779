/**
 * Which object of the file is the timeline.
 *
 * The top level may be any OTIO object or a plain list of them. A Timeline is taken as it is; of a collection the first
 * timeline is read and the others are named; a Stack, Track or Clip alone stands for a timeline of its own.
 */

import { firstChild, kindOf, nextSibling, rootNode, stringOf } from '../../syntax/json/jsonDocument.ts';
import type { Span } from '../../text/span.ts';
import {
  openingSpan,
  openObject,
  type Reading,
  reportNote,
  reportUnreadable,
  reviewVersion,
  schemaOf,
  shortened,
  valueNode,
} from './otioReading.ts';
import type { SchemaRole } from './otioSchemas.ts';
import { describeKind, visibleSpan } from './otioValues.ts';
import { MEMBER } from './otioWords.ts';

export interface OtioRoot {
  /** The Timeline object; -1 when a composition or clip stands alone. */
  readonly timelineNode: number;
  /** The topmost composition, or a clip that stands alone; -1 when there is none. */
  readonly contentNode: number;
}

const NOTHING: OtioRoot = { timelineNode: -1, contentNode: -1 };

/** Finds the timeline and tells what else the file holds; never throws. */
export function findRoot(reading: Reading): OtioRoot {
  const { document } = reading;
  const root = rootNode(document);
  if (root === -1) return NOTHING;
  const candidates: { readonly node: number; readonly role: SchemaRole | null }[] = [];
  const kind = kindOf(document, root);
  if (kind === 'array') collect(reading, root, candidates);
  else if (kind === 'object') {
    const role = roleOf(reading, root, true);
    if (role === 'collection') collect(reading, childrenOf(reading, root), candidates);
    else candidates.push({ node: root, role });
  } else if (kind !== 'missing') {
    reportUnreadable(
      reading,
      visibleSpan(document, root),
      `The file holds ${describeKind(kind)}: expected an OTIO object such as Timeline.1.`,
    );
    return NOTHING;
  }
  const timelines = candidates.filter((candidate) => candidate.role === 'timeline');
  const chosen = timelines[0] ?? candidates.find((candidate) => isContent(candidate.role));
  if (chosen === undefined) {
    reportNoTimeline(reading, root, candidates);
    return NOTHING;
  }
  for (const other of timelines.slice(1)) {
    reportNote(
      reading,
      openingSpan(document, other.node),
      `This is a further timeline${nameIn(reading, other.node)}; only the first of a file is checked.`,
    );
  }
  if (chosen.role !== 'timeline') return { timelineNode: -1, contentNode: chosen.node };
  return { timelineNode: chosen.node, contentNode: tracksOf(reading, chosen.node) };
}

/** The children of collections, nested ones opened up, in text order. */
function collect(reading: Reading, list: number, candidates: { node: number; role: SchemaRole | null }[]): void {
  const { document } = reading;
  const open: number[] = [list === -1 ? -1 : firstChild(document, list)];
  while (open.length > 0) {
    const node = open.pop() as number;
    if (node === -1) continue;
    open.push(nextSibling(document, node));
    if (kindOf(document, node) !== 'object') continue;
    const role = roleOf(reading, node, false);
    if (role === 'collection') {
      const inner = childrenOf(reading, node);
      open.push(inner === -1 ? -1 : firstChild(document, inner));
    } else {
      candidates.push({ node, role });
    }
  }
}

function roleOf(reading: Reading, node: number, isRoot: boolean): SchemaRole | null {
  openObject(reading, node);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const schema = schemaOf(reading, schemaNode);
  if (schema === null) {
    if (isRoot) {
      const place = schemaNode === -1 ? openingSpan(reading.document, node) : visibleSpan(reading.document, schemaNode);
      reportUnreadable(
        reading,
        place,
        'This object has no readable OTIO_SCHEMA: expected "OTIO_SCHEMA": "Timeline.1". Is it an OTIO file?',
      );
    }
    return null;
  }
  // Items are reviewed when they are read.
  if (!isContent(schema.core?.role ?? null)) reviewVersion(reading, schema, schemaNode);
  return schema.core?.role ?? null;
}

function isContent(role: SchemaRole | null): boolean {
  return role === 'stack' || role === 'track' || role === 'clip';
}

function childrenOf(reading: Reading, node: number): number {
  openObject(reading, node);
  const children = valueNode(reading, MEMBER.children);
  if (children !== -1 && kindOf(reading.document, children) === 'array') return children;
  reportUnreadable(
    reading,
    children === -1 ? openingSpan(reading.document, node) : visibleSpan(reading.document, children),
    'This collection has no list of children: expected "children": [...].',
  );
  return -1;
}

function tracksOf(reading: Reading, timelineNode: number): number {
  const { document } = reading;
  openObject(reading, timelineNode);
  const tracks = valueNode(reading, MEMBER.tracks);
  if (tracks === -1) {
    reportUnreadable(reading, openingSpan(document, timelineNode), 'This Timeline has no tracks: expected a Stack.1.');
    return -1;
  }
  const kind = kindOf(document, tracks);
  if (kind === 'null' || kind === 'missing') return -1;
  if (kind !== 'object') {
    reportUnreadable(reading, visibleSpan(document, tracks), `tracks is ${describeKind(kind)}: expected a Stack.1.`);
    return -1;
  }
  openObject(reading, tracks);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const role = schemaOf(reading, schemaNode)?.core?.role;
  if (role !== undefined && role !== 'stack') {
    reportUnreadable(
      reading,
      visibleSpan(document, schemaNode),
      'tracks must be a Stack.1 that holds the tracks; other readers refuse this file.',
    );
  }
  return tracks;
}

function reportNoTimeline(
  reading: Reading,
  root: number,
  candidates: readonly { readonly node: number; readonly role: SchemaRole | null }[],
): void {
  const place: Span = openingSpan(reading.document, root);
  const only = candidates.length === 1 && candidates[0]?.node === root;
  // An object without a schema has been told already.
  if (only && candidates[0]?.role === null && schemaIsUnreadable(reading, root)) return;
  reportUnreadable(
    reading,
    place,
    only
      ? 'This OTIO object is no timeline: expected a Timeline, Stack, Track or Clip.'
      : 'No timeline is in this file: expected a Timeline, Stack, Track or Clip.',
  );
}

function schemaIsUnreadable(reading: Reading, node: number): boolean {
  openObject(reading, node);
  return schemaOf(reading, valueNode(reading, MEMBER.OTIO_SCHEMA)) === null;
}

function nameIn(reading: Reading, node: number): string {
  openObject(reading, node);
  const name = valueNode(reading, MEMBER.name);
  if (name === -1 || kindOf(reading.document, name) !== 'string') return '';
  const text = stringOf(reading.document, name);
  return text === '' ? '' : ` ("${shortened(text)}")`;
}
