/**
 * What hangs on the objects of an OTIO file and is not taken over: metadata, markers, effects, further media references.
 */

import { parseSchema } from '../formats/otio/otioSchemas.ts';
import { firstChild, isKey, keyText, kindOf, member, nextSibling, stringOf } from '../syntax/json/jsonDocument.ts';
import {
  childrenOf,
  type OtioObject,
  type OtioSurvey,
  quoted,
  saysNothing,
  surveyOtherMembers,
  tellObject,
  titleOf,
} from './otioObject.ts';

/** Where reels are looked for, see otioReel.ts. */
const REELS: ReadonlySet<string> = new Set(['reel', 'reel_name', 'tape', 'tape_name']);
const EFFECT = ['OTIO_SCHEMA', 'metadata', 'name', 'effect_name', 'enabled', 'time_scalar'];

/** Metadata, but for reels and acceptances, which are taken over. */
export function surveyMetadata(survey: OtioSurvey, object: OtioObject, metadata: number, what = 'metadata'): void {
  const { document } = survey;
  if (metadata === -1 || kindOf(document, metadata) !== 'object') return;
  const headings: string[] = [];
  for (let key = firstChild(document, metadata); key !== -1; key = nextSibling(document, key)) {
    const heading = keyText(document, key);
    if (!isTakenOver(survey, heading, key + 1)) headings.push(heading);
  }
  if (headings.length === 0) return;
  tellObject(
    survey,
    object,
    'metadata',
    `${titleOf(object)} has ${what} under ${headings.map((heading) => `'${heading}'`).join(', ')}. It is left out.`,
  );
}

function isTakenOver({ document }: OtioSurvey, heading: string, node: number): boolean {
  if (REELS.has(heading.toLowerCase()) && kindOf(document, node) === 'string') return true;
  if (kindOf(document, node) !== 'object') return saysNothing(document, node);
  const isOwn = heading === 'afterclap';
  for (let key = firstChild(document, node); key !== -1; key = nextSibling(document, key)) {
    const isReel = REELS.has(keyText(document, key).toLowerCase()) && kindOf(document, key + 1) === 'string';
    if (!isReel && !(isOwn && isKey(document, key, 'accept'))) return false;
  }
  return true;
}

export function surveyMarkers(survey: OtioSurvey, object: OtioObject): void {
  const { document } = survey;
  const markers = member(document, object.node, 'markers');
  if (markers === -1 || kindOf(document, markers) !== 'array') return;
  for (const node of childrenOf(document, markers)) {
    if (kindOf(document, node) !== 'object') continue;
    const name = textMember(survey, node, 'name');
    const comment = textMember(survey, node, 'comment');
    const said = comment === '' ? '' : `: ${comment.slice(0, 80)}`;
    tellObject(survey, { ...object, node }, 'marker', `${titleOf(object)} has a marker${quoted(name)}${said}. It is left out.`);
  }
}

/** Speeds are taken over; every other effect, and one that is switched off, is not. */
export function surveyEffects(survey: OtioSurvey, object: OtioObject): void {
  const { document } = survey;
  const effects = member(document, object.node, 'effects');
  if (effects === -1 || kindOf(document, effects) !== 'array') return;
  const isComposition = object.role === 'stack' || object.role === 'track';
  let speeds = 0;
  for (const node of childrenOf(document, effects)) {
    if (kindOf(document, node) !== 'object') continue;
    const schema = parseSchema(textMember(survey, node, 'OTIO_SCHEMA'));
    const enabled = member(document, node, 'enabled');
    const isOff = enabled !== -1 && kindOf(document, enabled) === 'false';
    const role = schema?.core?.role;
    const label = textMember(survey, node, 'effect_name') || textMember(survey, node, 'name') || schema?.name || 'effect';
    const at = { ...object, node };
    if (isOff || (role !== 'time-warp' && role !== 'time-effect')) {
      const off = isOff ? ', which is switched off' : '';
      tellObject(survey, at, 'effect', `${titleOf(object)} has the effect '${label}'${off}. It is left out.`);
      continue;
    }
    speeds += 1;
    if (isComposition)
      tellObject(survey, at, 'nesting', `${titleOf(object)} is retimed as a whole. That is worked into the speeds of its clips.`);
    else if (speeds === 2) tellObject(survey, at, 'speed', `${titleOf(object)} has several retimes. They are written as one.`);
    surveyMetadata(survey, at, member(document, node, 'metadata'), `metadata of the effect '${label}'`);
    surveyOtherMembers(survey, { ...at, schema: schema?.name ?? '' }, EFFECT);
  }
}

const REFERENCE = ['OTIO_SCHEMA', 'OTIO_REF_ID', 'metadata', 'name', 'available_range', 'target_url', 'generator_kind', 'id'];
/** What the first image of a sequence is named by. */
const SEQUENCE = [
  ...REFERENCE,
  'target_url_base',
  'name_prefix',
  'name_suffix',
  'start_frame',
  'frame_zero_padding',
  'rate',
  'frame_step',
  'missing_frame_policy',
];

export function surveyReferences(survey: OtioSurvey, object: OtioObject): void {
  const { document } = survey;
  const own = member(document, object.node, 'media_reference');
  if (own !== -1 && kindOf(document, own) === 'object') surveyReference(survey, object, own);
  const references = member(document, object.node, 'media_references');
  if (references === -1 || kindOf(document, references) !== 'object') return;
  const active = textMember(survey, object.node, 'active_media_reference_key') || 'DEFAULT_MEDIA';
  for (let key = firstChild(document, references); key !== -1; key = nextSibling(document, key)) {
    const name = keyText(document, key);
    if (kindOf(document, key + 1) !== 'object') continue;
    if (name === active) surveyReference(survey, object, key + 1);
    else
      tellObject(
        survey,
        { ...object, node: key + 1 },
        'media',
        `${titleOf(object)} has a further media reference, '${name}'. Only the active one is written.`,
      );
  }
}

function surveyReference(survey: OtioSurvey, object: OtioObject, node: number): void {
  const { document } = survey;
  const role = parseSchema(textMember(survey, node, 'OTIO_SCHEMA'))?.core?.role;
  const at = { ...object, node };
  surveyMetadata(survey, at, member(document, node, 'metadata'), 'metadata of its media');
  surveyOtherMembers(survey, at, role === 'sequence-reference' ? SEQUENCE : REFERENCE);
}

function textMember({ document }: OtioSurvey, node: number, name: string): string {
  const found = member(document, node, name);
  return found !== -1 && kindOf(document, found) === 'string' ? stringOf(document, found) : '';
}
