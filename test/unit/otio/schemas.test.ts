/**
 * Schema names, versions and roots, as the OTIO library reads them (its CORE_VERSION_MAP, aliases and upgrade functions;
 * where the library is known to refuse the whole file, the reader goes on and says so).
 */

import { describe, expect, it } from 'vitest';
import {
  clip,
  file,
  gap,
  marked,
  messagesOf,
  observed,
  placesOf,
  range,
  read,
  readText,
  stack,
  time,
  timeline,
  track,
} from './otioObjects.ts';

describe('versions', () => {
  it('Clip.1 is read with its one reference and told once', () => {
    const old = (name: string): object => ({
      OTIO_SCHEMA: 'Clip.1',
      name,
      source_range: range(0, 5),
      media_reference: file(`${name}.wav`),
    });
    const cut = read(timeline([track('Audio', [old('a'), old('b')])]));
    expect(cut.clips.map(({ media }) => media.url)).toEqual(['a.wav', 'b.wav']);
    expect(cut.observations).toEqual([expect.objectContaining({ kind: 'old-schema', schema: 'Clip', version: 1, newest: 2 })]);
  });

  it('Clip.1 without a reference, or with null, has missing media', () => {
    const children = [
      { OTIO_SCHEMA: 'Clip.1', name: 'a', source_range: range(0, 5) },
      { OTIO_SCHEMA: 'Clip.0', name: 'b', source_range: range(0, 5), media_reference: null },
    ];
    const cut = read(timeline([track('Video', children)]));
    expect(cut.clips.map(({ media }) => media.kind)).toEqual(['missing', 'missing']);
    expect(messagesOf(cut, 'unreadable')).toEqual([]);
  });

  it('Marker.1, Marker.2 and Marker.3 are all read', () => {
    const markers = [
      { OTIO_SCHEMA: 'Marker.1', range: range(0, 1), color: 'RED' },
      { OTIO_SCHEMA: 'Marker.2', marked_range: range(0, 1), color: 'RED' },
      {
        OTIO_SCHEMA: 'Marker.3',
        marked_range: range(0, 1),
        color: { OTIO_SCHEMA: 'Color.1', name: 'RED', r: 1, g: 0, b: 0, a: 1 },
      },
    ];
    const cut = read(timeline([track('Video', [clip('a', range(0, 5), { markers })])]));
    expect(cut.observations).toEqual([expect.objectContaining({ kind: 'old-schema', schema: 'Marker', version: 1, newest: 2 })]);
  });

  it('a version from the future is reported and read as the newest known', () => {
    const cut = read(timeline([track('Video', [clip('a', range(7, 5), { OTIO_SCHEMA: 'Clip.3' }), clip('b', range(0, 1))])]));
    expect(placesOf(cut)).toEqual(['a 0..5 from 7', 'b 5..6 from 0']);
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining('Clip.3 is newer than this program')]);
  });

  it('old names are read as the new ones', () => {
    const sequence = {
      OTIO_SCHEMA: 'Sequence.1',
      kind: 'Video',
      children: [{ OTIO_SCHEMA: 'Filler.1', source_range: range(0, 3) }, clip('a', range(0, 5))],
    };
    const cut = read({ OTIO_SCHEMA: 'SerializeableCollection.1', children: [timeline([sequence])] });
    expect(placesOf(cut)).toEqual(['a 3..8 from 0']);
    expect(cut.observations.every(({ kind }) => kind === 'note')).toBe(true);
    expect(messagesOf(cut, 'note').join(' ')).toMatch(/SerializeableCollection .*Sequence .*Filler /);
  });
});

