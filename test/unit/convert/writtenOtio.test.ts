/**
 * Written OTIO keeps to the serialized schema: every object has its OTIO_SCHEMA and the members that readers refuse a file without.
 *
 * Source of the table: OTIO documentation, serialized schema, and the OTIO library's readers (which members are required, which may be null).
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { kindsOf, textOf } from './conversions.ts';
import { timelines } from './randomTimelines.ts';

type Json = string | number | boolean | null | readonly Json[] | { readonly [name: string]: Json };

/** Required members by schema; `!` behind a type: null is refused. */
const REQUIRED: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'Timeline.1': { tracks: 'Stack.1!', metadata: 'object!', name: 'string', global_start_time: 'RationalTime.1' },
  'Stack.1': {
    children: 'array!',
    metadata: 'object!',
    effects: 'array!',
    markers: 'array!',
    enabled: 'boolean!',
    source_range: 'TimeRange.1',
  },
  'Track.1': {
    children: 'array!',
    kind: 'string!',
    metadata: 'object!',
    effects: 'array!',
    markers: 'array!',
    enabled: 'boolean!',
    source_range: 'TimeRange.1',
  },
  'Clip.2': {
    media_references: 'object!',
    active_media_reference_key: 'string!',
    metadata: 'object!',
    effects: 'array!',
    markers: 'array!',
    enabled: 'boolean!',
    source_range: 'TimeRange.1!',
  },
  'Gap.1': { source_range: 'TimeRange.1!', metadata: 'object!', effects: 'array!', markers: 'array!', enabled: 'boolean!' },
  'Transition.1': {
    in_offset: 'RationalTime.1!',
    out_offset: 'RationalTime.1!',
    transition_type: 'string!',
    metadata: 'object!',
  },
  'LinearTimeWarp.1': { time_scalar: 'number!', effect_name: 'string!', metadata: 'object!' },
  'FreezeFrame.1': { time_scalar: 'number!', effect_name: 'string!', metadata: 'object!' },
  'TimeEffect.1': { effect_name: 'string!', metadata: 'object!' },
  'ExternalReference.1': { target_url: 'string!', available_range: 'TimeRange.1', metadata: 'object!' },
  'MissingReference.1': { available_range: 'TimeRange.1', metadata: 'object!' },
  'GeneratorReference.1': { generator_kind: 'string!', parameters: 'object!', metadata: 'object!' },
  'TimeRange.1': { start_time: 'RationalTime.1!', duration: 'RationalTime.1!' },
  'RationalTime.1': { value: 'number!', rate: 'number!' },
};

describe('written OTIO', () => {
  it('has every member that its readers require, of the right type, whatever the timeline', () => {
    fc.assert(
      fc.property(timelines('wild', { mostSounds: 6, mostPictures: 2 }), (timeline) => {
        const text = textOf(timeline, 'otio');
        expect(breaches(JSON.parse(text) as Json, 'file')).toEqual([]);
        expect(text.endsWith('}\n')).toBe(true);
      }),
      { numRuns: 80 },
    );
  });

  it('is one timeline on a stack of tracks, with times at rates above zero', () => {
    fc.assert(
      fc.property(timelines('exact'), (timeline) => {
        const file = JSON.parse(textOf(timeline, 'otio')) as {
          readonly OTIO_SCHEMA: string;
          readonly tracks: { readonly children: readonly { readonly kind: string }[] };
        };
        expect(file.OTIO_SCHEMA).toBe('Timeline.1');
        expect(file.tracks.children.map(({ kind }) => kind)).toEqual(
          timeline.tracks.map(({ kind }) => (kind === 'picture' ? 'Video' : 'Audio')),
        );
      }),
      { numRuns: 30 },
    );
  });

  it('the check itself finds a member that is missing or of another type', () => {
    expect(breaches({ OTIO_SCHEMA: 'RationalTime.1', value: 1 }, 'x')).toEqual(['x.rate is missing']);
    expect(breaches({ OTIO_SCHEMA: 'RationalTime.1', value: null, rate: 24 }, 'x')).toEqual(['x.value is null']);
    expect(breaches({ OTIO_SCHEMA: 'Nothing.1' }, 'x')).toEqual(['x has the unknown schema Nothing.1']);
    expect(kindsOf([])).toEqual([]);
  });
});

function breaches(value: Json, place: string): readonly string[] {
  if (Array.isArray(value)) return value.flatMap((item: Json, index) => breaches(item, `${place}[${index}]`));
  if (value === null || typeof value !== 'object') return [];
  const object = value as { readonly [name: string]: Json };
  const schema = object['OTIO_SCHEMA'];
  const inside = Object.entries(object).flatMap(([name, item]) => breaches(item, `${place}.${name}`));
  if (schema === undefined) return inside;
  const required = REQUIRED[String(schema)];
  if (required === undefined) return [...inside, `${place} has the unknown schema ${String(schema)}`];
  const own = Object.entries(required).flatMap(([name, type]) => breach(object[name], type, `${place}.${name}`));
  const isRate = schema === 'RationalTime.1' && typeof object['rate'] === 'number' && object['rate'] <= 0;
  return [...inside, ...own, ...(isRate ? [`${place} has a rate of zero or less`] : [])];
}

function breach(value: Json | undefined, type: string, place: string): readonly string[] {
  const isRequired = type.endsWith('!');
  const expected = type.replace('!', '');
  if (value === undefined) return [`${place} is missing`];
  if (value === null) return isRequired ? [`${place} is null`] : [];
  const found = Array.isArray(value)
    ? 'array'
    : typeof value === 'object'
      ? expected.endsWith('.1')
        ? String((value as { readonly [name: string]: Json })['OTIO_SCHEMA'])
        : 'object'
      : typeof value;
  return found === expected ? [] : [`${place} is ${found}, expected ${expected}`];
}
