/**
 * The text once more as bytes, one for each UTF-16 unit, for loops that look at every character.
 *
 * `charCodeAt` asks a string each time how it is stored, which costs several times a load from a typed array; a scanner
 * and a reader that compares names look at every character at least once. What JSON is made of is ASCII, so ASCII keeps
 * its code and everything else becomes one and the same byte; who needs the real characters asks the text.
 *
 * Invariants
 * - `units[offset]` belongs to `text.charCodeAt(offset)`: below 128 it is the code, `OTHER` stands for all the rest.
 * - One more byte, 0, follows the last, so that a loop that stops at control characters needs no check for the end.
 *
 * Cost: about a copy of the text when it is ASCII; two to three times that otherwise.
 */

/** Stands for every unit outside ASCII. */
export const OTHER = 0x80;

/** Units turned at a time when the text is not ASCII, so that the extra memory stays small. */
const CHUNK = 1 << 16;

/** The part of the platform that is needed; the same in Node and in browsers. */
declare const TextEncoder: new () => {
  encodeInto(source: string, destination: Uint8Array): { readonly read: number; readonly written: number };
};

export function textUnits(text: string): Uint8Array {
  const units = new Uint8Array(text.length + 1);
  const encoder = new TextEncoder();
  const { read, written } = encoder.encodeInto(text, units);
  if (written !== text.length || read !== text.length) fillFromChunks(text, units, encoder);
  units[text.length] = 0;
  return units;
}

function fillFromChunks(text: string, units: Uint8Array, encoder: InstanceType<typeof TextEncoder>): void {
  const scratch = new Uint8Array(3 * CHUNK);
  const words = new Int32Array(scratch.buffer);
  for (let start = 0; start < text.length; start += CHUNK) {
    // A pair cut in two at the border becomes two replacement characters: two units all the same.
    const { written } = encoder.encodeInto(text.slice(start, start + CHUNK), scratch);
    compact(scratch, words, written, units, start);
  }
}

/** UTF-8 to one byte per UTF-16 unit: two and three bytes are one unit, four bytes are two. `words` is `bytes` by fours. */
function compact(bytes: Uint8Array, words: Int32Array, length: number, units: Uint8Array, start: number): void {
  let to = start;
  let from = 0;
  while (from < length) {
    const run = asciiEnd(bytes, words, from, length);
    if (run - from > SHORT_RUN) {
      units.set(bytes.subarray(from, run), to);
      to += run - from;
      from = run;
    }
    while (from < run) {
      units[to] = bytes[from] as number;
      to += 1;
      from += 1;
    }
    if (from >= length) return;
    const byte = bytes[from] as number;
    units[to] = OTHER;
    if (byte >= 0xf0) units[to + 1] = OTHER;
    to += byte >= 0xf0 ? 2 : 1;
    from += byte >= 0xf0 ? 4 : byte >= 0xe0 ? 3 : 2;
  }
}

/** Below this many bytes a loop is quicker than a block copy. */
const SHORT_RUN = 32;
const HIGH_BITS = 0x80808080 | 0;

/** The first byte outside ASCII from `from` on, or `length`. */
function asciiEnd(bytes: Uint8Array, words: Int32Array, from: number, length: number): number {
  let at = from;
  while (at < length && (at & 3) !== 0) {
    if ((bytes[at] as number) >= 0x80) return at;
    at += 1;
  }
  while (at + 4 <= length && ((words[at >>> 2] as number) & HIGH_BITS) === 0) at += 4;
  while (at < length && (bytes[at] as number) < 0x80) at += 1;
  return at;
}
