/**
 * SerializableObjectRef.1: an object that stands elsewhere in the file, named by its OTIO_REF_ID.
 *
 * The library reads these and no longer writes them. Only media references are followed: an item has one parent, so a
 * reference to an item would put it in two places, which the library refuses.
 */

import { firstChild, isKey, kindOf, nextSibling, rootNode, stringOf } from '../../syntax/json/jsonDocument.ts';
import {
  contentSpan,
  openingSpan,
  openObject,
  type Reading,
  reportUnreadable,
  schemaOf,
  shortened,
  valueNode,
} from './otioReading.ts';
import { MEMBER } from './otioWords.ts';

/** Opens the object itself, or the one a SerializableObjectRef points at; -1, and reported, when that is not there. */
export function followReference(reading: Reading, node: number): number {
  const { document } = reading;
  openObject(reading, node);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const idNode = valueNode(reading, MEMBER.id);
  if (schemaOf(reading, schemaNode)?.core?.role !== 'object-reference') return node;
  const id = idNode === -1 ? null : stringOf(document, idNode);
  const target = id === null ? undefined : objectsById(reading).get(id);
  if (target !== undefined) {
    openObject(reading, target);
    const isChain = schemaOf(reading, valueNode(reading, MEMBER.OTIO_SCHEMA))?.core?.role === 'object-reference';
    if (!isChain) return target;
  }
  const place = idNode === -1 ? openingSpan(document, node) : contentSpan(document, idNode);
  reportUnreadable(
    reading,
    place,
    `This reference points at ${id === null ? 'nothing' : `"${shortened(id)}"`}: expected the OTIO_REF_ID of an object in this file.`,
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
