/**
 * Character data of XML: from the characters as written to the text they stand for, and back.
 *
 * Only the five predefined entities and character references are ever expanded (XML 1.0, 4.1 and 4.6). A reference to
 * anything else stays as written, so nothing in a file can grow or fetch text.
 */

import type { Span } from '../../text/span.ts';

const PREDEFINED: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" };

const MARKUP = /<!--[\s\S]*?-->|<\?[\s\S]*?\?>|<!\[CDATA\[([\s\S]*?)\]\]>|&(#x[0-9a-fA-F]+|#[0-9]+|amp|lt|gt|quot|apos);/g;
const COMMENT_OR_INSTRUCTION = /<!--[\s\S]*?-->|<\?[\s\S]*?\?>/g;

/** The text a reference stands for; null when it is none of the five entities and no legal character reference. */
export function expandReference(name: string): string | null {
  if (!name.startsWith('#')) return Object.hasOwn(PREDEFINED, name) ? (PREDEFINED[name] as string) : null;
  const isHexadecimal = name.startsWith('#x');
  const digits = name.slice(isHexadecimal ? 2 : 1);
  // Ten digits are more than any code point has; leading zeros beyond that are not worth expanding.
  if (digits.length === 0 || digits.length > 10) return null;
  const code = Number.parseInt(digits, isHexadecimal ? 16 : 10);
  return isXmlCharacter(code) ? String.fromCodePoint(code) : null;
}

/** What the content of an element, or the value of an attribute, says: comments gone, CDATA unwrapped, references expanded. */
export function decodeXmlText(raw: string): string {
  if (!raw.includes('<') && !raw.includes('&')) return raw;
  return raw.replace(MARKUP, (whole, cdata: string | undefined, reference: string | undefined) => {
    if (reference !== undefined) return expandReference(reference) ?? whole;
    return cdata ?? '';
  });
}

/** `place` without white space at its ends. */
export function trimSpan(text: string, start: number, end: number): Span {
  let first = start;
  let last = end;
  while (first < last && isXmlSpace(text.charCodeAt(first))) first += 1;
  while (last > first && isXmlSpace(text.charCodeAt(last - 1))) last -= 1;
  return { start: first, end: last };
}

/** `place` without white space, comments and processing instructions at its ends: where the value itself stands. */
export function valueSpan(text: string, place: Span): Span {
  const raw = text.slice(place.start, place.end);
  if (!raw.includes('<')) return place;
  const blanked = raw.replace(COMMENT_OR_INSTRUCTION, (markup) => ' '.repeat(markup.length));
  const inner = trimSpan(blanked, 0, blanked.length);
  return { start: place.start + inner.start, end: place.start + inner.end };
}

/** Tab, line feed, carriage return, blank (XML 1.0, production 3). */
export function isXmlSpace(code: number): boolean {
  return code === 32 || code === 10 || code === 13 || code === 9;
}

/** Text as it may stand between tags. White space characters that would not survive reading become blanks. */
export function escapeXmlText(text: string): string {
  return replaceForbidden(text).replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;');
}

function replaceForbidden(text: string): string {
  let result = '';
  for (const character of text) {
    const code = character.codePointAt(0) as number;
    if (code === 9 || code === 10 || code === 13) result += ' ';
    else result += isXmlCharacter(code) ? character : '\ufffd';
  }
  return result;
}

/** XML 1.0, production 2. */
function isXmlCharacter(code: number): boolean {
  return (
    code === 9 ||
    code === 10 ||
    code === 13 ||
    (code >= 0x20 && code <= 0xd7ff) ||
    (code >= 0xe000 && code <= 0xfffd) ||
    (code >= 0x10000 && code <= 0x10ffff)
  );
}
