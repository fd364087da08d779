/**
 * From record time to media time: the walk of OTIO compositions.
 *
 * Expected numbers are worked out by hand from the definitions of the OTIO library (range_of_child, trimmed_range,
 * visible_range, transformed_time); the shared sample files with numbers of the library itself are in realFiles.test.ts.
 */

import { describe, expect, it } from 'vitest';
import { formatRational, multiply, rational } from '../../../server/src/core/time/rational.ts';
import {
  clip,
  freeze,
  gap,
  messagesOf,
  placesOf,
  range,
  read,
  scalarOf,
  stack,
  time,
  timeline,
  track,
  transition,
  warp,
} from './otioObjects.ts';

describe('a track', () => {
  it('plays its children one after another', () => {
    const cut = read(timeline([track('Video', [clip('a', range(100, 10)), gap(5), clip('b', range(0, 20))])]));
    expect(placesOf(cut)).toEqual(['a 0..10 from 100', 'b 15..35 from 0']);
    expect(formatRational(cut.duration)).toBe(formatRational(rational(35, 24)));
    expect(cut.observations).toEqual([]);
  });

  it('takes a clip without source_range as long as its media', () => {
    const media = { OTIO_SCHEMA: 'MissingReference.1', available_range: range(50, 8) };
    const cut = read(
      timeline([track('Video', [clip('a', null, { media_references: { DEFAULT_MEDIA: media } }), clip('b', range(0, 1))])]),
    );
    expect(placesOf(cut)).toEqual(['a 0..8 from 50', 'b 8..9 from 0']);
    expect([cut.clips[0]?.start, cut.clips[0]?.length]).toEqual([null, null]);
  });

  it('mixes rates exactly: 1 frame of 23.976 is 2002 samples', () => {
    const cut = read(timeline([track('Audio', [clip('a', range(0, 2002 * 24, 48000)), clip('b', range(0, 24, 23.976))])]));
    expect(placesOf(cut, rational(24000, 1001))).toEqual(['a 0..24 from 0', 'b 24..48 from 0']);
  });

  it('adds up a thousand clips of 29.97 without drifting', () => {
    const clips = Array.from({ length: 1000 }, (_, index) => clip(`c${index}`, range(0, 7, 29.97)));
    const last = read(timeline([track('Video', clips)])).clips.at(-1);
    expect(formatRational(multiply(last?.record.end ?? rational(0), rational(30000, 1001)))).toBe('7000');
  });
});

