/**
 * Bounds of the XML reader. A timeline stays far below each; a text that does not is broken or an attack, and whatever a
 * bound cuts short says so in an observation.
 */

export interface XmlLimits {
  /** UTF-16 units that are read; the rest of a longer text is left out. */
  readonly textLength: number;
  /** Elements inside one another; what stands deeper is left out, and reading goes on after it. */
  readonly depth: number;
  /** Attributes of one element; further ones are left out. */
  readonly attributes: number;
  /** Problems that are listed. */
  readonly problems: number;
  /** Errors of the underlying parser, several per problem, after which reading stops: they bound its work. */
  readonly parserErrors: number;
  /** Digits of one number. 18 digits of samples at 192 kHz are 165,000 years. */
  readonly digits: number;
}

export const XML_LIMITS: XmlLimits = {
  textLength: 2 ** 27,
  depth: 512,
  attributes: 64,
  problems: 10_000,
  parserErrors: 50_000,
  digits: 40,
};
