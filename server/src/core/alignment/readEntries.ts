/**
 * The pictures and sounds of a report.
 *
 * An entry whose rate can't be read is left out, since nothing about it can be placed in time, and its key is remembered so
 * that its pairs are not told to name nobody.
 */

import { kindOf } from '../syntax/json/jsonDocument.ts';
import type { Span } from '../text/span.ts';
import { droppedLabelsPerMinute, type Rate, rateLabel } from '../time/rate.ts';
import { compare, formatExactDecimal, isInteger, type Rational, rational, sign } from '../time/rational.ts';
import { formatLabel, type LabelProblem, labelToFrame, parseTimecode } from '../time/timecode.ts';
import {
  addProblem,
  capitalised,
  elementsOf,
  type Field,
  fieldsOf,
  type JsonFile,
  nodeOf,
  readBoolean,
  readNumber,
  readText,
  reportUnknown,
  requireArray,
  requireObject,
  shown,
  spanOfNode,
  textIfString,
  wholeSpan,
} from './jsonFields.ts';
import type { PictureEntry, SoundEntry, WrittenName } from './model.ts';
import { readFrameRate, readSampleRate } from './readRate.ts';

export interface ReadEntries<Entry> {
  /** In text order. */
  readonly byKey: ReadonlyMap<string, Entry>;
  /** Every key that stands in the map, those of unusable entries too. */
  readonly keys: ReadonlySet<string>;
}

const PICTURE_MEMBERS = ['names', 'rate', 'start', 'dropFrame', 'frames'];
const SOUND_MEMBERS = ['names', 'sampleRate', 'startSample', 'samples', 'claps'];

export function readPictures(json: JsonFile, root: Field | undefined): ReadEntries<PictureEntry> {
  return readMap(json, root, 'picture', readPicture);
}

export function readSounds(json: JsonFile, root: Field | undefined): ReadEntries<SoundEntry> {
  return readMap(json, root, 'sound', readSound);
}

function readMap<Entry>(
  json: JsonFile,
  root: Field | undefined,
  role: 'picture' | 'sound',
  read: (json: JsonFile, field: Field, what: string) => Entry | null,
): ReadEntries<Entry> {
  const node = nodeOf(json, root);
  if (node === null || !requireObject(json, node, `"${role}s"`)) return { byKey: new Map(), keys: new Set() };
  const byKey = new Map<string, Entry>();
  const keys = new Set<string>();
  for (const field of fieldsOf(json, node).values()) {
    keys.add(field.name);
    if (field.name.trim() === '')
      addProblem(json, 'warning', field.keySpan, `This ${role} has an empty key: pairs and messages can't name it.`);
    const what = `${role} "${shown(field.name)}"`;
    if (nodeOf(json, field) === null || !requireObject(json, field.node, capitalised(what))) continue;
    const entry = read(json, field, what);
    if (entry !== null) byKey.set(field.name, entry);
  }
  return { byKey, keys };
}

function readPicture(json: JsonFile, entry: Field, what: string): PictureEntry | null {
  const fields = fieldsOf(json, entry.node);
  reportUnknown(json, fields, PICTURE_MEMBERS, capitalised(what), 'information');
  const names = readNames(json, fields.get('names'), what);
  const rateNode = requiredNode(json, entry, fields.get('rate'), what, '"rate", its frames per second');
  const rate = rateNode === null ? null : readFrameRate(json, rateNode, `"rate" of ${what}`);
  const frameCount = readCount(json, fields.get('frames'), `"frames" of ${what}`, 1);
  if (rate === null) return null;
  const isDropFrame = readDropFrame(json, fields, rate.rate, what);
  const start = fields.get('start');
  const startFrame = start === undefined ? null : readStart(json, start, rate.rate, isDropFrame, what);
  return {
    key: entry.name,
    keySpan: entry.keySpan,
    span: wholeSpan(entry),
    file: json.file,
    names,
    rate: rate.rate,
    rateSpan: rate.span,
    isDropFrame,
    startFrame,
    startSpan: startFrame === null || start === undefined ? null : start.span,
    frameCount,
  };
}

function readSound(json: JsonFile, entry: Field, what: string): SoundEntry | null {
  const fields = fieldsOf(json, entry.node);
  reportUnknown(json, fields, SOUND_MEMBERS, capitalised(what), 'information');
  const names = readNames(json, fields.get('names'), what);
  const rateNode = requiredNode(json, entry, fields.get('sampleRate'), what, '"sampleRate", its samples per second');
  const sampleRate = rateNode === null ? null : readSampleRate(json, rateNode, `"sampleRate" of ${what}`);
  const startSample = readCount(json, fields.get('startSample'), `"startSample" of ${what}`, 0);
  const sampleCount = readCount(json, fields.get('samples'), `"samples" of ${what}`, 1);
  const claps = readClaps(json, fields.get('claps'), sampleCount, what);
  if (sampleRate === null) return null;
  return {
    key: entry.name,
    keySpan: entry.keySpan,
    span: wholeSpan(entry),
    file: json.file,
    names,
    sampleRate: sampleRate.rate,
    sampleRateSpan: sampleRate.span,
    startSample,
    sampleCount,
    claps,
  };
}

/** The node of a member that must be there; when it is not, says so and that the entry can't be used. */
function requiredNode(json: JsonFile, entry: Field, field: Field | undefined, what: string, member: string): number | null {
  if (field === undefined) {
    addProblem(
      json,
      'error',
      entry.keySpan,
      `${capitalised(what)} lacks ${member}. It and its pairs are not used until it is there.`,
    );
    return null;
  }
  return nodeOf(json, field);
}