describe('source_range of compositions', () => {
  it('trims a track: clips outside are left out and counted, clips on the edge are cut', () => {
    const children = [clip('a', range(0, 10)), clip('b', range(100, 10)), clip('c', range(200, 10)), clip('d', range(300, 10))];
    const cut = read(timeline([track('Video', children, { source_range: range(15, 12) })]));
    expect(placesOf(cut)).toEqual(['b 0..5 from 105', 'c 5..12 from 200']);
    expect(messagesOf(cut, 'note')).toEqual([
      '2 clips lie wholly outside the source_range of a track without a name: never seen or heard, so not checked.',
    ]);
  });

  it('keeps pointing at the written start of a clip whose head is cut off', () => {
    const cut = read(timeline([track('Video', [clip('b', range(100, 10))], { source_range: range(4, 6) })]));
    expect(formatRational(cut.clips[0]?.start?.count ?? rational(0))).toBe('100');
    expect(formatRational(cut.clips[0]?.length?.count ?? rational(0))).toBe('10');
    expect(placesOf(cut)).toEqual(['b 0..6 from 104']);
  });

  it('trims the whole timeline', () => {
    const tracks = { ...stack([track('Video', [clip('a', range(0, 10)), clip('b', range(0, 10))])]), source_range: range(8, 4) };
    const cut = read({ OTIO_SCHEMA: 'Timeline.1', tracks });
    expect(placesOf(cut)).toEqual(['a 0..2 from 8', 'b 2..4 from 0']);
    expect(formatRational(multiply(cut.duration, rational(24)))).toBe('4');
  });

  // The open edit list adapter of the OTIO project writes minus the record start and the sum of the children.
  it('takes a negative start with the length of the children as an offset, each track its own', () => {
    const picture = track('Video', [clip('a', range(0, 48)), clip('b', range(10, 24))], { source_range: range(-86400, 72) });
    const sound = track('Audio', [clip('s', range(0, 24))], { source_range: range(-86424, 24) });
    const cut = read(timeline([picture, sound]));
    expect(placesOf(cut)).toEqual(['a 86400..86448 from 0', 'b 86448..86472 from 10', 's 86424..86448 from 0']);
    expect(formatRational(multiply(cut.duration, rational(24)))).toBe('86472');
    expect(cut.observations).toEqual([]);
  });

  it('takes a negative start that covers the children as a range like any other', () => {
    const cut = read(timeline([track('Video', [clip('a', range(100, 9))], { source_range: range(-7, 16) })]));
    expect(placesOf(cut)).toEqual(['a 7..16 from 100']);
  });

  it('places what is nested three levels down', () => {
    const inner = track('Video', [gap(2), clip('deep', range(50, 20))], { source_range: range(1, 15) });
    const middle = stack([inner], { source_range: range(3, 10) });
    const cut = read(timeline([track('Video', [gap(100), middle, clip('after', range(0, 1))])]));
    // inner: deep stands at 2..22 of its track, at 1..15 of its stack after the trim by 1; the stack shows 3..13 of that.
    expect(placesOf(cut)).toEqual(['deep 100..110 from 52', 'after 110..111 from 0']);
  });

  it('gives clips in a stack, one over the other, tracks of their own', () => {
    const layers = stack([clip('a', range(0, 10)), clip('b', range(0, 6))]);
    const cut = read(timeline([track('Audio', [layers], { name: 'Mix' })]));
    expect(cut.clips.map(({ name, role, track: index }) => [name, role, cut.tracks[index]?.name])).toEqual([
      ['a', 'sound', 'Mix'],
      ['b', 'sound', 'Mix layer 2'],
    ]);
  });
});

describe('transitions', () => {
  it('take no time, move no clip, and let both neighbours go on', () => {
    const children = [clip('a', range(0, 40)), transition(8, 4), clip('b', range(100, 40))];
    const cut = read(timeline([track('Video', children)]));
    expect(placesOf(cut)).toEqual(['a 0..40 from 0', 'b 40..80 from 100']);
    expect(
      cut.clips.map(({ headOverlap, tailOverlap }) =>
        [headOverlap, tailOverlap].map((seconds) => formatRational(multiply(seconds, rational(24)))),
      ),
    ).toEqual([
      ['0', '4'],
      ['8', '0'],
    ]);
    expect(
      cut.transitions.map(({ at, before, after }) =>
        [at, before, after].map((seconds) => formatRational(multiply(seconds, rational(24)))),
      ),
    ).toEqual([['40', '8', '4']]);
  });

  // OTIO library: three clips of 40 with transitions of 8 + 8 before, between and after are 136 long; the clips stay where they were.
  it('at the ends lengthen the track', () => {
    const clips = ['a', 'b', 'c'].map((name) => clip(name, range(0, 40)));
    const children = [transition(8, 8), clips[0], transition(8, 8), clips[1], clips[2], transition(8, 8)];
    const cut = read(timeline([track('Video', [stack([track('Video', children)]), clip('after', range(0, 1))])]));
    expect(placesOf(cut)).toEqual(['a 0..40 from 0', 'b 40..80 from 0', 'c 80..120 from 0', 'after 136..137 from 0']);
  });

  it('that are disabled are straight cuts', () => {
    const cut = read(
      timeline([track('Video', [clip('a', range(0, 40)), transition(8, 8, { enabled: false }), clip('b', range(0, 40))])]),
    );
    expect(cut.transitions).toEqual([]);
    expect(cut.clips.every(({ headOverlap, tailOverlap }) => headOverlap.numerator === 0 && tailOverlap.numerator === 0)).toBe(
      true,
    );
  });
});

