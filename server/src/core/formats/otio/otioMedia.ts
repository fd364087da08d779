/**
 * Media references: what a clip shows or plays.
 *
 * Clip.1 has one reference, Clip.2 a map of them with the name of the active one. References may be shared through
 * SerializableObjectRef.1, which older writers use. A reference of a schema that is not of the core is read for the
 * members it has in common with the others, and that is said.
 */

import { firstChild, isKey, kindOf, nextSibling, rootNode, spanOf, stringOf } from '../../syntax/json/jsonDocument.ts';
import type { Media } from '../../timeline/model.ts';
import { sequenceUrl } from './imageSequence.ts';
import { contentSpan, openingSpan, type Reading, reportNote, reportUnreadable, reviewVersion, schemaOf } from './otioReading.ts';
import { describeKind, type OtioRange, rangeEnd, readRange, readRate, visibleSpan } from './otioTimes.ts';

/** A reference with the nodes that later steps need. */
export interface OtioMedia {
  readonly media: Media;
  readonly available: OtioRange | null;
  /** -1 when there is none. */
  readonly metadataNode: number;
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
  metadataNode: -1,
};

/** The nodes of a clip that say which media it uses. */
export interface MediaNodes {
  readonly clip: number;
  readonly schema: number;
  readonly version: number;
  readonly references: number;
  readonly activeKey: number;
  readonly reference: number;
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
    return nodes.reference === -1 ? NO_MEDIA : readReference(reading, nodes.reference, true);
  }
  if (nodes.references === -1) {
    reportUnreadable(
      reading,
      contentSpan(document, nodes.schema),
      'This clip has no media_references: expected an object, empty when there are none.',
    );
    return NO_MEDIA;
  }
  const kind = kindOf(document, nodes.references);
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, nodes.references),
      `media_references is ${describeKind(kind)}: expected an object with one member for each reference.`,
    );
    return NO_MEDIA;
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
  if (active !== -1) return readReference(reading, active, false);
  if (!isEmpty) {
    const place = nodes.activeKey === -1 ? openingSpan(document, nodes.references) : contentSpan(document, nodes.activeKey);
    reportUnreadable(
      reading,
      place,
      `The active media reference "${activeName}" is not among this clip's media_references: which media it shows is not known.`,
    );
  }
  return NO_MEDIA;
}

function reportReferenceKind(reading: Reading, node: number): void {
  const kind = kindOf(reading.document, node);
  reportUnreadable(
    reading,
    visibleSpan(reading.document, node),
    `A media reference is ${describeKind(kind)}: expected an object such as ExternalReference.1.`,
  );
}

