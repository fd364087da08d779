/**
 * What reels are made of, exactly: places and paces as fractions worked out by hand, stamps against published values, and which picture
 * of a stack a whole cut shows.
 */

import { describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../../server/src/core/audit.ts';
import type { PulledTimeline } from '../../../server/src/core/handoff/pullList.ts';
import { planCutReels, planPictureReels, reelStamp } from '../../../server/src/core/handoff/reelPlan.ts';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { type CutClip, cutOf } from './shoot.ts';

interface ReportParts {
  readonly pictures: Readonly<Record<string, object>>;
  readonly sounds?: Readonly<Record<string, object>>;
  readonly pairs?: readonly object[];
}

const DECK = { names: ['deck.wav'], sampleRate: 48000 };

function timeline(
  clips: readonly CutClip[],
  { pictures, sounds = { deck: DECK }, pairs = [] }: ReportParts,
  edit = (text: string): string => text,
): PulledTimeline {
  const report = readReport('day.alignment.json', JSON.stringify({ alignment: 1, pictures, sounds, pairs }));
  expect(report.problems.filter(({ severity }) => severity === 'error')).toEqual([]);
  return {
    path: 'cut.otio',
    audit: audit({ format: 'otio', text: edit(cutOf(clips)), reports: [report], settings: defaultSettings }),
    handles: { frames: 48, seconds: rational(2) },
  };
}

const SHOT: CutClip = { track: 'V1', file: 'cam.mov', at: 0, length: 48, from: 0 };
const PAIR = { picture: 'cam', sound: 'deck', at: { frame: 0, sample: 0 } };

describe("the stamp of a reel: the picture's timecode in samples since midnight (computed from ST 12-1 counts and exact rates)", () => {
  test.each([
    ['24000/1001', '01:00:00:00', false, 172_972_800],
    ['24', '01:00:00:00', false, 172_800_000],
    ['25', '10:00:00:00', false, 1_728_000_000],
    ['30000/1001', '01:00:00:00', false, 172_972_800],
    // 172,799,827.2: not whole, so to the nearest.
    ['30000/1001', '01:00:00;00', true, 172_799_827],
    ['30000/1001', '10:00:00;00', true, 1_727_998_272],
    ['24000/1001', '23:59:59:23', false, 4_151_345_198],
  ])('%s %s', (rate, start, dropFrame, stamp) => {
    const pictures = { cam: { names: ['cam.mov'], rate, start, dropFrame, frames: 100 } };
    const { reels } = planPictureReels([timeline([SHOT], { pictures, pairs: [PAIR] })]);
    expect(reels.map(reelStamp)).toEqual([stamp]);
    expect(reels[0]?.isDropFrame).toBe(dropFrame);
  });
});

describe('the length of a reel: that of its picture, to the nearest sample', () => {
  test.each([
    ['24000/1001', 1, 2002],
    ['25', 250, 480_000],
    // Five frames at 29.97 are 8,008 samples (SMPTE 272M, as quoted elsewhere); one is 1,601.6.
    ['30000/1001', 5, 8008],
    ['30000/1001', 1, 1602],
    ['60000/1001', 1, 801],
  ])('%s, %d frames', (rate, frames, samples) => {
    const pictures = { cam: { names: ['cam.mov'], rate, frames } };
    const { reels } = planPictureReels([timeline([SHOT], { pictures, pairs: [PAIR] })]);
    expect(reels[0]?.sampleCount).toBe(samples);
  });
});

describe('place and pace in the recording, as fractions', () => {
  test('s(0) = sample - frame / rate x (1 + drift) x sample rate', () => {
    const pictures = { cam: { names: ['cam.mov'], rate: '24000/1001', frames: 4316 } };
    const pairs = [{ ...PAIR, at: { frame: 132, sample: 1_234_567.25 }, driftPpm: 12.5 }];
    const [reel] = planPictureReels([timeline([SHOT], { pictures, pairs })]).reels;
    const [piece] = reel?.pieces ?? [];
    if (piece === undefined) throw new Error('one piece was expected');
    // 1234567.25 - 132 x 2002 x 1.0000125, worked out by hand: 264264 x 1.0000125 = 264267.3033.
    expect(formatRational(piece.from)).toBe(formatRational(rational(12_345_672_500n - 2_642_673_033n, 10_000n)));
    expect(formatRational(piece.step)).toBe('80001/80000');
    expect([piece.at, piece.count]).toEqual([0, 4316 * 2002]);
  });
});

describe('reels of pictures', () => {
  const pictures = { cam: { names: ['cam.mov'], rate: '24000/1001', frames: 100, start: '01:00:00:00' } };

  test('one for each recording paired with a picture that is shown; one for all its clips', () => {
    const sounds = { deck: DECK, pocket: { names: ['pocket.wav'], sampleRate: 48000 } };
    const pairs = [PAIR, { ...PAIR, sound: 'pocket' }];
    const clips = [SHOT, { ...SHOT, at: 60, from: 50 }];
    const { reels, refused } = planPictureReels([timeline(clips, { pictures, sounds, pairs })]);
    expect(refused).toEqual([]);
    expect(reels.map(({ pieces }) => pieces.map(({ pair }) => pair.sound.key))).toEqual([['deck'], ['pocket']]);
  });

  test('none for a picture that is not shown, is not paired, or whose length nobody says', () => {
    const more = { ...pictures, lone: { names: ['lone.mov'], rate: 25, frames: 9 }, long: { names: ['long.mov'], rate: 25 } };
    const pairs = [PAIR, { ...PAIR, picture: 'long' }];
    const clips = [
      { ...SHOT, file: 'lone.mov' },
      { ...SHOT, file: 'long.mov', at: 48 },
    ];
    const bare = (text: string): string =>
      text.replaceAll(/,\s*"available_range": \{[^{}]*\{[^{}]*\},[^{}]*\{[^{}]*\}\s*\}/g, '');
    const { reels, refused } = planPictureReels([timeline(clips, { pictures: more, pairs }, bare)]);
    expect(reels).toEqual([]);
    expect(refused.map(({ what, reason }) => `${what}: ${reason}`)).toEqual([
      'lone: the report pairs no recording with this picture',
      'long: neither the report nor the timeline says how long this picture is; add "frames" to its entry in the report',
    ]);
  });
});

describe('the reel of a cut', () => {
  const pictures = {
    a: { names: ['a.mov'], rate: '24000/1001', frames: 10_000 },
    b: { names: ['b.mov'], rate: '24000/1001', frames: 10_000 },
  };
  const sounds = { 'deck-a': { names: ['da.wav'], sampleRate: 48000 }, 'deck-b': { names: ['db.wav'], sampleRate: 48000 } };
  const pairs = [
    { picture: 'a', sound: 'deck-a', at: { frame: 0, sample: 1000 } },
    { picture: 'b', sound: 'deck-b', at: { frame: 0, sample: 5000 } },
  ];
  const FRAME = 2002;

  test('shows the topmost picture of the report at every instant; a title on top silences nothing', () => {
    const clips = [
      { track: 'V1', file: 'a.mov', at: 0, length: 100, from: 10 },
      { track: 'V2', file: 'b.mov', at: 40, length: 20, from: 7 },
      { track: 'V3', file: 'title.mov', at: 0, length: 100, from: 0 },
    ];
    const [reel] = planCutReels(timeline(clips, { pictures, sounds, pairs })).reels;
    expect(
      reel?.pieces.map(({ pair, at, count, from }) => [
        pair.picture.key,
        at / FRAME,
        count / FRAME,
        (Number(from.numerator) / Number(from.denominator) - (pair.picture.key === 'a' ? 1000 : 5000)) / FRAME,
      ]),
    ).toEqual([
      ['a', 0, 40, 10],
      ['b', 40, 20, 7],
      ['a', 60, 40, 70],
    ]);
    expect(reel?.sampleCount).toBe(100 * FRAME);
  });

  test('is silent under pictures at another speed, and says how many', () => {
    const clips = [
      { track: 'V1', file: 'a.mov', at: 0, length: 50, from: 0 },
      { track: 'V1', file: 'b.mov', at: 50, length: 50, from: 0 },
    ];
    const twice = (text: string): string => {
      const cut = JSON.parse(text) as { tracks: { children: { children: Record<string, unknown>[] }[] } };
      const clip = cut.tracks.children[0]?.children[0] as Record<string, unknown>;
      clip['effects'] = [
        { OTIO_SCHEMA: 'LinearTimeWarp.1', name: 'twice', effect_name: 'LinearTimeWarp', time_scalar: 2, metadata: {} },
      ];
      return JSON.stringify(cut);
    };
    const [reel] = planCutReels(timeline(clips, { pictures, sounds, pairs }, twice)).reels;
    expect(reel?.pieces.map(({ pair, at }) => [pair.picture.key, at / FRAME])).toEqual([['b', 50]]);
    expect(reel?.remarks).toEqual(['1 retimed picture is silent in it.']);
  });

  test('comes once for each recording a picture has', () => {
    const more = { ...sounds, pocket: { names: ['p.wav'], sampleRate: 48000 } };
    const clips = [
      { track: 'V1', file: 'a.mov', at: 0, length: 50, from: 0 },
      { track: 'V1', file: 'b.mov', at: 50, length: 50, from: 0 },
    ];
    const { reels } = planCutReels(
      timeline(clips, {
        pictures,
        sounds: more,
        pairs: [...pairs, { picture: 'b', sound: 'pocket', at: { frame: 0, sample: 0 } }],
      }),
    );
    expect(reels.map(({ lane, pieces }) => [lane, pieces.map(({ pair }) => pair.sound.key)])).toEqual([
      [1, ['deck-a', 'deck-b']],
      [2, ['pocket']],
    ]);
  });

  test('is refused where no picture of the report is shown', () => {
    const { reels, refused } = planCutReels(timeline([{ ...SHOT, file: 'elsewhere.mov' }], { pictures, sounds, pairs }));
    expect(reels).toEqual([]);
    expect(refused).toEqual([
      { what: 'cut.otio', reason: 'no picture of the report with a recording of its pair is shown in it' },
    ]);
  });

  test('ends with the cut and not a sample later, also where frames are no whole samples', () => {
    const ntsc = Object.fromEntries(Object.entries(pictures).map(([key, entry]) => [key, { ...entry, rate: '30000/1001' }]));
    const clips = [
      { track: 'V1', file: 'a.mov', at: 0, length: 3, from: 0 },
      { track: 'V1', file: 'b.mov', at: 3, length: 4, from: 0 },
    ];
    const at2997 = (text: string): string => text.replaceAll(String(24000 / 1001), String(30000 / 1001));
    const [reel] = planCutReels(timeline(clips, { pictures: ntsc, sounds, pairs }, at2997)).reels;
    // 7 frames are 11,211.2 samples; the second picture begins at 4,804.8, so with sample 4,805.
    expect(reel?.sampleCount).toBe(11_211);
    expect(reel?.pieces.map(({ at, count }) => [at, count])).toEqual([
      [0, 4805],
      [4805, 6406],
    ]);
  });
});
