/**
 * The attributes of the tag being read, with the places of their values.
 *
 * The parser keeps attributes in an object and passes over a repeated one. Taking each out of that object as it arrives
 * makes the parser report every one, so that a repeated one can be reported here; it also keeps an attribute named
 * `hasOwnProperty` from breaking the parser.
 */

import type { SaxParser } from 'sax/lib/sax.js';
import type { Span } from '../../text/span.ts';
import type { Namespaces } from './namespaces.ts';
import type { ProblemReporter } from './problemLog.ts';
import type { ElementRule } from './vocabulary.ts';
import { decodeXmlText } from './xmlText.ts';

export interface XmlAttribute {
  /** As written, prefix included. */
  readonly name: string;
  /** The characters between the quotation marks. */
  readonly valueSpan: Span;
}

const NONE: readonly XmlAttribute[] = [];

export interface TagAttributes {
  /** Takes one attribute from the parser, at the moment it has read its last character. */
  readonly add: (attribute: { readonly name: string; readonly value: string }) => void;
  /** The attributes of the tag that has just been read; each name once, the first of repeated ones. */
  readonly take: () => readonly XmlAttribute[];
  /** Puts the tag's namespace declarations in force. True when there were any. */
  readonly declareNamespaces: (attributes: readonly XmlAttribute[], namespaces: Namespaces, depth: number) => boolean;
  /** Reports attributes the element does not have, and those it lacks. Those of other namespaces are free. */
  readonly check: (
    rule: ElementRule | undefined,
    attributes: readonly XmlAttribute[],
    start: number,
    end: number,
    hasNamespace: (prefix: string) => boolean,
  ) => void;
}

export function createTagAttributes(text: string, parser: SaxParser, largestCount: number, log: ProblemReporter): TagAttributes {
  let pending: XmlAttribute[] = [];
  let count = 0;
  return {
    add: ({ name, value }) => {
      delete parser.tag.attributes[name];
      count += 1;
      const place = placeOfValue(name, value);
      if (count > largestCount) {
        if (count === largestCount + 1) {
          const message = `This tag has more than ${largestCount} attributes; those from here on are not read.`;
          log.limit(place.start - name.length - 2, place.end + 1, message);
        }
      } else if (pending.some((earlier) => earlier.name === name)) {
        log.unreadable(
          startOfAttribute(name, place),
          place.end + 1,
          `The attribute ${name} is repeated; only the first one is read.`,
        );
      } else {
        pending.push({ name, valueSpan: place });
      }
    },
    take: () => {
      if (count === 0) return NONE;
      const taken = pending;
      pending = [];
      count = 0;
      return taken;
    },
    declareNamespaces: (attributes, namespaces, depth) => {
      let hasAny = false;
      for (const { name, valueSpan } of attributes) {
        const prefix = name === 'xmlns' ? '' : name.startsWith('xmlns:') ? name.slice(6) : null;
        if (prefix === null || prefix === 'xml' || prefix === 'xmlns') continue;
        namespaces.declare(prefix, decodeXmlText(text.slice(valueSpan.start, valueSpan.end)), depth);
        hasAny = true;
      }
      return hasAny;
    },
    check: (rule, attributes, start, end, hasNamespace) => {
      if (rule === undefined) return;
      for (const { name, valueSpan } of attributes) {
        const colon = name.indexOf(':');
        if (name === 'xmlns' || name.startsWith('xmlns:')) continue;
        if (colon > 0) {
          if (hasNamespace(name.slice(0, colon))) continue;
          const message = `The prefix of ${name} is bound to no namespace. Declare it with xmlns:${name.slice(0, colon)}="...", or remove the attribute.`;
          log.unreadable(startOfAttribute(name, valueSpan), valueSpan.end + 1, message);
        } else if (!rule.attributes.some((known) => known.name === name)) {
          const known = rule.attributes.map((attribute) => attribute.name).join(', ');
          const message = `${rule.name} has no attribute ${name}. ${known === '' ? 'It has none.' : `Expected: ${known}.`}`;
          log.unreadable(startOfAttribute(name, valueSpan), valueSpan.end + 1, message);
        }
      }
      for (const { name, isRequired } of rule.attributes) {
        if (!isRequired || attributes.some((attribute) => attribute.name === name)) continue;
        log.unreadable(start, end, `This ${rule.name} has no attribute ${name}.`);
      }
    },
  };

  /** The parser stands just behind the closing quotation mark, or behind whatever ended a value without one. */
  function placeOfValue(name: string, value: string): Span {
    const end = parser.position - 1;
    const quote = text[end];
    const tagStart = parser.startTagPosition - 1;
    if (quote === '"' || quote === "'") {
      const open = text.lastIndexOf(quote, end - 1);
      if (open > tagStart) return { start: open + 1, end };
    }
    return { start: Math.max(tagStart + name.length, end - value.length), end };
  }

  function startOfAttribute(name: string, place: Span): number {
    const found = text.lastIndexOf(name, place.start - 1);
    return found > parser.startTagPosition - 1 ? found : place.start;
  }
}