describe('unknown schemas', () => {
  it('as a child of a track make every later place on it doubtful, and only there', () => {
    const strange = { OTIO_SCHEMA: 'StudioThing.4', name: '?', source_range: range(0, 10) };
    const cut = read(
      timeline([
        track('Video', [clip('a', range(0, 5)), strange, clip('b', range(0, 5))]),
        track('Audio', [clip('s', range(0, 5))]),
      ]),
    );
    expect(cut.clips.map(({ name, doubt }) => [name, doubt])).toEqual([
      ['a', null],
      ['b', 'an item of the schema StudioThing.4 stands before it on its track'],
      ['s', null],
    ]);
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining("StudioThing.4 is not a schema of OTIO's core")]);
  });

  it.each([
    ['null', null, 'Null stands where an item was expected'],
    ['a text', 'x', 'A text stands where an item was expected'],
    ['no schema', { name: 'x' }, 'has no OTIO_SCHEMA'],
    ['a schema without a version', { OTIO_SCHEMA: 'Clip' }, 'expected a name, a dot and a version'],
    ['a timeline', timeline([]), 'Timeline.1 cannot stand here'],
    ['RationalTime.2', { OTIO_SCHEMA: 'RationalTime.2' }, 'RationalTime.2 is not a schema'],
    ['a reference to another item', { OTIO_SCHEMA: 'SerializableObjectRef.1', id: 'x' }, 'cannot stand here'],
  ])('so does %s', (_what, child, message) => {
    const cut = read(timeline([track('Video', [child, clip('b', range(0, 5))])]));
    expect(cut.clips[0]?.doubt).not.toBeNull();
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining(message)]);
  });

  it('doubt goes on outside a composition whose own length depends on it, and stops at a source_range', () => {
    const strange = { OTIO_SCHEMA: 'StudioThing.4' };
    const open = stack([track('Video', [strange])]);
    const closed = stack([track('Video', [strange, clip('in', range(0, 5))])], { source_range: range(0, 10) });
    const cut = read(timeline([track('Video', [closed, clip('a', range(0, 5)), open, clip('b', range(0, 5))])]));
    expect(cut.clips.map(({ name, doubt }) => [name, doubt === null])).toEqual([
      ['in', false],
      ['a', true],
      ['b', false],
    ]);
  });

  it('as an effect or media reference are said and do no harm', () => {
    const media = {
      OTIO_SCHEMA: 'StudioReference.1',
      name: 'DECK_1.wav',
      target_url: 'DECK_1.wav',
      available_range: range(100, 50),
    };
    const effects = [{ OTIO_SCHEMA: 'StudioWarp.2' }];
    const cut = read(
      timeline([
        track('Audio', [
          clip('a', range(110, 5), { effects, media_references: { DEFAULT_MEDIA: media } }),
          clip('b', range(0, 5)),
        ]),
      ]),
    );
    expect(cut.clips[0]?.media).toMatchObject({ kind: 'file', url: 'DECK_1.wav', name: 'DECK_1.wav' });
    expect(cut.clips[1]?.doubt).toBeNull();
    expect(cut.observations.map(({ kind }) => kind)).toEqual(['note', 'note']);
  });
});

describe('the top level', () => {
  const tracks = [track('Video', [clip('a', range(0, 5))])];

  it.each([
    ['a Timeline', timeline(tracks)],
    ['a Stack', stack(tracks)],
    ['a Track', tracks[0]],
    ['a collection', { OTIO_SCHEMA: 'SerializableCollection.1', children: [clip('bin', range(0, 1)), timeline(tracks)] }],
    [
      'a collection in a collection',
      {
        OTIO_SCHEMA: 'SerializableCollection.1',
        children: [{ OTIO_SCHEMA: 'SerializableCollection.1', children: [timeline(tracks)] }],
      },
    ],
    ['a plain list', [timeline(tracks)]],
  ])('may be %s', (_what, value) => {
    const cut = read(value);
    expect(placesOf(cut)).toEqual(['a 0..5 from 0']);
    expect(cut.clips[0]?.role).toBe('picture');
    expect(cut.observations).toEqual([]);
  });

  it('may be a clip alone, which nothing calls picture or sound', () => {
    const cut = read(clip('a', range(3, 5)));
    expect(placesOf(cut)).toEqual(['a 0..5 from 3']);
    expect(cut.clips[0]?.role).toBe('other');
    expect(messagesOf(cut, 'note')).toEqual([expect.stringContaining('stands on no track')]);
  });

  it('with several timelines is read for the first, and the others are named', () => {
    const cut = read([timeline(tracks), timeline([], { name: 'reel 2' }), timeline([], { name: 'reel 3' })]);
    expect(cut.name).toBe('cut');
    expect(messagesOf(cut, 'note')).toEqual([expect.stringContaining('"reel 2"'), expect.stringContaining('"reel 3"')]);
  });

  it.each([
    ['{}', 'no readable OTIO_SCHEMA'],
    ['[]', 'No timeline is in this file'],
    ['3', 'The file holds a number'],
    ['"x"', 'The file holds a text'],
    ['', 'The text holds no value'],
    [JSON.stringify(time(1)), 'This OTIO object is no timeline'],
    [JSON.stringify({ OTIO_SCHEMA: 'SerializableCollection.1' }), 'no list of children'],
    [JSON.stringify({ OTIO_SCHEMA: 'Timeline.1' }), 'has no tracks'],
    [JSON.stringify({ OTIO_SCHEMA: 'Timeline.1', tracks: [] }), 'tracks is a list'],
  ])('that is %s has no clips and says why', (text, message) => {
    const cut = readText(text);
    expect(cut.clips).toEqual([]);
    expect(messagesOf(cut, 'unreadable')[0]).toContain(message);
  });

  it('with null for tracks is an empty timeline', () => {
    expect(read({ OTIO_SCHEMA: 'Timeline.1', tracks: null }).observations).toEqual([]);
  });

  it('with a Track for tracks is read all the same', () => {
    const cut = read({ OTIO_SCHEMA: 'Timeline.1', tracks: tracks[0] });
    expect(placesOf(cut)).toEqual(['a 0..5 from 0']);
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining('tracks must be a Stack.1')]);
  });
});