describe('speed', () => {
  it('is the product of enabled time warps, and leaves the length on record alone', () => {
    const effects = [
      warp(2),
      warp(0.5),
      warp(1.5),
      warp(7, { enabled: false }),
      { OTIO_SCHEMA: 'Effect.1', effect_name: 'blur' },
    ];
    const cut = read(timeline([track('Video', [clip('a', range(10, 20), { effects }), clip('b', range(0, 1))])]));
    expect(placesOf(cut)).toEqual(['a 0..20 from 10', 'b 20..21 from 0']);
    expect(scalarOf(cut.clips[0])).toBe('3/2');
  });

  it('is zero for a freeze', () => {
    const cut = read(timeline([track('Video', [clip('a', range(10, 20), { effects: [warp(2), freeze()] })])]));
    expect(scalarOf(cut.clips[0])).toBe('0');
  });

  it('moves the head of a cut clip by the speed', () => {
    const cut = read(
      timeline([track('Video', [clip('a', range(100, 20), { effects: [warp(2)] })], { source_range: range(5, 10) })]),
    );
    expect(placesOf(cut)).toEqual(['a 0..10 from 110']);
  });

  it('of a stack squeezes what is inside', () => {
    const inside = stack([track('Video', [clip('a', range(0, 10)), clip('b', range(50, 10))])], {
      source_range: range(0, 10),
      effects: [warp(2)],
    });
    const cut = read(timeline([track('Video', [inside])]));
    expect(placesOf(cut)).toEqual(['a 0..5 from 0', 'b 5..10 from 50']);
    expect(cut.clips.map(scalarOf)).toEqual(['2', '2']);
  });

  // OTIO specification: a scalar of 0.8 on a stack shown for 30 frames needs 24 frames of its children.
  it('below one of a stack stretches it', () => {
    const inside = stack([track('Video', [clip('a', range(0, 24)), clip('b', range(0, 24))])], {
      source_range: range(0, 30),
      effects: [warp(0.8)],
    });
    expect(placesOf(read(timeline([track('Video', [inside])])))).toEqual(['a 0..30 from 0']);
  });

  it('of zero on a track holds one instant of one clip', () => {
    const inside = track('Video', [clip('a', range(0, 10)), clip('b', range(50, 10))], {
      source_range: range(12, 6),
      effects: [freeze()],
    });
    const cut = read(timeline([track('Video', [inside])]));
    expect(placesOf(cut)).toEqual(['b 0..6 from 52']);
    expect(scalarOf(cut.clips[0])).toBe('0');
  });

  it('of a plain TimeEffect is unknown, and the length still counts', () => {
    const effects = [{ OTIO_SCHEMA: 'TimeEffect.1', effect_name: 'curve' }];
    const cut = read(timeline([track('Video', [clip('a', range(0, 10), { effects }), clip('b', range(0, 1))])]));
    expect(scalarOf(cut.clips[0])).toBe('a TimeEffect does not say how time runs');
    expect(cut.clips[1]?.record.start).toEqual(cut.clips[0]?.record.end);
    expect(cut.clips[1]?.doubt).toBeNull();
  });

  it('below zero keeps its sign and is said', () => {
    const cut = read(timeline([track('Video', [clip('a', range(0, 10), { effects: [warp(-1)] })])]));
    expect(scalarOf(cut.clips[0])).toBe('-1');
    expect(cut.observations.map(({ kind, ...rest }) => [kind, 'clip' in rest ? rest.clip : null])).toEqual([['note', 0]]);
  });

  it('below zero of a stack plays it from its end, with doubt', () => {
    const inside = stack([track('Video', [clip('a', range(0, 10)), clip('b', range(50, 10))])], { effects: [warp(-1)] });
    const cut = read(timeline([track('Video', [inside])]));
    expect(placesOf(cut)).toEqual(['a 10..20 from 10', 'b 0..10 from 60']);
    expect(cut.clips.every(({ doubt }) => doubt !== null)).toBe(true);
  });
});

