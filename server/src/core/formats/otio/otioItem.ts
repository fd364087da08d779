/**
 * One thing in a composition: a stack, track, clip, gap or transition, as written, before anyone knows where it lies.
 *
 * Whatever can't be read becomes an item too, of kind `opaque`: it takes an unknown length, and what comes after it on
 * its track has a doubtful place.
 */

import { firstChild, kindOf, spanOf } from '../../syntax/json/jsonDocument.ts';
import type { Span } from '../../text/span.ts';
import type { Rational } from '../../time/rational.ts';
import { ZERO } from '../../time/rational.ts';
import type { Speed } from '../../timeline/model.ts';
import { checkMarkers } from './otioMarkers.ts';
import { type OtioMedia, readMedia } from './otioMedia.ts';
import {
  type ClipHolder,
  contentSpan,
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
import { NORMAL_SPEED, readSpeed } from './otioSpeed.ts';
import { type OtioRange, readRange, readTime } from './otioTimes.ts';
import { describeKind, readText, visibleSpan } from './otioValues.ts';
import { MEMBER } from './otioWords.ts';

type ItemKind = 'stack' | 'track' | 'clip' | 'gap' | 'transition' | 'opaque';

/** Filled while reading: first what is written, then lengths from the leaves up, then places from the root down. */
export interface Item extends ClipHolder {
  readonly kind: ItemKind;
  readonly node: number;
  readonly parent: Item | null;
  /** Index among the parent's children. */
  readonly position: number;
  readonly children: Item[];
  /** First child's node; -1 when there is none or the item has no children. */
  readonly firstChildNode: number;
  readonly name: string;
  readonly nameSpan: Span | null;
  /** A short place that stands for the whole item in messages. */
  readonly label: Span;
  readonly metadataNode: number;
  readonly isEnabled: boolean;
  readonly range: OtioRange | null;
  readonly speed: Speed;
  /** Track.kind as written. */
  readonly trackKind: string;
  readonly media: OtioMedia | null;
  /** Transitions: seconds before and after the cut. */
  readonly before: Rational;
  readonly after: Rational;
  /** What its parent's time it takes, in seconds. */
  length: Rational;
  /** Why `length` is not to be trusted; null when it is. */
  lengthDoubt: string | null;
  /** Compositions: the length of what is inside, before its own source_range. */
  innerLength: Rational;
}

/** Shared by everything that has none; never added to. */
const NO_CHILDREN: Item[] = [];

/** Reads the object at `node` without its children; reports what is wrong with it. */
export function readItem(reading: Reading, node: number, parent: Item | null, position: number): Item {
  const { document } = reading;
  const kind = kindOf(document, node);
  if (kind !== 'object') {
    const label = visibleSpan(document, node);
    if (kind !== 'missing')
      reportUnreadable(
        reading,
        label,
        `${capitalised(describeKind(kind))} stands where an item was expected: a Clip, Gap, Transition, Stack or Track.`,
      );
    return opaque(node, parent, position, label, 'an item that cannot be read');
  }
  openObject(reading, node);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const nameNode = valueNode(reading, MEMBER.name);
  const metadataNode = valueNode(reading, MEMBER.metadata);
  const rangeNode = valueNode(reading, MEMBER.source_range);
  const effectsNode = valueNode(reading, MEMBER.effects);
  const markersNode = valueNode(reading, MEMBER.markers);
  const enabledNode = valueNode(reading, MEMBER.enabled);
  const childrenNode = valueNode(reading, MEMBER.children);
  const kindNode = valueNode(reading, MEMBER.kind);
  const inNode = valueNode(reading, MEMBER.in_offset);
  const outNode = valueNode(reading, MEMBER.out_offset);
  const transitionTypeNode = valueNode(reading, MEMBER.transition_type);
  const durationNode = valueNode(reading, MEMBER.duration);
  const references = valueNode(reading, MEMBER.media_references);
  const activeKey = valueNode(reading, MEMBER.active_media_reference_key);
  const reference = valueNode(reading, MEMBER.media_reference);

  const schema = schemaOf(reading, schemaNode);
  const label = schemaNode === -1 ? openingSpan(document, node) : contentSpan(document, schemaNode);
  if (schema === null) {
    const message =
      schemaNode === -1
        ? 'This item has no OTIO_SCHEMA: expected one such as "Clip.2". What follows it on its track cannot be placed.'
        : 'This OTIO_SCHEMA cannot be read: expected a name, a dot and a version, as in "Clip.2".';
    reportUnreadable(reading, label, message);
    return opaque(node, parent, position, label, 'an item without a readable schema');
  }
  reviewVersion(reading, schema, schemaNode);
  const itemKind = itemKindOf(schema.core?.role);
  const shownSchema = `${shortened(schema.name)}.${schema.version}`;
  if (itemKind === null) {
    const message =
      schema.core === null
        ? `${shownSchema} is not a schema of OTIO's core: its length is unknown, so what follows it on its track cannot be placed.`
        : `${shownSchema} cannot stand here: expected a Clip, Gap, Transition, Stack or Track.`;
    reportUnreadable(reading, label, message);
    return opaque(node, parent, position, label, `an item of the schema ${shownSchema}`);
  }

  const name = readText(reading, nameNode, 'name') ?? '';
  checkMetadata(reading, metadataNode);
  const isTransition = itemKind === 'transition';
  const isComposition = itemKind === 'stack' || itemKind === 'track';
  const isEnabled = readEnabled(reading, enabledNode);
  const range = isTransition ? null : readRange(reading, rangeNode, 'source_range');
  const speed = isTransition ? NORMAL_SPEED : readSpeed(reading, effectsNode);
  checkMarkers(reading, markersNode);
  if (itemKind === 'gap' && range === null && durationNode !== -1) {
    reportNote(
      reading,
      label,
      'This Gap states a duration and no source_range; readers go by source_range alone and give it no length.',
    );
  }
  let before: Rational = ZERO;
  let after: Rational = ZERO;
  if (isTransition) {
    before = readOffset(reading, inNode, 'in_offset', label);
    after = readOffset(reading, outNode, 'out_offset', label);
    if (transitionTypeNode === -1)
      reportUnreadable(reading, label, 'This Transition has no transition_type: expected one such as "SMPTE_Dissolve".');
  }
  return {
    kind: itemKind,
    node,
    parent,
    position,
    children: isComposition ? [] : NO_CHILDREN,
    firstChildNode: isComposition ? readChildren(reading, childrenNode, label) : -1,
    name,
    nameSpan: name === '' ? null : contentSpan(document, nameNode),
    label: name === '' ? label : contentSpan(document, nameNode),
    metadataNode,
    isEnabled,
    range,
    speed,
    trackKind: itemKind === 'track' ? readTrackKind(reading, kindNode, label) : '',
    media:
      itemKind === 'clip'
        ? readMedia(reading, {
            schema: schemaNode,
            version: schema.version,
            references,
            activeKey,
            reference,
            metadata: metadataNode,
          })
        : null,
    before,
    after,
    length: ZERO,
    lengthDoubt: null,
    innerLength: ZERO,
    clipIndex: -1,
  };
}

/** The same item with other children, for texts whose top level is no stack. */
export function syntheticStack(node: number, label: Span): Item {
  return { ...opaque(node, null, 0, label, ''), kind: 'stack', children: [], lengthDoubt: null };
}

/** Metadata must be an object where it stands at all. */
export function checkMetadata(reading: Reading, node: number): void {
  if (node === -1 || kindOf(reading.document, node) === 'object') return;
  const found = describeKind(kindOf(reading.document, node));
  reportUnreadable(
    reading,
    visibleSpan(reading.document, node),
    `metadata is ${found}: expected an object, empty when there is none.`,
  );
}

function opaque(node: number, parent: Item | null, position: number, label: Span, doubt: string): Item {
  return {
    kind: 'opaque',
    node,
    parent,
    position,
    children: NO_CHILDREN,
    firstChildNode: -1,
    name: '',
    nameSpan: null,
    label,
    metadataNode: -1,
    isEnabled: true,
    range: null,
    speed: NORMAL_SPEED,
    trackKind: '',
    media: null,
    before: ZERO,
    after: ZERO,
    length: ZERO,
    lengthDoubt: doubt,
    innerLength: ZERO,
    clipIndex: -1,
  };
}

function itemKindOf(role: string | undefined): Exclude<ItemKind, 'opaque'> | null {
  switch (role) {
    case 'stack':
    case 'track':
    case 'clip':
    case 'gap':
    case 'transition':
      return role;
    default:
      return null;
  }
}

function readEnabled(reading: Reading, node: number): boolean {
  if (node === -1) return true;
  const kind = kindOf(reading.document, node);
  if (kind === 'true' || kind === 'false') return kind === 'true';
  reportUnreadable(
    reading,
    visibleSpan(reading.document, node),
    `enabled is ${describeKind(kind)}: expected true or false. It is taken as true.`,
  );
  return true;
}

function readChildren(reading: Reading, node: number, label: Span): number {
  if (node === -1) {
    reportUnreadable(reading, label, 'This composition has no children: expected a list, empty when there are none.');
    return -1;
  }
  const kind = kindOf(reading.document, node);
  if (kind === 'array') return firstChild(reading.document, node);
  reportUnreadable(reading, visibleSpan(reading.document, node), `children is ${describeKind(kind)}: expected a list of items.`);
  return -1;
}

function readTrackKind(reading: Reading, node: number, label: Span): string {
  if (node === -1) {
    reportUnreadable(reading, label, 'This Track has no kind: expected "Video" or "Audio".');
    return '';
  }
  return readText(reading, node, 'kind') ?? '';
}

function readOffset(reading: Reading, node: number, name: string, label: Span): Rational {
  if (node === -1) {
    reportUnreadable(reading, label, `This Transition has no ${name}: expected a RationalTime.1.`);
    return ZERO;
  }
  return readTime(reading, node, `${name} of the transition`)?.seconds ?? ZERO;
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Where a whole item stands in the text. */
export function itemSpan(reading: Reading, item: Item): Span {
  return spanOf(reading.document, item.node);
}
