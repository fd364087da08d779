/**
 * The pairs of a report: which picture ran with which sound, and where.
 */

import { kindOf } from '../syntax/json/jsonDocument.ts';
import { nearestName } from '../text/nearestName.ts';
import type { Span } from '../text/span.ts';
import { add, compare, divide, ONE, type Rational, rational, sign, ZERO } from '../time/rational.ts';
import { checkPair } from './checkPair.ts';
import {
  addProblem,
  elementsOf,
  type Field,
  fieldsOf,
  type JsonFile,
  nodeOf,
  readNumber,
  readText,
  reportKind,
  reportUnknown,
  requireArray,
  requireObject,
  shown,
  spanOfNode,
} from './jsonFields.ts';
import { comparableName } from './mediaNames.ts';
import type { Pair, PictureEntry, SoundEntry } from './model.ts';
import type { ReadEntries } from './readEntries.ts';

/** How the instant of a pair was found, as the report writes it. */
const PAIR_METHODS = ['clap', 'waveform', 'timecode', 'eye'] as const;

const PAIR_MEMBERS = ['picture', 'sound', 'at', 'driftPpm', 'uncertaintyMs', 'by', 'clap', 'note'];
const THOUSAND = rational(1000);
const MILLION = rational(1_000_000);

export function readPairs(
  json: JsonFile,
  root: Field | undefined,
  pictures: ReadEntries<PictureEntry>,
  sounds: ReadEntries<SoundEntry>,
): readonly Pair[] {
  const node = nodeOf(json, root);
  if (node === null || !requireArray(json, node, '"pairs"')) return [];
  const pairs: Pair[] = [];
  for (const [index, element] of elementsOf(json, node).entries()) {
    if (kindOf(json.document, element) === 'missing' || !requireObject(json, element, `Pair ${index + 1}`)) continue;
    const pair = readPair(json, element, `pair ${index + 1}`, pictures, sounds);
    if (pair !== null) pairs.push(pair);
  }
  return pairs;
}

function readPair(
  json: JsonFile,
  node: number,
  what: string,
  pictures: ReadEntries<PictureEntry>,
  sounds: ReadEntries<SoundEntry>,
): Pair | null {
  const fields = fieldsOf(json, node);
  const span = spanOfNode(json, node);
  reportUnknown(json, fields, PAIR_MEMBERS, 'A pair', 'information');
  const missing = ['picture', 'sound', 'at'].filter((name) => !fields.has(name)).map((name) => `"${name}"`);
  if (missing.length > 0) {
    const place = { start: span.start, end: span.start + 1 };
    addProblem(json, 'error', place, `This pair lacks ${missing.join(' and ')}. It is not used until it is there.`);
  }
  const picture = readMember(json, fields.get('picture'), 'picture', pictures, sounds);
  const sound = readMember(json, fields.get('sound'), 'sound', sounds, pictures);
  const at = readAt(json, fields.get('at'), what);
  const driftPpm = readDrift(json, fields.get('driftPpm'), what);
  const uncertainty = readUncertainty(json, fields.get('uncertaintyMs'), what);
  const by = readMethod(json, fields.get('by'), what);
  const clap = readClapNumber(json, fields.get('clap'), what);
  const noteNode = nodeOf(json, fields.get('note'));
  const note = noteNode === null ? '' : (readText(json, noteNode, `"note" of ${what}`, 'second clap, clean') ?? '');
  if (picture === null || sound === null || at === null || driftPpm === null) return null;
  const pair: Pair = {
    picture,
    sound,
    span,
    pictureSpan: fields.get('picture')?.span ?? span,
    soundSpan: fields.get('sound')?.span ?? span,
    atSpan: fields.get('at')?.span ?? span,
    file: json.file,
    frame: at.frame,
    sample: at.sample,
    driftPpm,
    uncertaintyEarly: uncertainty.early,
    uncertaintyLate: uncertainty.late,
    by,
    clap,
    note,
  };
  checkPair(json, pair, {
    frame: at.frameSpan,
    sample: at.sampleSpan,
    clap: fields.get('clap')?.span ?? at.sampleSpan,
    drift: fields.get('driftPpm')?.span ?? span,
  });
  return pair;
}

/** The entry a pair names by key. Keys are exact, since two keys may differ by case alone. */
function readMember<Entry extends PictureEntry | SoundEntry>(
  json: JsonFile,
  field: Field | undefined,
  role: 'picture' | 'sound',
  own: ReadEntries<Entry>,
  others: ReadEntries<PictureEntry | SoundEntry>,
): Entry | null {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return null;
  const key = readText(json, node, `"${role}" of this pair`, role === 'picture' ? 'cam-a-07' : 'deck-12');
  if (key === null) return null;
  const entry = own.byKey.get(key);
  if (entry !== undefined) return entry;
  // An entry that could not be read has a problem of its own, which says that its pairs are not used.
  if (own.keys.has(key)) return null;
  addProblem(
    json,
    'error',
    field.span,
    `This pair names nobody: no ${role} has the key "${shown(key)}".${suggestion(key, role, own, others)}`,
  );
  return null;
}

