/**
 * FNV-1a with 64 bits over UTF-8: a short name for a long text.
 *
 * It tells findings apart, it protects nothing. Values are those of the algorithm's authors (IETF draft-eastlake-fnv), so any
 * other program can make them too.
 */

import { utf8Length } from '../text/lineIndex.ts';

const OFFSET_BASIS = 0xcbf29ce484222325n;
const PRIME = 0x100000001b3n;
const LOW_64_BITS = 0xffffffffffffffffn;

/** 16 hexadecimal digits. */
export function hash64(text: string): string {
  let hash = OFFSET_BASIS;
  for (const character of text) {
    for (const byte of utf8Bytes(character.codePointAt(0) ?? 0)) hash = ((hash ^ BigInt(byte)) * PRIME) & LOW_64_BITS;
  }
  return hash.toString(16).padStart(16, '0');
}

/** The bytes of a code point in UTF-8 (RFC 3629, clause 3). Half a surrogate pair counts as U+FFFD, as encoders write it. */
function utf8Bytes(written: number): readonly number[] {
  const code = written >= 0xd800 && written <= 0xdfff ? 0xfffd : written;
  const length = utf8Length(code);
  if (length === 1) return [code];
  const lead = length === 2 ? 0xc0 : length === 3 ? 0xe0 : 0xf0;
  const bytes: number[] = [lead | (code >> (6 * (length - 1)))];
  for (let left = length - 2; left >= 0; left -= 1) bytes.push(0x80 | ((code >> (6 * left)) & 0x3f));
  return bytes;
}
