/**
 * The attributes of a tag, read from its characters.
 *
 * The parser passes over a repeated attribute and does not say where a value stands, so the tag is looked at again here.
 * Whether it is well-formed the parser has said already: this file takes what is plainly there and stops where it is not.
 */

import type { Span } from '../../text/span.ts';
import type { Namespaces } from './namespaces.ts';
import type { ProblemReporter } from './problemLog.ts';
import type { ElementRule } from './vocabulary.ts';
import { decodeXmlText, isXmlSpace } from './xmlText.ts';

export interface XmlAttribute {
  /** As written, prefix included. */
  readonly name: string;
  /** The whole attribute. */
  readonly span: Span;
  /** The characters between the quotation marks. */
  readonly valueSpan: Span;
}

const NONE: readonly XmlAttribute[] = [];
const EQUALS = 61;

/**
 * The attributes between `start`, behind the name of the tag, and `end`, behind its `>`. Each name once: the first of
 * repeated ones, which are reported.
 */
export function readAttributes(
  text: string,
  start: number,
  end: number,
  largestCount: number,
  log: ProblemReporter,
): readonly XmlAttribute[] {
  // Not even room for a blank, a letter, '=' and a value.
  if (end - start < 4) return NONE;
  const attributes: XmlAttribute[] = [];
  let at = start;
  for (let count = 0; ; count += 1) {
    const attribute = attributeAt(text, at, end);
    if (attribute === null) return attributes;
    const { name, span } = attribute;
    at = span.end;
    if (count === largestCount) {
      log.limit(span.start, span.end, `This tag has more than ${largestCount} attributes; those from here on are not read.`);
      return attributes;
    }
    if (attributes.some((earlier) => earlier.name === name)) {
      log.unreadable(span.start, span.end, `The attribute ${name} is repeated; only the first one is read.`);
    } else {
      attributes.push(attribute);
    }
  }
}

/** The attribute that starts at or after `from`; null when none plainly does before `end`. */
function attributeAt(text: string, from: number, end: number): XmlAttribute | null {
  const nameStart = skipSpace(text, from, end);
  let nameEnd = nameStart;
  while (nameEnd < end && isNamePart(text.charCodeAt(nameEnd))) nameEnd += 1;
  const equals = skipSpace(text, nameEnd, end);
  if (nameEnd === nameStart || text.charCodeAt(equals) !== EQUALS) return null;
  const open = skipSpace(text, equals + 1, end);
  const quote = text.charAt(open);
  const isQuoted = quote === '"' || quote === "'";
  const valueStart = isQuoted ? open + 1 : open;
  let valueEnd = valueStart;
  if (isQuoted) valueEnd = text.indexOf(quote, valueStart);
  else while (valueEnd < end && isNamePart(text.charCodeAt(valueEnd))) valueEnd += 1;
  if (valueEnd < 0 || valueEnd >= end || (!isQuoted && valueEnd === valueStart)) return null;
  return {
    name: text.slice(nameStart, nameEnd),
    span: { start: nameStart, end: isQuoted ? valueEnd + 1 : valueEnd },
    valueSpan: { start: valueStart, end: valueEnd },
  };
}

function skipSpace(text: string, from: number, end: number): number {
  let at = from;
  while (at < end && isXmlSpace(text.charCodeAt(at))) at += 1;
  return at;
}

/** Anything but white space, quotation marks, `=`, `<`, `>` and `/`. */
function isNamePart(code: number): boolean {
  return !isXmlSpace(code) && code !== 34 && code !== 39 && code !== EQUALS && code !== 60 && code !== 62 && code !== 47;
}

/** Puts the namespace declarations among `attributes` in force. True when there are any. */
export function declareNamespaces(
  text: string,
  attributes: readonly XmlAttribute[],
  namespaces: Namespaces,
  depth: number,
): boolean {
  let hasAny = false;
  for (const { name, valueSpan } of attributes) {
    const prefix = name === 'xmlns' ? '' : name.startsWith('xmlns:') ? name.slice(6) : null;
    if (prefix === null || prefix === 'xml' || prefix === 'xmlns') continue;
    namespaces.declare(prefix, decodeXmlText(text.slice(valueSpan.start, valueSpan.end)), depth);
    hasAny = true;
  }
  return hasAny;
}

/** Reports attributes that the element of the tag at `tag` does not have, and those it lacks. Those of other namespaces are free. */
export function checkAttributes(
  rule: ElementRule,
  attributes: readonly XmlAttribute[],
  tag: Span,
  namespaces: Namespaces,
  log: ProblemReporter,
): void {
  for (const { name, span } of attributes) {
    if (name === 'xmlns' || name.startsWith('xmlns:')) continue;
    const colon = name.indexOf(':');
    const prefix = name.slice(0, Math.max(0, colon));
    if (colon > 0 && namespaces.lookUp(prefix) === null) {
      const message = `The prefix of ${name} is bound to no namespace. Declare it with xmlns:${prefix}="...", or remove the attribute.`;
      log.unreadable(span.start, span.end, message);
    } else if (colon <= 0 && !rule.attributes.some((known) => known.name === name)) {
      const known = rule.attributes.map((attribute) => attribute.name).join(', ');
      const expected = known === '' ? 'It has none.' : `Expected: ${known}.`;
      log.unreadable(span.start, span.end, `${rule.name} has no attribute ${name}. ${expected}`);
    }
  }
  for (const { name, isRequired } of rule.attributes) {
    if (!isRequired || attributes.some((attribute) => attribute.name === name)) continue;
    log.unreadable(tag.start, tag.end, `This ${rule.name} has no attribute ${name}.`);
  }
}