function suggestion(
  key: string,
  role: 'picture' | 'sound',
  own: ReadEntries<PictureEntry | SoundEntry>,
  others: ReadEntries<PictureEntry | SoundEntry>,
): string {
  if (others.keys.has(key))
    return ` "${shown(key)}" is a ${role === 'picture' ? 'sound' : 'picture'}; are "picture" and "sound" swapped?`;
  const wanted = comparableName(key);
  const byName = [...own.byKey.values()].find((entry) => entry.names.some((name) => comparableName(name.text) === wanted));
  if (byName !== undefined) return ` A pair names entries by key, not by file name: write "${shown(byName.key)}".`;
  const nearest = nearestName(key, own.keys);
  if (nearest !== null) return ` Did you mean "${shown(nearest)}"?`;
  return own.keys.size === 0 ? ` "${role}s" has no entries.` : '';
}

interface Instant {
  readonly frame: Rational;
  readonly frameSpan: Span;
  readonly sample: Rational;
  readonly sampleSpan: Span;
}

function readAt(json: JsonFile, field: Field | undefined, what: string): Instant | null {
  const node = nodeOf(json, field);
  if (field === undefined || node === null || !requireObject(json, node, `"at" of ${what}`)) return null;
  const fields = fieldsOf(json, node);
  reportUnknown(json, fields, ['frame', 'sample'], `"at" of ${what}`, 'information');
  const missing = ['frame', 'sample'].filter((name) => !fields.has(name)).map((name) => `"${name}"`);
  if (missing.length > 0) {
    const place = { start: field.span.start, end: field.span.start + 1 };
    addProblem(json, 'error', place, `"at" of ${what} lacks ${missing.join(' and ')}. The pair is not used until it is there.`);
  }
  const frame = fields.get('frame');
  const sample = fields.get('sample');
  const frameNode = nodeOf(json, frame);
  const sampleNode = nodeOf(json, sample);
  const frameValue = frameNode === null ? null : readNumber(json, frameNode, `"frame" of ${what}`);
  const sampleValue = sampleNode === null ? null : readNumber(json, sampleNode, `"sample" of ${what}`);
  if (frameValue === null || sampleValue === null || frame === undefined || sample === undefined) return null;
  return { frame: frameValue, frameSpan: frame.span, sample: sampleValue, sampleSpan: sample.span };
}

/** 0 when left out; null when the pair can't be used with what is written. */
function readDrift(json: JsonFile, field: Field | undefined, what: string): Rational | null {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return ZERO;
  const drift = readNumber(json, node, `"driftPpm" of ${what}`);
  if (drift === null) return ZERO;
  if (sign(add(ONE, divide(drift, MILLION))) > 0) return drift;
  addProblem(
    json,
    'error',
    field.span,
    `"driftPpm" of ${what} would make the sound stand still or run backwards. The pair is not used; the drift of two clocks is some tens of parts per million.`,
  );
  return null;
}

function readUncertainty(json: JsonFile, field: Field | undefined, what: string): { early: Rational; late: Rational } {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return { early: ZERO, late: ZERO };
  const name = `"uncertaintyMs" of ${what}`;
  if (kindOf(json.document, node) === 'number') {
    // One number for both sides is told, since the format wants two, and used, since it is clear.
    reportKind(json, node, 'number', name, 'two sides, { "early": 20, "late": 20 }');
    const both = readMilliseconds(json, { ...field, name: 'uncertaintyMs' }, name);
    return { early: both, late: both };
  }
  if (!requireObject(json, node, name)) return { early: ZERO, late: ZERO };
  const fields = fieldsOf(json, node);
  reportUnknown(json, fields, ['early', 'late'], name, 'information');
  return {
    early: readMilliseconds(json, fields.get('early'), `"early" of ${what}`),
    late: readMilliseconds(json, fields.get('late'), `"late" of ${what}`),
  };
}

/** Seconds; 0 when left out or not usable. */
function readMilliseconds(json: JsonFile, field: Field | undefined, what: string): Rational {
  const node = nodeOf(json, field);
  const value = node === null ? null : readNumber(json, node, what);
  if (field === undefined || value === null) return ZERO;
  if (sign(value) >= 0) return divide(value, THOUSAND);
  addProblem(
    json,
    'error',
    field.span,
    `${what} is below zero: expected how many milliseconds the true instant may lie to that side, zero or more. It is taken as zero.`,
  );
  return ZERO;
}

function readMethod(json: JsonFile, field: Field | undefined, what: string): Pair['by'] {
  const node = nodeOf(json, field);
  const text = node === null ? null : readText(json, node, `"by" of ${what}`, 'clap');
  if (field === undefined || text === null) return null;
  const method = PAIR_METHODS.find((candidate) => candidate === text);
  if (method !== undefined) return method;
  const nearest = nearestName(text, PAIR_METHODS);
  const question = nearest === null ? '' : ` Did you mean "${nearest}"?`;
  addProblem(
    json,
    'error',
    field.span,
    `"by" of ${what} is "${shown(text)}": expected clap, waveform, timecode or eye.${question}`,
  );
  return null;
}

function readClapNumber(json: JsonFile, field: Field | undefined, what: string): number | null {
  const node = nodeOf(json, field);
  const value = node === null ? null : readNumber(json, node, `"clap" of ${what}`);
  if (field === undefined || value === null) return null;
  const number = Number(value.numerator) / Number(value.denominator);
  if (Number.isSafeInteger(number) && number >= 1 && compare(value, rational(number)) === 0) return number;
  addProblem(
    json,
    'error',
    field.span,
    `"clap" of ${what} counts the claps of the sound from 1: expected a whole number, 1 or more.`,
  );
  return null;
}
