/**
 * The tape: every value and name of a JSON text as four integers in one typed array, in text order.
 *
 * No object per node, because allocation is what costs when a text holds a million of them. A container comes before its
 * children; in an object, a name is directly followed by its value. The four integers of a node:
 *
 * - where it starts and where it ends in the text (strings with their quotes),
 * - the next element of its array or the next name of its object; 0 at the end, since node 0 is the root and nobody's
 *   sibling,
 * - its kind, and above the lowest byte the number of the word it is in the reader's vocabulary, if any.
 *
 * The fast scanner writes the same tape from WebAssembly: what is changed here must be changed there.
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

export type JsonTape = Int32Array;

/** Integers per node. */
export const STRIDE = 4;

export function startAt(tape: JsonTape, node: number): number {
  return tape[node << 2] as number;
}

export function endAt(tape: JsonTape, node: number): number {
  return tape[(node << 2) + 1] as number;
}

/** The next sibling; 0 at the end. */
export function nextAt(tape: JsonTape, node: number): number {
  return tape[(node << 2) + 2] as number;
}

export function kindAt(tape: JsonTape, node: number): number {
  return (tape[(node << 2) + 3] as number) & 0xff;
}

/** The number of the word a string is; 0 when it is none of the vocabulary. */
export function wordNumberAt(tape: JsonTape, node: number): number {
  return (tape[(node << 2) + 3] as number) >> 8;
}

/** A tape with the same nodes and room for `capacity` of them. */
export function resizeTape(tape: JsonTape, count: number, capacity: number): Int32Array<ArrayBuffer> {
  const resized = new Int32Array(capacity * STRIDE);
  resized.set(tape.subarray(0, count * STRIDE));
  return resized;
}
