/**
 * Reads an alignment report: text to entries, pairs and problems.
 *
 * Never throws, on any string. One broken place costs what stands there and nothing else. Problems have a span each:
 * an error is what breaks the format or makes an entry unusable, a warning is a contradiction, information is an oddity.
 */

import { kindOf, rootNode } from '../syntax/json/jsonDocument.ts';
import { formatExactDecimal, isZero, ONE, subtract } from '../time/rational.ts';
import { checkEntries } from './checkEntries.ts';
import {
  addProblem,
  type Field,
  fieldsOf,
  type JsonFile,
  nodeOf,
  openJson,
  problemsInOrder,
  readNumber,
  reportUnknown,
  requireObject,
  spanOfNode,
} from './jsonFields.ts';
import type { AlignmentReport } from './model.ts';
import { contradictionsAmong } from './pairAgreement.ts';
import { readPictures, readSounds } from './readEntries.ts';
import { readPairs } from './readPairs.ts';

/** The only version there is. */
export const REPORT_VERSION = 1;

const REPORT_MEMBERS = ['alignment', 'pictures', 'sounds', 'pairs', '$schema'];

/** `file` is the path of the report as shown to people; it stands in every entry and problem. */
export function readReport(file: string, text: string): AlignmentReport {
  const json = openJson(file, text);
  const root = rootNode(json.document);
  const empty = { file, text, pictures: [], sounds: [], pairs: [] };
  if (root === -1 || kindOf(json.document, root) === 'missing' || !requireObject(json, root, 'An alignment report')) {
    return { ...empty, problems: problemsInOrder(json) };
  }
  const fields = fieldsOf(json, root);
  reportMissing(json, root, fields);
  reportUnknown(json, fields, REPORT_MEMBERS, 'An alignment report', 'information');
  if (!isKnownVersion(json, fields.get('alignment'))) return { ...empty, problems: problemsInOrder(json) };
  const readPicturesByKey = readPictures(json, fields.get('pictures'));
  const readSoundsByKey = readSounds(json, fields.get('sounds'));
  const pairs = readPairs(json, fields.get('pairs'), readPicturesByKey, readSoundsByKey);
  const pictures = [...readPicturesByKey.byKey.values()];
  const sounds = [...readSoundsByKey.byKey.values()];
  checkEntries(json, pictures, sounds);
  for (const { later, message } of contradictionsAmong(pairs)) addProblem(json, 'warning', later.atSpan, message);
  return { file, text, pictures, sounds, pairs, problems: problemsInOrder(json) };
}

function reportMissing(json: JsonFile, root: number, fields: ReadonlyMap<string, Field>): void {
  const missing = ['alignment', 'pictures', 'sounds', 'pairs'].filter((name) => !fields.has(name));
  if (missing.length === 0) return;
  const { start } = spanOfNode(json, root);
  const list = missing.map((name) => `"${name}"`).join(', ');
  const version = missing.includes('alignment') ? ` Write "alignment": ${REPORT_VERSION} first.` : '';
  addProblem(json, 'error', { start, end: start + 1 }, `An alignment report needs ${list}.${version}`);
}

/** A report of another version is not read: its words may mean something else. */
function isKnownVersion(json: JsonFile, field: Field | undefined): boolean {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return true;
  const version = readNumber(json, node, '"alignment", the version of the report,');
  if (version === null || isZero(subtract(version, ONE))) return true;
  const written = formatExactDecimal(version) ?? '';
  addProblem(
    json,
    'error',
    field.span,
    `This report is of version ${written}; this reader knows version ${REPORT_VERSION}. Nothing was read from it.`,
  );
  return false;
}
