/**
 * Media references: what a clip shows or plays.
 *
 * Clip.1 has one reference, Clip.2 a map of them with the name of the active one. References may be shared through
 * SerializableObjectRef.1, which older writers use. A reference of a schema that is not of the core is read for the
 * members it has in common with the others, and that is said.
 */

import { firstChild, isKey, kindOf, nextSibling, spanOf, stringOf } from '../../syntax/json/jsonDocument.ts';
import type { Rate } from '../../time/rate.ts';
import { add } from '../../time/rational.ts';
import type { Media } from '../../timeline/model.ts';
import { sequenceUrl } from './imageSequence.ts';
import {
  contentSpan,
  openingSpan,
  type Reading,
  reportNote,
  reportUnreadable,
  reviewVersion,
  schemaOf,
  shortened,
  valueNode,
} from './otioReading.ts';
import { findReel } from './otioReel.ts';
import { followReference } from './otioReferences.ts';
import { type PlainRange, readPlainRange } from './otioTimes.ts';
import { describeKind, readRate, readText, visibleSpan } from './otioValues.ts';
import { MEMBER } from './otioWords.ts';

/** A reference with the nodes that later steps need. */
export interface OtioMedia {
  readonly media: Media;
  readonly available: PlainRange | null;
}

const NO_MEDIA: OtioMedia = {
  media: {
    kind: 'missing',
    url: null,
    urlSpan: null,
    name: null,
    nameSpan: null,
    reel: null,
    reelSpan: null,
    available: null,
    sourceIsMediaTime: false,
    rate: null,
    rateSpan: null,
  },
  available: null,
};

/** The nodes of a clip that say which media it uses. */
export interface MediaNodes {
  readonly schema: number;
  readonly version: number;
  readonly references: number;
  readonly activeKey: number;
  readonly reference: number;
  /** The clip's metadata, for the reel. */
  readonly metadata: number;
}

export function readMedia(reading: Reading, nodes: MediaNodes): OtioMedia {
  const { document } = reading;
  // A Clip.1 has one reference; files exist that call themselves Clip.2 and still write it.
  if (nodes.version < 2 || (nodes.references === -1 && nodes.reference !== -1)) {
    if (nodes.version >= 2)
      reportUnreadable(
        reading,
        contentSpan(document, nodes.schema),
        'This Clip.2 has media_reference: expected media_references.',
      );
    return nodes.reference === -1
      ? withoutReference(reading, nodes.metadata)
      : readReference(reading, nodes.reference, nodes.metadata, true);
  }
  if (nodes.references === -1) {
    reportUnreadable(
      reading,
      contentSpan(document, nodes.schema),
      'This clip has no media_references: expected an object, empty when there are none.',
    );
    return withoutReference(reading, nodes.metadata);
  }
  const kind = kindOf(document, nodes.references);
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, nodes.references),
      `media_references is ${describeKind(kind)}: expected an object with one member for each reference.`,
    );
    return withoutReference(reading, nodes.metadata);
  }
  return readActiveReference(reading, nodes);
}

function readActiveReference(reading: Reading, nodes: MediaNodes): OtioMedia {
  const { document } = reading;
  let activeName = 'DEFAULT_MEDIA';
  if (nodes.activeKey === -1 || kindOf(document, nodes.activeKey) !== 'string') {
    const place = nodes.activeKey === -1 ? contentSpan(document, nodes.schema) : visibleSpan(document, nodes.activeKey);
    reportUnreadable(
      reading,
      place,
      'This clip does not say which of its media references is active: expected active_media_reference_key with a text.',
    );
  } else {
    activeName = stringOf(document, nodes.activeKey);
  }
  let active = -1;
  let isEmpty = true;
  for (let key = firstChild(document, nodes.references); key !== -1; key = nextSibling(document, key)) {
    isEmpty = false;
    if (active === -1 && isKey(document, key, activeName)) active = key + 1;
    else if (kindOf(document, key + 1) !== 'object') reportReferenceKind(reading, key + 1);
  }
  if (active !== -1) return readReference(reading, active, nodes.metadata, false);
  if (!isEmpty) {
    const place = nodes.activeKey === -1 ? openingSpan(document, nodes.references) : contentSpan(document, nodes.activeKey);
    reportUnreadable(
      reading,
      place,
      `The active media reference "${shortened(activeName)}" is not among this clip's media_references: which media it shows is not known.`,
    );
  }
  return withoutReference(reading, nodes.metadata);
}

function reportReferenceKind(reading: Reading, node: number): void {
  const kind = kindOf(reading.document, node);
  reportUnreadable(
    reading,
    visibleSpan(reading.document, node),
    `A media reference is ${describeKind(kind)}: expected an object such as ExternalReference.1.`,
  );
}

