/**
 * Markers: nothing in the audit depends on them, but a reader that refuses one refuses the file, so they are looked at.
 *
 * Marker.1 has `range`, Marker.2 and 3 have `marked_range`. All three are read; the library's development version refuses
 * every Marker.2, which this does not copy.
 */

import { firstChild, kindOf, nextSibling } from '../../syntax/json/jsonDocument.ts';
import {
  contentSpan,
  openingSpan,
  openObject,
  type Reading,
  reportUnreadable,
  reviewVersion,
  schemaOf,
  valueNode,
} from './otioReading.ts';
import { readPlainRange } from './otioTimes.ts';
import { describeKind, visibleSpan } from './otioValues.ts';
import { MEMBER } from './otioWords.ts';

export function checkMarkers(reading: Reading, markersNode: number): void {
  if (markersNode === -1) return;
  const { document } = reading;
  const kind = kindOf(document, markersNode);
  if (kind !== 'array') {
    reportUnreadable(
      reading,
      visibleSpan(document, markersNode),
      `markers is ${describeKind(kind)}: expected a list, empty when there are none.`,
    );
    return;
  }
  for (let node = firstChild(document, markersNode); node !== -1; node = nextSibling(document, node)) checkMarker(reading, node);
}

function checkMarker(reading: Reading, node: number): void {
  const { document } = reading;
  if (kindOf(document, node) !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `A marker is ${describeKind(kindOf(document, node))}: expected a Marker object.`,
    );
    return;
  }
  openObject(reading, node);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const schema = schemaOf(reading, schemaNode);
  if (schema === null) {
    const place = schemaNode === -1 ? openingSpan(document, node) : visibleSpan(document, schemaNode);
    reportUnreadable(reading, place, 'This marker has no readable OTIO_SCHEMA: expected one such as "Marker.2".');
    return;
  }
  // A marker of another schema is kept by every reader and means nothing to this one.
  if (schema.core?.role !== 'marker') return;
  const name = schema.version < 2 ? 'range' : 'marked_range';
  const rangeNode = valueNode(reading, MEMBER[name]);
  reviewVersion(reading, schema, schemaNode);
  if (rangeNode === -1)
    reportUnreadable(
      reading,
      contentSpan(document, schemaNode),
      `This Marker.${schema.version} has no ${name}: expected a TimeRange.1.`,
    );
  else readPlainRange(reading, rangeNode, name);
}
