/**
 * Effects of an item, as far as they change its speed.
 *
 * The speed is the product of `time_scalar` of every enabled LinearTimeWarp and FreezeFrame (a freeze is 0). A plain
 * TimeEffect has a curve nobody wrote down, so the speed becomes unknown. Other effects have no bearing on time; one of a
 * schema that is not of the core might, which is said.
 */

import { firstChild, kindOf, nextSibling, spanOf } from '../../syntax/json/jsonDocument.ts';
import { multiply, ONE, type Rational } from '../../time/rational.ts';
import type { Speed } from '../../timeline/model.ts';
import {
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
import { describeKind, readNumber, visibleSpan } from './otioValues.ts';
import { MEMBER } from './otioWords.ts';

export const NORMAL_SPEED: Speed = { kind: 'constant', scalar: ONE, span: null };

/** The speed that the `effects` of one item make; `NORMAL_SPEED` itself when they make none. */
export function readSpeed(reading: Reading, effectsNode: number): Speed {
  if (effectsNode === -1) return NORMAL_SPEED;
  const { document } = reading;
  const kind = kindOf(document, effectsNode);
  if (kind !== 'array') {
    reportUnreadable(
      reading,
      visibleSpan(document, effectsNode),
      `effects is ${describeKind(kind)}: expected a list, empty when there are none.`,
    );
    return NORMAL_SPEED;
  }
  let speed = NORMAL_SPEED;
  for (let node = firstChild(document, effectsNode); node !== -1; node = nextSibling(document, node)) {
    speed = combine(speed, readEffect(reading, node));
  }
  return speed;
}

/** One retime inside another: scalars multiply, unknown stays unknown. The inner one's place is kept. */
export function combine(outer: Speed, inner: Speed): Speed {
  if (outer === NORMAL_SPEED) return inner;
  if (inner === NORMAL_SPEED) return outer;
  if (inner.kind === 'unknown') return inner;
  if (outer.kind === 'unknown') return outer;
  return { kind: 'constant', scalar: multiply(outer.scalar, inner.scalar), span: inner.span ?? outer.span };
}

function readEffect(reading: Reading, node: number): Speed {
  const { document } = reading;
  const kind = kindOf(document, node);
  if (kind !== 'object') {
    reportUnreadable(
      reading,
      visibleSpan(document, node),
      `An effect is ${describeKind(kind)}: expected an object such as LinearTimeWarp.1.`,
    );
    return NORMAL_SPEED;
  }
  openObject(reading, node);
  const schemaNode = valueNode(reading, MEMBER.OTIO_SCHEMA);
  const scalarNode = valueNode(reading, MEMBER.time_scalar);
  const enabledNode = valueNode(reading, MEMBER.enabled);
  const nameNode = valueNode(reading, MEMBER.effect_name);
  const schema = schemaOf(reading, schemaNode);
  if (schema === null) {
    const place = schemaNode === -1 ? openingSpan(document, node) : visibleSpan(document, schemaNode);
    reportUnreadable(reading, place, 'This effect has no readable OTIO_SCHEMA: expected one such as "LinearTimeWarp.1".');
    return NORMAL_SPEED;
  }
  reviewVersion(reading, schema, schemaNode);
  const isEnabled = enabledNode === -1 || kindOf(document, enabledNode) !== 'false';
  const role = schema.core?.role;
  if (role !== 'effect' && role !== 'time-effect' && role !== 'time-warp') {
    if (isEnabled) {
      const message = `The effect ${shortened(schema.name)} is not one of OTIO's own; if it changes the speed, that is not taken into account here.`;
      reportNote(reading, contentSpan(document, schemaNode), message);
    }
    return NORMAL_SPEED;
  }
  if (nameNode === -1) {
    reportUnreadable(
      reading,
      contentSpan(document, schemaNode),
      `This ${schema.currentName} has no effect_name: expected a text.`,
    );
  }
  if (!isEnabled || role === 'effect') return NORMAL_SPEED;
  if (role === 'time-effect') {
    return { kind: 'unknown', reason: 'a TimeEffect does not say how time runs', span: contentSpan(document, schemaNode) };
  }
  const title = `${schema.currentName} effect`;
  const scalar: Rational | null = readNumber(reading, node, scalarNode, 'time_scalar', title);
  if (scalar === null) {
    return { kind: 'unknown', reason: `the speed of its ${title} cannot be read`, span: contentSpan(document, schemaNode) };
  }
  return { kind: 'constant', scalar, span: spanOf(document, scalarNode) };
}