describe('enabled', () => {
  it('is false for what stands in something disabled; time still counts', () => {
    const cut = read(
      timeline([
        track('Video', [clip('a', range(0, 5), { enabled: false }), clip('b', range(0, 5))]),
        track('Audio', [clip('s', range(0, 5))], { enabled: false }),
        track('Audio', [stack([clip('t', range(0, 5))], { enabled: false })]),
      ]),
    );
    expect(cut.clips.map(({ name, isEnabled }) => [name, isEnabled])).toEqual([
      ['a', false],
      ['b', true],
      ['s', false],
      ['t', false],
    ]);
    expect(cut.tracks.map(({ isEnabled }) => isEnabled)).toEqual([true, false, true]);
    expect(placesOf(cut)[1]).toBe('b 5..10 from 0');
  });
});

describe('the rate of a timeline', () => {
  const sound = track('Audio', [clip('s', range(0, 96000, 48000))]);

  it.each([
    [
      'the global start time',
      { global_start_time: time(86400, 25) },
      [track('Video', [clip('a', range(0, 5, 24))])],
      '25',
      'global start time',
    ],
    [
      'most picture clips',
      {},
      [track('Video', [clip('a', range(0, 5, 23.98)), clip('b', range(0, 5, 30)), clip('c', range(0, 5, 23.976))]), sound],
      '24000/1001',
      'most picture clips',
    ],
    [
      'frames rather than samples',
      {},
      [sound, track('Audio', [clip('t', range(0, 5, 25))])],
      '25',
      'most clips that count in frames',
    ],
    ['24 for want of anything else', {}, [sound], '24', 'assumed'],
    [
      'no samples from the global start time',
      { global_start_time: time(48000, 48000) },
      [track('Video', [clip('a', range(0, 5, 25))])],
      '25',
      'most picture clips',
    ],
  ])('is that of %s', (_what, fields, tracks, rate, reason) => {
    const cut = read(timeline(tracks, fields));
    expect(formatRational(cut.rate)).toBe(rate);
    expect(cut.rateReason).toContain(reason);
  });

  it('counts the start frame', () => {
    const cut = read(timeline([], { global_start_time: time(86400, 23.976) }));
    expect(cut.startFrame === null ? null : formatRational(cut.startFrame)).toBe('86400');
    expect(read(timeline([])).startFrame).toBeNull();
    expect(read(timeline([], { global_start_time: null })).startFrame).toBeNull();
  });
});

describe('tracks', () => {
  it('have names and roles', () => {
    const cut = read(
      timeline([
        track('Video', []),
        track('video', [], { name: 'Titles' }),
        track('Video', []),
        track('Audio', []),
        track('AUDIO', []),
        track('Data', [clip('x', range(0, 1))]),
      ]),
    );
    expect(cut.tracks.map(({ name, kind }) => `${name} ${kind}`)).toEqual([
      'V1 picture',
      'Titles picture',
      'V3 picture',
      'A1 sound',
      'A2 sound',
      'T1 other',
    ]);
    expect(messagesOf(cut, 'note')).toEqual([expect.stringContaining('is of the kind "Data"')]);
  });

  it('around a nested stack decide what its clips are, unless one inside says otherwise', () => {
    const inside = stack([clip('s', range(0, 5)), track('Video', [clip('v', range(0, 5))])]);
    const cut = read(timeline([track('Audio', [inside])]));
    expect(cut.clips.map(({ name, role }) => `${name} ${role}`)).toEqual(['s sound', 'v picture']);
  });
});
