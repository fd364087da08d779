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

const MEMBER_NAMES = [
  'OTIO_SCHEMA',
  'value',
  'rate',
  'start_time',
  'duration',
  'name',
  'metadata',
  'source_range',
  'effects',
  'markers',
  'enabled',
  'children',
  'kind',
  'media_reference',
  'media_references',
  'active_media_reference_key',
  'in_offset',
  'out_offset',
  'transition_type',
  'available_range',
  'target_url',
  'target_url_base',
  'name_prefix',
  'name_suffix',
  'start_frame',
  'frame_step',
  'frame_zero_padding',
  'missing_frame_policy',
  'generator_kind',
  'time_scalar',
  'effect_name',
  'marked_range',
  'range',
  'global_start_time',
  'tracks',
  'OTIO_REF_ID',
  'id',
] as const;

export type MemberName = (typeof MEMBER_NAMES)[number];

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

export type OtioWord = MemberName | (typeof COMMON_SCHEMAS)[number] | (typeof OWN_WORDS)[number];

const WORDS: readonly OtioWord[] = [...MEMBER_NAMES, ...COMMON_SCHEMAS, ...OWN_WORDS];

export const OTIO_VOCABULARY = createVocabulary(WORDS);

export const MEMBER_COUNT = MEMBER_NAMES.length;

/** The number of each word in a document read with `OTIO_VOCABULARY`. */
export const WORD = Object.fromEntries(WORDS.map((word, index) => [word, index + 1])) as Readonly<Record<OtioWord, number>>;

/** The schema each word stands for; null for words that are none. */
export const SCHEMA_OF_WORD: readonly (Schema | null)[] = [null, ...WORDS.map((word) => parseSchema(word))];
