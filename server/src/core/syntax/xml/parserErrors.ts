/**
 * The SAX parser's errors in words for people.
 *
 * Its texts are an implementation detail of a pinned package; the tests provoke each of these, so that a new version with
 * other texts is noticed. An unknown one is passed on as it is. Those not listed here cannot occur: what would cause them
 * has been taken out by prepareXml.ts.
 */

const MESSAGES: Readonly<Record<string, string>> = {
  'Non-whitespace before first tag.': 'Text stands before the first tag; only white space and comments may.',
  'Text data outside of root node.': 'Text stands outside the document element; only white space and comments may.',
  'Malformed comment': "Two hyphens stand inside this comment; '--' may only end one, as '-->'.",
  'Invalid character in tag name': 'The name of this tag holds a character that no name may hold.',
  'Invalid attribute name': 'This tag holds a character that starts no attribute. Expected: name="value".',
  'Attribute without value': 'An attribute of this tag has no value. Expected: name="value".',
  'Unquoted attribute value': 'The value of an attribute of this tag stands without quotation marks. Expected: name="value".',
  'No whitespace between attributes': 'White space is missing between two attributes of this tag.',
  'Forward-slash in opening tag not followed by >': "A '/' stands inside this tag; it may only end one, as '/>'.",
  'Invalid tagname in closing tag': 'The name of this end tag holds a character that no name may hold.',
  'Invalid characters in closing tag': 'An end tag holds nothing but its name.',
};

export function messageForParserError(kind: string): string {
  return MESSAGES[kind] ?? `The text is not well-formed XML here: ${kind}.`;
}
