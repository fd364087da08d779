/**
 * The words of OTIO JSON that this reader compares: names of members, schemas, and our own metadata.
 *
 * The scanner numbers them (see `vocabulary.ts`), so that reading an object is a walk over numbers. Names of members come
 * first: their number is their place in a `Members` table.
 *
 * Source: the serialized schema of the OTIO documentation.
 */

import { createVocabulary } from '../../syntax/json/vocabulary.ts';
import { parseSchema, type Schema } from './otioSchemas.ts';

/** Names of members with their numbers, which are also their places in a `Members` table. */
export const MEMBER = {
  OTIO_SCHEMA: 1,
  value: 2,
  rate: 3,
  start_time: 4,
  duration: 5,
  name: 6,
  metadata: 7,
  source_range: 8,
  effects: 9,
  markers: 10,
  enabled: 11,
  children: 12,
  kind: 13,
  media_reference: 14,
  media_references: 15,
  active_media_reference_key: 16,
  in_offset: 17,
  out_offset: 18,
  transition_type: 19,
  available_range: 20,
  target_url: 21,
  target_url_base: 22,
  name_prefix: 23,
  name_suffix: 24,
  start_frame: 25,
  frame_step: 26,
  frame_zero_padding: 27,
  missing_frame_policy: 28,
  generator_kind: 29,
  time_scalar: 30,
  effect_name: 31,
  marked_range: 32,
  range: 33,
  global_start_time: 34,
  tracks: 35,
  OTIO_REF_ID: 36,
  id: 37,
} as const;

export type MemberName = keyof typeof MEMBER;
export type MemberNumber = (typeof MEMBER)[MemberName];

const MEMBER_NAMES = Object.keys(MEMBER) as MemberName[];

/** Schemas that stand in nearly every file; the others are read from their characters. */
const COMMON_SCHEMAS = [
  'RationalTime.1',
  'TimeRange.1',
  'Clip.1',
  'Clip.2',
  'Gap.1',
  'Transition.1',
  'Track.1',
  'Stack.1',
  'Timeline.1',
  'ExternalReference.1',
  'MissingReference.1',
  'GeneratorReference.1',
  'ImageSequenceReference.1',
  'LinearTimeWarp.1',
  'FreezeFrame.1',
  'TimeEffect.1',
  'Effect.1',
  'Marker.1',
  'Marker.2',
] as const;

const OWN_WORDS = ['afterclap', 'accept'] as const;

const WORDS: readonly string[] = [...MEMBER_NAMES, ...COMMON_SCHEMAS, ...OWN_WORDS];

export const OTIO_VOCABULARY = createVocabulary(WORDS);

export const MEMBER_COUNT = MEMBER_NAMES.length;

/** A word to compare with, and its number. */
export interface OtioWord {
  readonly text: string;
  readonly number: number;
}

export const RATIONAL_TIME = wordOfText('RationalTime.1');
export const TIME_RANGE = wordOfText('TimeRange.1');
export const AFTERCLAP = wordOfText('afterclap');
export const ACCEPT = wordOfText('accept');

/** The schema each word stands for; null for words that are none. */
export const SCHEMA_OF_WORD: readonly (Schema | null)[] = [null, ...WORDS.map((word) => parseSchema(word))];

function wordOfText(text: (typeof COMMON_SCHEMAS)[number] | (typeof OWN_WORDS)[number]): OtioWord {
  return { text, number: WORDS.indexOf(text) + 1 };
}