function readReference(reading: Reading, written: number, mayBeNull: boolean): OtioMedia {
  const { document, members } = reading;
  const kind = kindOf(document, written);
  if (kind === 'null' && mayBeNull) return NO_MEDIA;
  if (kind !== 'object') {
    reportReferenceKind(reading, written);
    return NO_MEDIA;
  }
  const node = followReference(reading, written);
  if (node === -1) return NO_MEDIA;
  members.gather(document, node);
  const schemaNode = members.node('OTIO_SCHEMA');
  const nameNode = members.node('name');
  const rangeNode = members.node('available_range');
  const urlNode = members.node('target_url');
  const metadataNode = members.node('metadata');
  const generatorNode = members.node('generator_kind');
  const sequence = {
    base: members.node('target_url_base'),
    prefix: members.node('name_prefix'),
    suffix: members.node('name_suffix'),
    startFrame: members.node('start_frame'),
    step: members.node('frame_step'),
    padding: members.node('frame_zero_padding'),
    policy: members.node('missing_frame_policy'),
    rate: members.node('rate'),
  };
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
  const role = schema?.core?.role ?? null;
  let mediaKind: Media['kind'] = 'missing';
  let url: string | null = null;
  let urlSpanNode = -1;
  let sequenceRateNode = -1;
  switch (role) {
    case 'external-reference':
      mediaKind = 'file';
      if (urlNode === -1)
        reportUnreadable(
          reading,
          contentSpan(document, schemaNode),
          'This ExternalReference has no target_url: expected the URL or path of the file.',
        );
      break;
    case 'generator-reference':
      mediaKind = 'generator';
      if (generatorNode === -1)
        reportUnreadable(
          reading,
          contentSpan(document, schemaNode),
          'This GeneratorReference has no generator_kind: expected a text such as "SMPTEBars".',
        );
      break;
    case 'sequence-reference':
      mediaKind = 'sequence';
      url = sequenceUrl(reading, schemaNode, sequence);
      urlSpanNode = sequence.base;
      sequenceRateNode = sequence.rate;
      break;
    case 'missing-reference':
    case 'media-reference':
      break;
    default:
      if (schema !== null) {
        reportNote(
          reading,
          contentSpan(document, schemaNode),
          `${schema.name} is not one of OTIO's own media references; only its name, URL and available range are used, where it has them.`,
        );
        if (urlNode !== -1) mediaKind = 'file';
      }
  }
  if (url === null && urlNode !== -1) {
    url = readText(reading, urlNode, 'target_url');
    urlSpanNode = urlNode;
  }
  const available = readRange(reading, rangeNode, 'available_range');
  const sequenceRate = sequenceRateNode === -1 ? null : readRate(reading, node, sequenceRateNode, 'image sequence');
  const generatorName =
    mediaKind === 'generator' && generatorNode !== -1 ? readText(reading, generatorNode, 'generator_kind') : null;
  const name = readText(reading, nameNode, 'name');
  const rateHolder = available?.start ?? available?.duration ?? null;
  return {
    media: {
      kind: mediaKind,
      url: url === '' ? null : url,
      urlSpan: urlSpanNode === -1 || url === '' ? null : contentSpan(document, urlSpanNode),
      name: name === null || name === '' ? generatorName : name,
      nameSpan: name === null || name === '' ? null : contentSpan(document, nameNode),
      reel: null,
      reelSpan: null,
      available: availableRange(available),
      sourceIsMediaTime: false,
      rate: rateHolder?.rate ?? sequenceRate,
      rateSpan: rateHolder?.rateSpan ?? (sequenceRate === null ? null : spanOf(document, sequenceRateNode)),
    },
    available,
    metadataNode,
  };
}

function availableRange(range: OtioRange | null): Media['available'] {
  if (range === null || range.start === null) return null;
  const end = rangeEnd(range);
  return end === null ? null : { start: range.start.seconds, end };
}

/** A text member; null for null or none; reported and null for anything else. */
export function readText(reading: Reading, node: number, name: string): string | null {
  if (node === -1) return null;
  const kind = kindOf(reading.document, node);
  if (kind === 'string') return stringOf(reading.document, node);
  if (kind !== 'null')
    reportUnreadable(reading, visibleSpan(reading.document, node), `${name} is ${describeKind(kind)}: expected a text.`);
  return null;
}

/** The object itself, or the one a SerializableObjectRef points at; -1 when that is not there. */
function followReference(reading: Reading, node: number): number {
  const { document, members } = reading;
  members.gather(document, node);
  const schemaNode = members.node('OTIO_SCHEMA');
  const idNode = members.node('id');
  if (schemaOf(reading, schemaNode)?.core?.role !== 'object-reference') return node;
  const id = idNode === -1 ? null : stringOf(document, idNode);
  const target = id === null ? undefined : objectsById(reading).get(id);
  if (target !== undefined) {
    members.gather(document, target);
    const isChain = schemaOf(reading, members.node('OTIO_SCHEMA'))?.core?.role === 'object-reference';
    if (!isChain) return target;
  }
  const place = idNode === -1 ? openingSpan(document, node) : contentSpan(document, idNode);
  reportUnreadable(
    reading,
    place,
    `This reference points at ${id === null ? 'nothing' : `"${id}"`}: expected the OTIO_REF_ID of an object in this file.`,
  );
  return -1;
}

/** Every object that has an OTIO_REF_ID; built on first use, since hardly any file has one. */
function objectsById(reading: Reading): ReadonlyMap<string, number> {
  if (reading.objectsById !== null) return reading.objectsById;
  const { document } = reading;
  const index = new Map<string, number>();
  for (let node = rootNode(document); node >= 0 && node < document.nodeCount; node += 1) {
    if (kindOf(document, node) !== 'object') continue;
    for (let key = firstChild(document, node); key !== -1; key = nextSibling(document, key)) {
      if (!isKey(document, key, 'OTIO_REF_ID')) continue;
      const id = stringOf(document, key + 1);
      if (!index.has(id)) index.set(id, node);
      break;
    }
  }
  reading.objectsById = index;
  return index;
}
