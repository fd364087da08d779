/**
 * What a clip shows or plays, and where the text says so.
 */

import { describe, expect, it } from 'vitest';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import type { Media } from '../../../server/src/core/timeline/model.ts';
import { clip, file, messagesOf, range, read, readText, timeline, track } from './otioObjects.ts';

describe('a media reference', () => {
  it('of a file gives URL, name, range and rate with their places', () => {
    const text = JSON.stringify(
      timeline([
        track('Audio', [
          clip('a', range(0, 5), {
            media_references: {
              DEFAULT_MEDIA: file('file:///d/DECK_1.wav', { name: 'DECK_1', available_range: range(96000, 48000, 48000) }),
            },
          }),
        ]),
      ]),
    );
    const media = mediaIn(text);
    expect([media.kind, media.url, media.name]).toEqual(['file', 'file:///d/DECK_1.wav', 'DECK_1']);
    expect([at(text, media.urlSpan), at(text, media.nameSpan), at(text, media.rateSpan)]).toEqual([
      'file:///d/DECK_1.wav',
      'DECK_1',
      '48000',
    ]);
    expect(
      [media.available?.start, media.available?.end].map((seconds) => (seconds === undefined ? '' : formatRational(seconds))),
    ).toEqual(['2', '3']);
    expect(media.rate).toEqual({ numerator: 48000, denominator: 1 });
    expect(media.sourceIsMediaTime).toBe(false);
  });

  it('is the active one of several', () => {
    const references = { proxy: file('proxy.mov'), high: file('high.mov'), DEFAULT_MEDIA: file('default.mov') };
    const of = (key: string): string | null =>
      mediaIn(
        JSON.stringify(
          timeline([track('Video', [clip('a', range(0, 5), { media_references: references, active_media_reference_key: key })])]),
        ),
      ).url;
    expect([of('proxy'), of('high'), of('DEFAULT_MEDIA')]).toEqual(['proxy.mov', 'high.mov', 'default.mov']);
  });

  it('is not known when the active name dangles, which is told on that name', () => {
    const text = JSON.stringify(timeline([track('Video', [clip('a', range(0, 5), { active_media_reference_key: 'gone' })])]));
    const cut = readText(text);
    expect(cut.clips[0]?.media).toMatchObject({ kind: 'missing', url: null });
    expect(cut.observations.map((one) => [one.kind, at(text, one.span)])).toEqual([['unreadable', 'gone']]);
  });

  it('of a generator has the kind for a name', () => {
    const bars = { OTIO_SCHEMA: 'GeneratorReference.1', generator_kind: 'SMPTEBars', parameters: {} };
    const cut = read(timeline([track('Video', [clip('a', range(0, 5), { media_references: { DEFAULT_MEDIA: bars } })])]));
    expect(cut.clips[0]?.media).toMatchObject({ kind: 'generator', url: null, name: 'SMPTEBars' });
  });

  // OTIO library, target_url_for_image_number: base, slash unless there is one, prefix, padded number, suffix.
  it.each([
    ['frames', 1001, 4, 'frames/shot.1001.exr'],
    ['frames/', 7, 6, 'frames/shot.000007.exr'],
    ['', -3, 4, 'shot.-0003.exr'],
  ])('of a sequence under "%s" is its first image', (base, start, padding, url) => {
    const sequence = {
      OTIO_SCHEMA: 'ImageSequenceReference.1',
      target_url_base: base,
      name_prefix: 'shot.',
      name_suffix: '.exr',
      start_frame: start,
      frame_step: 1,
      rate: 24,
      frame_zero_padding: padding,
      missing_frame_policy: 'hold',
    };
    const cut = read(timeline([track('Video', [clip('a', range(0, 5), { media_references: { DEFAULT_MEDIA: sequence } })])]));
    expect(cut.clips[0]?.media).toMatchObject({ kind: 'sequence', url, rate: { numerator: 24, denominator: 1 } });
    expect(cut.observations).toEqual([]);
  });

  it('of a sequence without its members says which', () => {
    const sequence = { OTIO_SCHEMA: 'ImageSequenceReference.1', start_frame: 1.5, rate: 24, missing_frame_policy: 'guess' };
    const cut = read(timeline([track('Video', [clip('a', range(0, 5), { media_references: { DEFAULT_MEDIA: sequence } })])]));
    const told = messagesOf(cut, 'unreadable').join(' ');
    for (const name of [
      'target_url_base',
      'name_prefix',
      'name_suffix',
      'start_frame is 1.5',
      'frame_step',
      'frame_zero_padding',
      'missing_frame_policy is "guess"',
    ]) {
      expect(told).toContain(name);
    }
  });

  it('may stand elsewhere in the file', () => {
    const shared = file('DECK_1.wav', { OTIO_REF_ID: 'ref-1' });
    const pointing = { OTIO_SCHEMA: 'SerializableObjectRef.1', id: 'ref-1' };
    const dangling = { OTIO_SCHEMA: 'SerializableObjectRef.1', id: 'ref-2' };
    const using = (name: string, media: unknown): unknown =>
      clip(name, range(0, 5), { media_references: { DEFAULT_MEDIA: media } });
    const cut = read(timeline([track('Audio', [using('a', shared), using('b', pointing), using('c', dangling)])]));
    expect(cut.clips.map(({ media }) => media.url)).toEqual(['DECK_1.wav', 'DECK_1.wav', null]);
    expect(messagesOf(cut, 'unreadable')).toEqual([expect.stringContaining('"ref-2"')]);
  });
});

