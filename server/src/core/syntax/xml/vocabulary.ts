/**
 * What a format tells the XML reader about its elements: enough to notice what is missing, repeated or out of place, and
 * to tell an element that was never closed from one that stands in the wrong element.
 *
 * It is the reader's working form of the format's schema; a test holds the two together.
 */

export interface ElementRule {
  readonly name: string;
  /** Further local names that mean the same to the reader. */
  readonly otherNames?: readonly string[];
  /** The visitor sees the element open and close; what stands in it is skipped without a word. */
  readonly isOpaque?: boolean;
  /** `text`: characters only. `elements`: the children below, and white space. */
  readonly holds: 'text' | 'elements';
  /** Codes of the elements that must stand in it, once. */
  readonly required: readonly number[];
  /** Codes of the elements that may stand in it, once; in an element with repeated ones before those, in this order. */
  readonly optional: readonly number[];
  /** Codes of the elements that may stand in it any number of times. */
  readonly repeated: readonly number[];
  /** Names of attributes without prefix. */
  readonly attributes: readonly { readonly name: string; readonly isRequired: boolean }[];
}

export interface Vocabulary {
  readonly namespace: string;
  /** An element's code is its index; at most 31, since sets of codes are bits of a number. */
  readonly rules: readonly ElementRule[];
  /** Code of the document element. */
  readonly root: number;
  /** Elements of other namespaces that belong to the vocabulary all the same; none where this is absent. */
  readonly belongs?: (namespace: string, localName: string) => boolean;
  /** Known elements of which nothing is read: skipped with their content, without a word. */
  readonly passedOver?: ReadonlySet<string>;
}

/** The same, as bit sets and a map. */
export interface CompiledVocabulary extends Vocabulary {
  readonly codes: ReadonlyMap<string, number>;
  readonly isText: readonly boolean[];
  readonly isOpaque: readonly boolean[];
  /** Elements whose start tag must say something. */
  readonly needsAttributes: readonly boolean[];
  readonly required: readonly number[];
  readonly once: readonly number[];
  readonly allowed: readonly number[];
}

export function compileVocabulary(vocabulary: Vocabulary): CompiledVocabulary {
  const bits = (codes: readonly number[]): number => codes.reduce((set, code) => set | (1 << code), 0);
  return {
    ...vocabulary,
    codes: new Map(
      vocabulary.rules.flatMap(({ name, otherNames = [] }, code) => [name, ...otherNames].map((own) => [own, code])),
    ),
    isOpaque: vocabulary.rules.map((rule) => rule.isOpaque === true),
    isText: vocabulary.rules.map((rule) => rule.holds === 'text'),
    needsAttributes: vocabulary.rules.map((rule) => rule.attributes.some(({ isRequired }) => isRequired)),
    required: vocabulary.rules.map((rule) => bits(rule.required)),
    once: vocabulary.rules.map((rule) => bits([...rule.required, ...rule.optional])),
    allowed: vocabulary.rules.map((rule) => bits([...rule.required, ...rule.optional, ...rule.repeated])),
  };
}
