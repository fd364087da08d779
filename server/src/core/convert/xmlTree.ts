/**
 * XML as plain data, in the order in which it is to be written. Turning it into characters is left to a library outside of
 * the core.
 */

export interface XmlNode {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  /** Text, or elements. */
  readonly content: string | readonly XmlNode[];
}

export function textElement(name: string, content: string, attributes: XmlNode['attributes'] = {}): XmlNode {
  return { name, attributes, content };
}

/** Nulls among the children are left out. */
export function element(name: string, children: readonly (XmlNode | null)[], attributes: XmlNode['attributes'] = {}): XmlNode {
  return { name, attributes, content: children.filter((child) => child !== null) };
}

/**
 * Text as an XML token: no control characters, no line breaks, no runs of blanks (XML 1.0, production 2; XML Schema, token).
 * What no XML can hold becomes the replacement character.
 */
export function xmlToken(text: string): string {
  let result = '';
  for (const character of text) {
    const code = character.codePointAt(0) as number;
    const isAllowed = code >= 32 && code !== 0xfffe && code !== 0xffff && (code < 0xd800 || code > 0xdfff);
    result += code === 9 || code === 10 || code === 13 ? ' ' : isAllowed ? character : '\ufffd';
  }
  return result.replace(/ {2,}/g, ' ').replace(/^ | $/g, '');
}
