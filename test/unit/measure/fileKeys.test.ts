/**
 * Keys of report entries: readable, unique, and the same whatever the order of the arguments.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { comparableName } from '../../../server/src/core/alignment/mediaNames.ts';
import { keysFor } from '../../../server/src/project/measure/fileKeys.ts';

describe('the key of a file', () => {
  test.each([
    [['CAM_A_0007.mov'], ['cam_a_0007']],
    [['day1/DECK_0012.WAV'], ['deck_0012']],
    [
      ['A001.mov', 'A001.wav'],
      ['a001-mov', 'a001-wav'],
    ],
    [
      ['card1/C0001.MP4', 'card2/C0001.MP4'],
      ['card1-c0001-mp4', 'card2-c0001-mp4'],
    ],
    [
      ['C0001.MP4', './C0001.MP4'],
      ['c0001-mp4-1', 'c0001-mp4-2'],
    ],
    [['Übung 3.wav'], ['übung 3']],
    [['.wav'], ['.wav']],
  ])('%j is %j', (paths, keys) => {
    expect(keysFor(paths)).toEqual(keys);
  });

  test('avoids keys that are taken', () => {
    expect(keysFor(['deck.wav'], ['deck'])).toEqual(['deck-wav']);
  });

  test('is unique, also where capitals make no difference', () => {
    const name = fc.constantFrom('a.wav', 'A.WAV', 'a.mov', 'b.wav', 'A', 'a-wav', 'a-wav-2');
    const path = fc.oneof(
      name,
      name.map((file) => `one/${file}`),
      name.map((file) => `two/${file}`),
    );
    fc.assert(
      fc.property(fc.array(path, { maxLength: 12 }), (paths) => {
        const keys = keysFor(paths);
        expect(new Set(keys.map(comparableName)).size).toBe(paths.length);
      }),
    );
  });

  test('does not depend on the order in which files are named', () => {
    const paths = ['x/C1.mov', 'y/C1.mov', 'C1.wav', 'D.wav'];
    const forwards = keysFor(paths);
    expect(forwards).toEqual(['x-c1-mov', 'y-c1-mov', 'c1-wav', 'd']);
    expect(keysFor(paths.toReversed()).toReversed()).toEqual(forwards);
  });
});
