import { describe, expect, it } from 'vitest';
import {
  buildAlignment,
  entryFor,
  pairFor,
  pairsOfPicture,
  pairsOfSound,
  sharedPictureRate,
} from '../../../server/src/core/alignment/lookup.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { type ClipWords, clipWith } from './clips.ts';

const REPORT = {
  alignment: 1,
  pictures: {
    'cam-a-07': { names: ['CAM_A_0007.mov'], rate: '24000/1001' },
    'cam-b-03': { names: ['CAM_B_0003.mov', 'roll B3'], rate: '24000/1001' },
    'same-stem': { names: ['TAKE_9.mov'], rate: '24000/1001' },
  },
  sounds: {
    'deck-12': { names: ['DECK_0012.wav', 'Straße é.wav'], sampleRate: 48000 },
    'back-up-12': { names: ['RESERVE_0012'], sampleRate: 48000 },
    'same-stem-sound': { names: ['TAKE_9.wav'], sampleRate: 48000 },
  },
  pairs: [
    { picture: 'cam-a-07', sound: 'deck-12', at: { frame: 0, sample: 0 } },
    { picture: 'cam-b-03', sound: 'deck-12', at: { frame: 0, sample: 0 } },
    { picture: 'cam-a-07', sound: 'back-up-12', at: { frame: 0, sample: 0 } },
  ],
};

const report = readReport('day1.alignment.json', JSON.stringify(REPORT));
const alignment = buildAlignment([report]);

/** The key of the entry a clip means, what decided, and what else it could mean. */
function lookUp(words: ClipWords): string {
  const match = entryFor(alignment, clipWith(words));
  const key = match.picture?.key ?? match.sound?.key ?? 'nothing';
  const others = match.ambiguousWith.map((other) => `${other.entry.key} by ${other.by}`);
  return [match.by === null ? key : `${key} by ${match.by}`, ...others].join(', or ');
}

describe('the entry a clip means', () => {
  it('is found by the file name of its URL, however it is written', () => {
    expect(report.problems).toEqual([]);
    for (const url of [
      'file:///Volumes/Shoot/Day%201/CAM_A_0007.mov',
      'file://localhost/C%3A/Shoot/CAM_A_0007.MOV',
      'C:\\Shoot\\CAM_A_0007.mov',
      'file:///C:%5CShoot%5CCAM_A_0007.mov',
      '../media/cam_a_0007.mov',
      'CAM_A_0007.mov',
      'https://example.invalid/a/CAM_A_0007.mov?version=3#t=1',
      'file:///media/CAM_A_0007.mov/',
      'CAM_A_0007.mxf',
      'CAM_A_0007',
      'cam-a-07.mov',
    ]) {
      expect(lookUp({ media: { url } }), url).toBe('cam-a-07 by file name');
    }
  });

  it('survives wrong escapes, and accents composed either way', () => {
    expect(lookUp({ media: { url: 'file:///media/%E0%A4%A/DECK_0012.wav' } })).toBe('deck-12 by file name');
    expect(lookUp({ media: { url: '%' } })).toBe('nothing');
    expect(lookUp({ media: { url: 'file:///stra%C3%9Fe%20e%CC%81.wav' } })).toBe('deck-12 by file name');
    expect(lookUp({ media: { url: 'file:///100%/DECK_0012.wav' } })).toBe('deck-12 by file name');
  });

  it('is found by media name, reel and clip name, in that order', () => {
    expect(lookUp({ media: { name: 'deck-12' } })).toBe('deck-12 by media name');
    expect(lookUp({ media: { reel: 'ROLL B3' } })).toBe('cam-b-03 by reel');
    expect(lookUp({ name: 'Cam_A_0007' })).toBe('cam-a-07 by clip name');
    expect(lookUp({ media: { url: 'unknown.mov', reel: 'roll B3' }, name: 'roll b3' })).toBe('cam-b-03 by reel');
  });

  it('is the first that matches; a later name that means another makes it ambiguous', () => {
    expect(lookUp({ media: { url: 'CAM_A_0007.mov', reel: 'roll B3' }, name: 'DECK_0012' })).toBe(
      'cam-a-07 by file name, or cam-b-03 by reel, or deck-12 by clip name',
    );
    expect(lookUp({ media: { url: 'CAM_A_0007.mov', name: 'cam-a-07' }, name: 'CAM_A_0007' })).toBe('cam-a-07 by file name');
  });

  it('may be a sound on a picture track and the other way round', () => {
    expect(lookUp({ role: 'picture', name: 'DECK_0012.wav' })).toBe('deck-12 by clip name');
    expect(lookUp({ role: 'sound', name: 'CAM_A_0007.mov' })).toBe('cam-a-07 by clip name');
  });

  it('prefers a whole name to a stem, and the own role among equals', () => {
    expect(lookUp({ role: 'sound', name: 'TAKE_9.mov' })).toBe('same-stem by clip name');
    expect(lookUp({ role: 'picture', name: 'TAKE_9.wav' })).toBe('same-stem-sound by clip name');
    expect(lookUp({ role: 'sound', name: 'TAKE_9' })).toBe('same-stem-sound by clip name, or same-stem by clip name');
    expect(lookUp({ role: 'picture', name: 'TAKE_9' })).toBe('same-stem by clip name, or same-stem-sound by clip name');
  });

  it('takes no number for an extension', () => {
    expect(lookUp({ name: 'DECK_0012.5' })).toBe('nothing');
    expect(lookUp({ name: 'RESERVE_0012.wav' })).toBe('back-up-12 by clip name');
  });

  it('is nothing for a clip without names', () => {
    expect(lookUp({})).toBe('nothing');
    expect(lookUp({ media: { url: '', name: ' ', reel: '' } })).toBe('nothing');
  });
});