function readReference(reading: Reading, written: number, clipMetadata: number, mayBeNull: boolean): OtioMedia {
  const { document } = reading;
  const kind = kindOf(document, written);
  if (kind !== 'object') {
    if (kind !== 'null' || !mayBeNull) reportReferenceKind(reading, written);
    return withoutReference(reading, clipMetadata);
  }
  const node = followReference(reading, written);
  if (node === -1) return withoutReference(reading, clipMetadata);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const nameNode = valueNode(reading, MEMBER.name);
  const rangeNode = valueNode(reading, MEMBER.available_range);
  const metadataNode = valueNode(reading, MEMBER.metadata);
  const {
    kind: mediaKind,
    url,
    urlNode,
    otherName,
    rate: statedRate,
    rateNode: statedRateNode,
  } = readContent(reading, node, schemaNode);
  const available = readPlainRange(reading, rangeNode, 'available_range');
  const name = readText(reading, nameNode, 'name');
  const hasName = name !== null && name !== '';
  const hasUrl = url !== null && url !== '';
  const reelNode = findReel(document, clipMetadata, metadataNode);
  const rateNode = available !== null && available.rate !== null ? available.rateNode : statedRateNode;
  return {
    media: {
      kind: mediaKind,
      url: hasUrl ? url : null,
      urlSpan: hasUrl ? contentSpan(document, urlNode) : null,
      name: hasName ? name : otherName,
      nameSpan: hasName ? contentSpan(document, nameNode) : null,
      reel: reelNode === -1 ? null : stringOf(document, reelNode),
      reelSpan: reelNode === -1 ? null : contentSpan(document, reelNode),
      available: availableRange(available),
      sourceIsMediaTime: false,
      rate: available?.rate ?? statedRate,
      rateSpan: rateNode === -1 ? null : spanOf(document, rateNode),
    },
    available,
  };
}

/** What depends on the kind of reference. */
interface Content {
  readonly kind: Media['kind'];
  readonly url: string | null;
  readonly urlNode: number;
  /** Shown where the reference has no name. */
  readonly otherName: string | null;
  readonly rate: Rate | null;
  readonly rateNode: number;
}

/** Reads those members of the object opened last; opens others on the way. */
function readContent(reading: Reading, node: number, schemaNode: number): Content {
  const { document } = reading;
  const urlNode = valueNode(reading, MEMBER.target_url);
  const generatorNode = valueNode(reading, MEMBER.generator_kind);
  const schema = schemaOf(reading, schemaNode);
  if (schema === null) {
    const place = schemaNode === -1 ? openingSpan(document, node) : visibleSpan(document, schemaNode);
    reportUnreadable(
      reading,
      place,
      'This media reference has no readable OTIO_SCHEMA: expected one such as "ExternalReference.1".',
    );
  } else {
    reviewVersion(reading, schema, schemaNode);
  }
  const url = readText(reading, urlNode, 'target_url');
  const plain = { url, urlNode, otherName: null, rate: null, rateNode: -1 };
  switch (schema?.core?.role) {
    case 'external-reference':
      if (urlNode === -1) {
        const message = 'This ExternalReference has no target_url: expected the URL or path of the file.';
        reportUnreadable(reading, contentSpan(document, schemaNode), message);
      }
      return { kind: 'file', ...plain };
    case 'generator-reference':
      if (generatorNode === -1) {
        const message = 'This GeneratorReference has no generator_kind: expected a text such as "SMPTEBars".';
        reportUnreadable(reading, contentSpan(document, schemaNode), message);
      }
      return { kind: 'generator', ...plain, otherName: readText(reading, generatorNode, 'generator_kind') };
    case 'sequence-reference':
      return readSequence(reading, node, schemaNode);
    case 'missing-reference':
    case 'media-reference':
      return { kind: 'missing', ...plain };
    default: {
      if (schema !== null) {
        const message = `${shortened(schema.name)} is not one of OTIO's own media references; only its name, URL and available range are used, where it has them.`;
        reportNote(reading, contentSpan(document, schemaNode), message);
      }
      return { kind: urlNode === -1 ? 'missing' : 'file', ...plain };
    }
  }
}

function readSequence(reading: Reading, node: number, schemaNode: number): Content {
  const base = valueNode(reading, MEMBER.target_url_base);
  const rateNode = valueNode(reading, MEMBER.rate);
  const url = sequenceUrl(reading, schemaNode);
  const rate = rateNode === -1 ? null : readRate(reading, node, rateNode, 'image sequence');
  return {
    kind: 'sequence',
    url,
    urlNode: base === -1 ? schemaNode : base,
    otherName: null,
    rate,
    rateNode: rate === null ? -1 : rateNode,
  };
}

function withoutReference(reading: Reading, clipMetadata: number): OtioMedia {
  const reelNode = findReel(reading.document, clipMetadata, -1);
  if (reelNode === -1) return NO_MEDIA;
  const { document } = reading;
  return {
    ...NO_MEDIA,
    media: { ...NO_MEDIA.media, reel: stringOf(document, reelNode), reelSpan: contentSpan(document, reelNode) },
  };
}

function availableRange(range: PlainRange | null): Media['available'] {
  if (range === null || range.start === null || range.duration === null) return null;
  return { start: range.start, end: add(range.start, range.duration) };
}
