/**
 * The members of OTIO objects, gathered in one pass over an object's names.
 *
 * A timeline holds a million names, so each object is walked once, names are compared on the text's characters without
 * making strings, and one scratch table is used again and again: what it holds is good until the next `gather`.
 *
 * Source of the names: the serialized schema of the OTIO documentation.
 */

import { firstChild, isKey, type JsonDocument, nextSibling } from '../../syntax/json/jsonDocument.ts';
import { STRING } from '../../syntax/json/jsonTape.ts';

const NAMES = [
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
  'parameters',
  'time_scalar',
  'effect_name',
  'marked_range',
  'range',
  'global_start_time',
  'tracks',
  'OTIO_REF_ID',
  'id',
] as const;

export type MemberName = (typeof NAMES)[number];

/** Position of each name in a `Members` table. */
const INDEX = Object.fromEntries(NAMES.map((name, index) => [name, index])) as Readonly<Record<MemberName, number>>;

const BY_LENGTH: readonly (readonly number[])[] = groupByLength();

/** Value nodes by name; -1 where the object has no such name. */
export class Members {
  readonly #nodes = new Int32Array(NAMES.length).fill(-1);
  readonly #used = new Int32Array(NAMES.length);
  #usedCount = 0;

  /** Forgets the last object and gathers `objectNode`; the first of repeated names counts. */
  gather(document: JsonDocument, objectNode: number): void {
    for (let index = 0; index < this.#usedCount; index += 1) this.#nodes[this.#used[index] as number] = -1;
    this.#usedCount = 0;
    for (let key = firstChild(document, objectNode); key !== -1; key = nextSibling(document, key)) {
      const name = knownName(document, key);
      if (name === -1 || this.#nodes[name] !== -1) continue;
      this.#nodes[name] = key + 1;
      this.#used[this.#usedCount] = name;
      this.#usedCount += 1;
    }
  }

  /** The node of the value under `name`, -1 when there is none. */
  node(name: MemberName): number {
    return this.#nodes[INDEX[name]] as number;
  }
}

function knownName(document: JsonDocument, key: number): number {
  if (document.kinds[key] !== STRING) {
    for (const [index, name] of NAMES.entries()) if (isKey(document, key, name)) return index;
    return -1;
  }
  const start = (document.starts[key] as number) + 1;
  const length = (document.ends[key] as number) - start - 1;
  const candidates = BY_LENGTH[length];
  if (candidates === undefined) return -1;
  for (const candidate of candidates) if (isTextAt(document.text, start, NAMES[candidate] as string)) return candidate;
  return -1;
}

/** True when `expected` stands at `start`. Faster than `startsWith` for short words, since it is inlined. */
export function isTextAt(text: string, start: number, expected: string): boolean {
  for (let offset = 0; offset < expected.length; offset += 1) {
    if (text.charCodeAt(start + offset) !== expected.charCodeAt(offset)) return false;
  }
  return true;
}

function groupByLength(): readonly (readonly number[])[] {
  const groups: number[][] = [];
  for (const [index, name] of NAMES.entries()) {
    const group = groups[name.length] ?? [];
    group.push(index);
    groups[name.length] = group;
  }
  return groups;
}