describe('pairs', () => {
  const [camA, camB, other] = report.pictures;
  const [deck, reserve] = report.sounds;
  if (!camA || !camB || !other || !deck || !reserve) throw new Error('the report of this test is not as expected');

  it('are found from either side', () => {
    expect(pairsOfSound(alignment, deck).map((pair) => pair.picture.key)).toEqual(['cam-a-07', 'cam-b-03']);
    expect(pairsOfPicture(alignment, camA).map((pair) => pair.sound.key)).toEqual(['deck-12', 'back-up-12']);
    expect(pairsOfPicture(alignment, other)).toEqual([]);
    expect(pairFor(alignment, camB, deck)?.picture).toBe(camB);
    expect(pairFor(alignment, camB, reserve)).toBeNull();
  });

  it('of the same two files count once: the one that states the least uncertainty', () => {
    const twice = (first: object, second: object): string => {
      const pairs = [first, second].map((more) => ({
        picture: 'cam-a-07',
        sound: 'deck-12',
        at: { frame: 0, sample: 0 },
        ...more,
      }));
      const read = readReport('twice.alignment.json', JSON.stringify({ ...REPORT, pairs }));
      const built = buildAlignment([read]);
      expect(built.pairs).toHaveLength(2);
      const [deckAgain] = built.sounds;
      return deckAgain
        ? pairsOfSound(built, deckAgain)
            .map((pair) => pair.note)
            .join()
        : '';
    };
    const fine = { note: 'fine', uncertaintyMs: { early: 0.1, late: 0.1 } };
    const coarse = { note: 'coarse', uncertaintyMs: { early: 20, late: 20 } };
    expect(twice(coarse, fine)).toBe('fine');
    expect(twice(fine, coarse)).toBe('fine');
    // Nothing stated is not the same as exact.
    expect(twice({ note: 'silent' }, coarse)).toBe('coarse');
    expect(twice({ note: 'first' }, { note: 'second' })).toBe('first');
  });
});

describe('the rate all pictures share', () => {
  it('is theirs, or null when they differ or there are none', () => {
    const shared = sharedPictureRate([report]);
    expect(shared && formatRational(shared)).toBe('24000/1001');
    expect(sharedPictureRate([])).toBeNull();
    const other = readReport('b.alignment.json', '{"alignment":1,"pictures":{"x":{"rate":25}},"sounds":{},"pairs":[]}');
    expect(sharedPictureRate([other, report])).toBeNull();
  });
});