describe('members the library insists on', () => {
  it.each([
    ['children of a track', track('Video', [], { children: undefined })],
    ['kind of a track', { OTIO_SCHEMA: 'Track.1', children: [] }],
    ['metadata', track('Video', [], { metadata: null })],
    ['effects', track('Video', [], { effects: null })],
    ['markers', track('Video', [], { markers: null })],
    ['enabled', track('Video', [], { enabled: null })],
    ['media_references', track('Video', [clip('a', range(0, 1), { media_references: undefined })])],
    ['active_media_reference_key', track('Video', [clip('a', range(0, 1), { active_media_reference_key: undefined })])],
    ['a media reference', track('Video', [clip('a', range(0, 1), { media_references: { DEFAULT_MEDIA: null } })])],
    [
      'target_url',
      track('Video', [clip('a', range(0, 1), { media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1' } } })]),
    ],
    ['in_offset', track('Video', [{ OTIO_SCHEMA: 'Transition.1', out_offset: time(1), transition_type: 'x' }])],
    ['transition_type', track('Video', [{ OTIO_SCHEMA: 'Transition.1', in_offset: time(1), out_offset: time(1) }])],
    ['time_scalar', track('Video', [gap(1)], { effects: [{ OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: '' }] })],
    ['effect_name', track('Video', [gap(1)], { effects: [{ OTIO_SCHEMA: 'Effect.1' }] })],
    ['start_time', track('Video', [clip('a', { OTIO_SCHEMA: 'TimeRange.1', duration: time(1) })])],
    ['marked_range', track('Video', [gap(1)], { markers: [{ OTIO_SCHEMA: 'Marker.2' }] })],
  ])('%s', (_what, child) => {
    expect(messagesOf(read(timeline([child])), 'unreadable')).toHaveLength(1);
  });

  it('is satisfied by the least it needs', () => {
    const cut = read(
      timeline([track('Video', [clip('a', null, { media_references: {} }), clip('b', range(0, 1), { media_references: {} })])]),
    );
    // A clip of no stated length is the one thing wrong.
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining('its length is unknown')]);
    expect(cut.clips.map(({ name, doubt }) => [name, doubt])).toEqual([
      ['b', 'clip "a", whose length is not stated, stands before it on its track'],
    ]);
  });
});

describe('not quite JSON', () => {
  const text = (metadata: string): string =>
    JSON.stringify(timeline([track('Video', [clip('a', range(3, 5), { metadata: { vendor: 'HERE' } })])])).replace(
      '"HERE"',
      metadata,
    );

  it('infinities and huge integers in metadata are nobody’s business', () => {
    const cut = readText(text('[NaN, Infinity, -Inf, 340282366920938463463374607431768211455]'));
    expect(placesOf(cut)).toEqual(['a 0..5 from 3']);
    expect(cut.observations).toEqual([]);
  });

  it('repeated names and disputed numbers are notes in metadata and trouble elsewhere', () => {
    const inside = readText(text('{"x": 1, "x": 18446744073709551615}'));
    expect(inside.observations.map(({ kind }) => kind)).toEqual(['note', 'note']);
    const twice = text('1').replace('"name":"a"', '"name":"a","name":"b"');
    const outside = readText(twice);
    expect(outside.clips[0]?.name).toBe('a');
    expect(observed(twice, outside)).toEqual(['unreadable: "name"']);
  });

  it('a time of NaN is unreadable, on its own characters', () => {
    const broken = JSON.stringify(timeline([track('Video', [clip('a', range(3, 5)), clip('b', range(0, 5))])])).replace(
      '"value":3',
      '"value":NaN',
    );
    const cut = readText(broken);
    expect(observed(broken, cut)).toEqual(['unreadable: NaN']);
    expect(cut.clips.map(({ doubt }) => doubt)).toEqual(['its source start cannot be read', null]);
  });

  it('a source_range of a track whose start cannot be read makes the clips inside doubtful', () => {
    const children = [clip('a', range(0, 5))];
    const cut = readText(
      JSON.stringify(timeline([track('Video', children, { source_range: range(7, 5) })])).replace('"value":7', '"value":NaN'),
    );
    expect(cut.clips.map(({ doubt }) => doubt)).toEqual(['it stands in a track whose source_range cannot be read']);
  });

  it('a comma that is missing does not hide the clips after it', () => {
    const whole = JSON.stringify(timeline([track('Video', [clip('a', range(0, 5)), clip('b', range(0, 5))])]), null, 2);
    const broken = whole.replace('"name": "a",', '"name": "a"');
    const cut = readText(broken);
    expect(placesOf(cut)).toEqual(['a 0..5 from 0', 'b 5..10 from 0']);
    expect(messagesOf(cut, 'unreadable')).toEqual(['A comma is missing before this: expected , or }.']);
  });
});

describe('rates', () => {
  it('of every spelling seen in files are the ratio they stand for', () => {
    for (const rate of [23.976, 23.98, 23.97, 23.976023976023978, 23.97602397602398, 23.976024627685547]) {
      const cut = read(timeline([track('Video', [clip('a', range(24000, 1001, rate))])]));
      expect(cut.clips[0]?.start?.rate).toEqual({ numerator: 24000, denominator: 1001 });
      expect(cut.observations).toEqual([]);
    }
  });

  it('that are unusual are told once, with how often they stand', () => {
    const cut = read(timeline([track('Video', [clip('a', range(0, 5, 23.9)), clip('b', range(0, 5, 23.9))])]));
    expect(messagesOf(cut, 'rate')).toEqual([
      expect.stringMatching(/^23\.9 is no usual rate: .*239\/10 \(here and in 3 more places\)\.$/),
    ]);
  });

  it.each([
    ['0', '0'],
    ['-24', '-24'],
    ['NaN', 'NaN'],
    ['null', 'null'],
    ['"24"', '"24"'],
    ['1e999', '1e999'],
  ])('of %s are unreadable', (written, marks) => {
    const text = JSON.stringify(timeline([track('Video', [clip('a', range(3, 5)), clip('b', range(0, 5))])])).replace(
      '"rate":24',
      `"rate":${written}`,
    );
    const cut = readText(text);
    expect(cut.observations.filter(({ kind }) => kind === 'unreadable').map((one) => marked(text, one))).toContain(marks);
    expect(cut.clips[0]?.doubt).not.toBeNull();
  });

  it('that contradict each other within a clip are told at the clip', () => {
    const mixed = { OTIO_SCHEMA: 'TimeRange.1', start_time: time(100, 24), duration: time(48, 23.976) };
    const media = file('a.mov', { available_range: range(0, 1000, 23.976) });
    const pulled = clip('b', range(100, 48, 24), { media_references: { DEFAULT_MEDIA: media } });
    const cut = read(timeline([track('Video', [clip('a', mixed), pulled])]));
    expect(cut.observations.map((one) => [one.kind, 'clip' in one ? one.clip : null])).toEqual([
      ['rate', 0],
      ['rate', 1],
    ]);
  });

  it('of samples beside frames, and a start of zero at another rate, are no contradiction', () => {
    const sound = clip('s', { OTIO_SCHEMA: 'TimeRange.1', start_time: time(48048, 48000), duration: time(24, 23.976) });
    const zero = clip('z', { OTIO_SCHEMA: 'TimeRange.1', start_time: time(0, 1), duration: time(24, 23.976) });
    expect(read(timeline([track('Audio', [sound, zero])])).observations).toEqual([]);
  });
});