describe('a reel', () => {
  it.each([
    ['in the clip', { reel: 'A001' }, {}, 'A001'],
    ['one heading down', { edit: { Reel_Name: 'A001' } }, {}, 'A001'],
    ['as a tape', { vendor: { TAPE: 'T7' } }, {}, 'T7'],
    ['in the media', {}, { source: { tape_name: 'T8' } }, 'T8'],
    ['in the clip before the media', { reel: 'A001' }, { reel: 'B002' }, 'A001'],
    [
      'never AX, BL, BLACK or BARS',
      { a: { reel: 'AX' }, b: { reel: 'bl' }, c: { reel: 'BLACK' }, d: { tape: 'BARS' }, e: { reel: ' ' } },
      {},
      null,
    ],
    ['past one of those', { a: { reel: 'AX' }, b: { reel: 'A002' } }, {}, 'A002'],
    ['never a number', { reel: 7 }, {}, null],
    ['not two headings down', { a: { b: { reel: 'A001' } } }, {}, null],
  ])('is found %s', (_where, metadata, mediaMetadata, reel) => {
    const media = file('x.mov', { metadata: mediaMetadata });
    const text = JSON.stringify(
      timeline([track('Video', [clip('a', range(0, 5), { metadata, media_references: { DEFAULT_MEDIA: media } })])]),
    );
    const found = mediaIn(text);
    expect(found.reel).toBe(reel);
    if (reel !== null) expect(at(text, found.reelSpan)).toBe(reel);
  });

  it('is found without any media', () => {
    const cut = read(timeline([track('Video', [clip('a', range(0, 5), { metadata: { reel: 'A001' }, media_references: {} })])]));
    expect(cut.clips[0]?.media).toMatchObject({ kind: 'missing', reel: 'A001' });
  });
});

describe('places', () => {
  it('of a clip cover its object, its name and its numbers', () => {
    const text = JSON.stringify(timeline([track('Video', [clip('Weir', range(12, 34, 23.976))], { name: 'Main' })]), null, 4);
    const cut = readText(text);
    const [first] = cut.clips;
    expect(JSON.parse(at(text, first?.span))).toMatchObject({ OTIO_SCHEMA: 'Clip.2', name: 'Weir' });
    expect([
      at(text, first?.nameSpan),
      at(text, first?.start?.span),
      at(text, first?.start?.rateSpan),
      at(text, first?.length?.span),
    ]).toEqual(['Weir', '12', '23.976', '34']);
    expect(JSON.parse(at(text, cut.tracks[0]?.span))).toMatchObject({ OTIO_SCHEMA: 'Track.1' });
    expect(at(text, cut.rateSpan)).toBe('23.976');
  });

  it('of the outline nest as the file does', () => {
    const cut = read(
      timeline([track('Video', [clip('a', range(0, 5)), track('Video', [clip('b', range(0, 5))], { name: 'Inner' })])]),
    );
    const shape = (nodes: typeof cut.outline): unknown[] =>
      nodes.map(({ kind, name, clip: index, children }) => [kind, name, index, shape(children)]);
    expect(shape(cut.outline)).toEqual([
      [
        'timeline',
        'cut',
        null,
        [
          [
            'track',
            'V1',
            null,
            [
              ['clip', 'a', 0, []],
              ['track', 'Inner', null, [['clip', 'b', 1, []]]],
            ],
          ],
        ],
      ],
    ]);
  });
});

function mediaIn(text: string): Media {
  const [first] = readText(text).clips;
  if (first === undefined) throw new Error('no clip was read');
  return first.media;
}

function at(text: string, span: { readonly start: number; readonly end: number } | null | undefined): string {
  return span === null || span === undefined ? '' : text.slice(span.start, span.end);
}