function readNames(json: JsonFile, field: Field | undefined, what: string): readonly WrittenName[] {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return [];
  // A single name without brackets is a slip whose meaning is clear: it is told and used.
  const isBare = kindOf(json.document, node) === 'string';
  const isList = requireArray(json, node, `"names" of ${what}`);
  const elements = isList ? elementsOf(json, node) : isBare ? [node] : [];
  const names: WrittenName[] = [];
  for (const element of elements) {
    const text = readText(json, element, `A name of ${what}`, 'CAM_A_0007.mov');
    if (text === null) continue;
    const place = spanOfNode(json, element);
    if (text.trim() === '') addProblem(json, 'warning', place, `A name of ${what} is empty; it matches no file.`);
    else names.push({ text, span: place });
  }
  return names;
}

/** A whole number of frames or samples, `smallest` or more. */
function readCount(json: JsonFile, field: Field | undefined, what: string, smallest: number): Rational | null {
  const node = nodeOf(json, field);
  const value = node === null ? null : readNumber(json, node, what);
  if (field === undefined || value === null) return null;
  if (isInteger(value) && compare(value, rational(smallest)) >= 0) return value;
  const expected = smallest === 0 ? 'a whole number, zero or more' : `a whole number, ${smallest} or more`;
  addProblem(json, 'error', field.span, `${what} is ${formatExactDecimal(value) ?? 'not whole'}: expected ${expected}.`);
  return null;
}

function readClaps(json: JsonFile, field: Field | undefined, sampleCount: Rational | null, what: string): readonly Rational[] {
  const node = nodeOf(json, field);
  if (node === null || !requireArray(json, node, `"claps" of ${what}`)) return [];
  const claps: Rational[] = [];
  for (const element of elementsOf(json, node)) {
    const name = `Clap ${claps.length + 1} of ${what}`;
    const clap = readNumber(json, element, name);
    if (clap === null) continue;
    const place = spanOfNode(json, element);
    const last = claps.at(-1);
    if (sign(clap) < 0 || (sampleCount !== null && compare(clap, sampleCount) >= 0)) {
      const length = sampleCount === null ? '' : `, which has ${formatExactDecimal(sampleCount)} samples`;
      addProblem(json, 'warning', place, `${name} lies outside the file${length}.`);
    } else if (last !== undefined && compare(clap, last) <= 0) {
      addProblem(
        json,
        'warning',
        place,
        `${name} does not come after the clap before it. List claps in the order in which they are heard, since pairs count them.`,
      );
    }
    claps.push(clap);
  }
  return claps;
}

/** Whether the picture's timecode counts drop-frame: what `dropFrame` says, else the separator of `start`. */
function readDropFrame(json: JsonFile, fields: ReadonlyMap<string, Field>, rate: Rate, what: string): boolean {
  const field = fields.get('dropFrame');
  const start = fields.get('start');
  const node = nodeOf(json, field);
  const stated = node === null ? null : readBoolean(json, node, `"dropFrame" of ${what}`);
  const startText = start === undefined ? null : textIfString(json, start.node);
  const isMarked = startText !== null && parseTimecode(startText)?.isMarkedDrop === true;
  if (stated === false && isMarked && start !== undefined) {
    addProblem(
      json,
      'warning',
      start.span,
      `"start" of ${what} is written with the ; of drop-frame timecode, yet "dropFrame" is false. It is read as non-drop; correct one of the two.`,
    );
  }
  const isDropFrame = stated ?? isMarked;
  if (!isDropFrame || droppedLabelsPerMinute(rate) > 0) return isDropFrame;
  const place = (stated === true ? field?.span : start?.span) as Span;
  addProblem(
    json,
    'warning',
    place,
    `Drop-frame timecode exists only at 29.97 and 59.94 frames per second, and ${what} runs at ${rateLabel(rate)}. It is read as non-drop; check the rate.`,
  );
  return false;
}

function readStart(json: JsonFile, field: Field, rate: Rate, isDropFrame: boolean, what: string): Rational | null {
  if (nodeOf(json, field) === null) return null;
  const name = `"start" of ${what}`;
  const text = readText(json, field.node, name, '14:03:20:00');
  if (text === null) return null;
  const label = parseTimecode(text);
  if (label === null) {
    addProblem(
      json,
      'error',
      field.span,
      `${name} is "${shown(text)}": expected the timecode of its first frame, hh:mm:ss:ff, such as "14:03:20:00".`,
    );
    return null;
  }
  const answer = labelToFrame(label, rate, isDropFrame);
  if (answer.ok) return rational(answer.frame);
  addProblem(
    json,
    'error',
    field.span,
    `${name}, ${shown(text)}, does not exist at ${rateLabel(rate)} frames per second: ${reasonFor(answer.problem)}.`,
  );
  return null;
}

function reasonFor(problem: LabelProblem): string {
  switch (problem.kind) {
    case 'frame-field':
      return `its frame field goes to ${problem.largest}`;
    case 'clock-field':
      return `its ${problem.field} go to ${problem.field === 'hours' ? 23 : 59}`;
    case 'skipped':
      return `drop-frame counting skips it; the next label is ${formatLabel({ ...problem.next, isMarkedDrop: true })}`;
    case 'no-drop-frame-at-rate':
      return 'drop-frame counting is not defined there';
  }
}
