/**
 * FNV-1a with 64 bits. Values: the test vectors of the algorithm's authors, as in IETF draft-eastlake-fnv, appendix on test values.
 */

import { describe, expect, test } from 'vitest';
import { hash64 } from '../../../server/src/core/review/hash64.ts';

describe('hash64', () => {
  test.each([
    ['', 'cbf29ce484222325'],
    ['a', 'af63dc4c8601ec8c'],
    ['b', 'af63df4c8601f1a5'],
    ['foobar', '85944171f73967e8'],
  ])('of %j is the published value', (text, hash) => {
    expect(hash64(text)).toBe(hash);
  });

  test('is taken over UTF-8: the same as of the bytes an encoder makes', () => {
    // A second formulation, over the platform's own encoder.
    const second = (text: string): string => {
      let hash = 0xcbf29ce484222325n;
      for (const byte of new TextEncoder().encode(text)) hash = BigInt.asUintN(64, (hash ^ BigInt(byte)) * 0x100000001b3n);
      return hash.toString(16).padStart(16, '0');
    };
    for (const text of ['é', '水', '🎬', 'a\ud800b', 'müller "x" 🇨🇭']) expect(hash64(text), text).toBe(second(text));
  });
});
