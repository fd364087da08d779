/**
 * What an OTIO file holds beyond the neutral timeline: metadata, markers, effects, nesting, other media references.
 *
 * The neutral timeline is what rules need; a conversion has to name the rest. The file is walked once more, with a list of what
 * is still to be looked at instead of recursion, since nesting may be as deep as a file is long.
 */

import { parseSchema, type SchemaRole } from '../formats/otio/otioSchemas.ts';
import { type JsonDocument, kindOf, member, parseJson, rootNode, startOf, stringOf } from '../syntax/json/jsonDocument.ts';
import type { Timeline } from '../timeline/model.ts';
import type { LossLog } from './loss.ts';
import {
  COMMON_MEMBERS,
  childrenOf,
  type OtioObject,
  type OtioSurvey,
  quoted,
  surveyOtherMembers,
  tellObject,
} from './otioObject.ts';
import type { TransitionType } from './source.ts';
import { surveyEffects, surveyMarkers, surveyMetadata, surveyReferences } from './surveyOtioParts.ts';

interface Visit {
  readonly node: number;
  /** Compositions around it: 0 for the topmost stack or anything above. */
  readonly depth: number;
}

/** Members the neutral timeline takes over, or that have a survey of their own, by role; all others are named as lost. */
const ITEM = [...COMMON_MEMBERS, 'source_range', 'effects', 'markers'];
const KNOWN: Readonly<Partial<Record<SchemaRole, readonly string[]>>> = {
  timeline: [...COMMON_MEMBERS, 'global_start_time', 'tracks'],
  collection: [...COMMON_MEMBERS, 'children'],
  stack: [...ITEM, 'children'],
  track: [...ITEM, 'children', 'kind'],
  clip: [...ITEM, 'media_reference', 'media_references', 'active_media_reference_key'],
  gap: [...ITEM, 'duration'],
  transition: [...COMMON_MEMBERS, 'in_offset', 'out_offset', 'transition_type'],
};

export function surveyOtio(text: string, timeline: Timeline, log: LossLog): ReadonlyMap<number, TransitionType> {
  const document = parseJson(text);
  const survey: OtioSurvey = { document, log };
  const clips = new Map(timeline.clips.map((clip) => [clip.span.start, clip.index]));
  const transitions = new Set(timeline.transitions.map(({ span }) => span.start));
  const types = new Map<number, TransitionType>();
  const chosen = timeline.outline[0]?.span.start ?? -1;
  const open: Visit[] = [{ node: rootNode(document), depth: 0 }];
  while (open.length > 0) {
    const { node, depth } = open.pop() as Visit;
    if (node === -1) continue;
    const kind = kindOf(document, node);
    if (kind === 'array') {
      open.push(...childrenOf(document, node).map((child) => ({ node: child, depth })));
      continue;
    }
    if (kind !== 'object') continue;
    const object = describe(document, node, clips);
    if (object.role === 'timeline' && startOf(document, node) !== chosen) {
      tellObject(
        survey,
        object,
        'other-timeline',
        `A further timeline${quoted(object.name)} is in this file. Only the first one is converted.`,
      );
      continue;
    }
    surveyObject(survey, object, depth);
    if (object.role === 'clip' && object.clip === null) {
      tellObject(
        survey,
        object,
        'hidden',
        `The clip${quoted(object.name)} has no length, or what is around it leaves nothing of it. It is left out.`,
      );
    }
    if (object.role === 'transition') {
      types.set(startOf(document, node), typeOf(document, node));
      if (!transitions.has(startOf(document, node))) {
        tellObject(
          survey,
          object,
          'transition',
          `The transition${quoted(object.name)} is disabled, or nothing of it is on record. It is left out.`,
        );
      }
    }
    const inner = member(document, node, object.role === 'timeline' ? 'tracks' : 'children');
    if (inner !== -1) open.push({ node: inner, depth: object.role === 'stack' || object.role === 'track' ? depth + 1 : depth });
  }
  return types;
}

function describe(document: JsonDocument, node: number, clips: ReadonlyMap<number, number>): OtioObject {
  const schemaNode = member(document, node, 'OTIO_SCHEMA');
  const schema = schemaNode !== -1 && kindOf(document, schemaNode) === 'string' ? stringOf(document, schemaNode) : '';
  const role = parseSchema(schema)?.core?.role ?? null;
  const nameNode = member(document, node, 'name');
  const name = nameNode !== -1 && kindOf(document, nameNode) === 'string' ? stringOf(document, nameNode) : '';
  return { node, schema, role, name, clip: clips.get(startOf(document, node)) ?? null };
}

function surveyObject(survey: OtioSurvey, object: OtioObject, depth: number): void {
  const { document } = survey;
  surveyMetadata(survey, object, member(document, object.node, 'metadata'));
  surveyMarkers(survey, object);
  surveyEffects(survey, object);
  if (object.role === 'clip') surveyReferences(survey, object);
  if (object.role === 'stack' || object.role === 'track') surveyNesting(survey, object, depth);
  if (object.role === 'gap' && object.name !== '') {
    tellObject(survey, object, 'name', `The name of this gap, '${object.name}', is left out.`);
  }
  surveyOtherMembers(survey, object, KNOWN[object.role ?? 'other']);
}

/** Stacks and tracks below the topmost tracks, and trims of any, are worked into the clips. */
function surveyNesting(survey: OtioSurvey, object: OtioObject, depth: number): void {
  const { document } = survey;
  const what = `The ${object.role}${quoted(object.name)}`;
  const isTopStack = depth === 0 && object.role === 'stack';
  const isTopTrack = depth === 0 ? object.role === 'track' : depth === 1 && object.role === 'track';
  if (!isTopStack && !isTopTrack) {
    tellObject(
      survey,
      object,
      'nesting',
      `${what} stands inside another one. It is flattened: its clips stand on tracks of their own, where they are seen and heard.`,
    );
  } else if (isTopStack && object.name !== '' && object.name !== 'tracks') {
    tellObject(survey, object, 'name', `The name of the topmost stack, '${object.name}', is left out.`);
  }
  const range = member(document, object.node, 'source_range');
  if (range !== -1 && kindOf(document, range) === 'object') {
    tellObject(survey, object, 'nesting', `${what} has a source_range. It is worked into the places of its clips.`);
  }
}

function typeOf(document: JsonDocument, node: number): TransitionType {
  const typeNode = member(document, node, 'transition_type');
  const name = typeNode !== -1 && kindOf(document, typeNode) === 'string' ? stringOf(document, typeNode) : '';
  // 'SMPTE.Dissolve' is seen in old files.
  if (/^smpte[_.]dissolve$/i.test(name) || name === '') return { kind: 'dissolve' };
  return /^smpte[_.]wipe$/i.test(name) ? { kind: 'wipe' } : { kind: 'other', name };
}
