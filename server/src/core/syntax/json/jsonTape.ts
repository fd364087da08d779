/**
 * The tape: every value and name of a JSON text as numbers in typed arrays, in text order.
 *
 * No object per node, because allocation is what costs when a text holds a million of them. A container comes before its
 * children; in an object, a name is directly followed by its value. `nexts` links the elements of an array and the names
 * of an object; 0 ends the chain, since node 0 is the root and nobody's sibling.
 */

/** Nothing readable stands where a value belongs. */
export const MISSING = 0;
export const OBJECT = 1;
export const ARRAY = 2;
/** A string between double quotes without escapes: its content is the characters between the quotes. */
export const STRING = 3;
/** A string whose content differs from its characters, or may: escapes, other quotes, no quotes, not closed. */
export const INTRICATE_STRING = 4;
export const NUMBER = 5;
export const TRUE = 6;
export const FALSE = 7;
export const NULL = 8;
/** NaN, Infinity, -Infinity, Inf, -Inf. */
export const NONFINITE = 9;

export interface JsonTape {
  readonly kinds: Uint8Array;
  /** For strings the number of the word in the reader's vocabulary; 0 for others. */
  readonly words: Uint8Array;
  readonly starts: Int32Array;
  readonly ends: Int32Array;
  readonly nexts: Int32Array;
}

export function createTape(capacity: number): JsonTape {
  return {
    kinds: new Uint8Array(capacity),
    words: new Uint8Array(capacity),
    starts: new Int32Array(capacity),
    ends: new Int32Array(capacity),
    nexts: new Int32Array(capacity),
  };
}

/** A tape with the same content and another capacity. */
export function resizeTape(tape: JsonTape, count: number, capacity: number): JsonTape {
  const resized = createTape(capacity);
  resized.kinds.set(tape.kinds.subarray(0, count));
  resized.words.set(tape.words.subarray(0, count));
  resized.starts.set(tape.starts.subarray(0, count));
  resized.ends.set(tape.ends.subarray(0, count));
  resized.nexts.set(tape.nexts.subarray(0, count));
  return resized;
}
