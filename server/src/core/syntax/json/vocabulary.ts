/**
 * Words a reader knows beforehand: names of members, schema names, fixed values.
 *
 * The scanner numbers every string that is one of them while its characters are at hand; a reader then compares numbers.
 * Looking at the characters again later would cost a cache miss for each of a million names.
 *
 * Words are ASCII and not empty; at most 255 of them, since a number is a byte and 0 means 'none of them'.
 */

export interface Vocabulary {
  /** Word number n is `words[n - 1]`. */
  readonly words: readonly string[];
  readonly numbers: ReadonlyMap<string, number>;
  readonly longest: number;
  /** First candidate for a length and a first character. */
  readonly slots: Uint8Array;
  /** Next candidate with the same length and first character. */
  readonly following: Uint8Array;
  /** Where each word's characters start in `codes`. */
  readonly offsets: Uint32Array;
  readonly codes: Uint8Array;
}

export function createVocabulary(words: readonly string[]): Vocabulary {
  if (words.length > 255) throw new RangeError('a vocabulary of more than 255 words');
  const longest = words.reduce((length, word) => Math.max(length, word.length), 0);
  const slots = new Uint8Array((longest + 1) << 7);
  const following = new Uint8Array(words.length + 1);
  const offsets = new Uint32Array(words.length + 1);
  const codes = Uint8Array.from(words.join(''), (character) => character.charCodeAt(0));
  let offset = 0;
  for (const [index, word] of words.entries()) {
    const slot = (word.length << 7) | word.charCodeAt(0);
    following[index + 1] = slots[slot] as number;
    slots[slot] = index + 1;
    offsets[index + 1] = offset;
    offset += word.length;
  }
  return { words, numbers: new Map(words.map((word, index) => [word, index + 1])), longest, slots, following, offsets, codes };
}

/** For readers that compare few names and need none. */
export const NO_WORDS: Vocabulary = createVocabulary([]);

/** The number of the word that stands at `start`, `length` units long; 0 when the vocabulary does not have it. */
export function wordAt(vocabulary: Vocabulary, units: Uint8Array, start: number, length: number): number {
  if (length > vocabulary.longest || length === 0) return 0;
  const { codes } = vocabulary;
  let word = vocabulary.slots[(length << 7) | ((units[start] as number) & 127)] as number;
  while (word !== 0) {
    const offset = vocabulary.offsets[word] as number;
    let matched = 0;
    while (matched < length && units[start + matched] === codes[offset + matched]) matched += 1;
    if (matched === length) return word;
    word = vocabulary.following[word] as number;
  }
  return 0;
}
