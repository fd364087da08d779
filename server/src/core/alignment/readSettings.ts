/**
 * Reads the settings file of a project, `afterclap.json`.
 *
 * Never throws. Whatever is wrong has a problem with its span, and the default stands in its place: a wrong setting must not
 * pass for a right one, so every problem here is an error. Members are those of settingsSchema.ts.
 */

import { FINDING_CODES, type FindingCode, type Severity } from '../rules/finding.ts';
import { kindOf, rootNode } from '../syntax/json/jsonDocument.ts';
import { nearestName } from '../text/nearestName.ts';
import { ZERO } from '../time/rational.ts';
import {
  addProblem,
  elementsOf,
  type Field,
  fieldsOf,
  type JsonFile,
  nodeOf,
  openJson,
  problemsInOrder,
  readText,
  reportKind,
  reportUnknown,
  requireArray,
  requireObject,
  shown,
  spanOfNode,
  textIfString,
} from './jsonFields.ts';
import { readFrameRate } from './readRate.ts';
import type { Duration, Grid, Settings, SettingsAcceptance, Tolerance } from './settings.ts';
import { DEFAULT_TOLERANCE, GRIDS, SETTINGS_MEMBERS, SEVERITIES } from './settingsSchema.ts';
import { formatTolerance, parseDuration, parseTolerance, reasonForNoDuration } from './tolerance.ts';

const FALLBACK_TOLERANCE: Tolerance = {
  name: null,
  lead: ownDuration(DEFAULT_TOLERANCE.lead),
  lag: ownDuration(DEFAULT_TOLERANCE.lag),
};

/** What holds without a settings file. */
export const defaultSettings: Settings = {
  file: null,
  alignment: null,
  tolerance: FALLBACK_TOLERANCE,
  grid: null,
  edlRate: null,
  handles: null,
  severities: {},
  acceptances: [],
  problems: [],
};

/** `file` is the path of the settings file as shown to people; it stands in every problem. */
export function readSettings(file: string, text: string): Settings {
  const json = openJson(file, text);
  const root = rootNode(json.document);
  if (root === -1 || kindOf(json.document, root) === 'missing' || !requireObject(json, root, 'A settings file')) {
    return { ...defaultSettings, file, problems: problemsInOrder(json) };
  }
  const fields = fieldsOf(json, root);
  reportUnknown(json, fields, [...SETTINGS_MEMBERS.map((member) => member.name), '$schema'], 'A settings file', 'error');
  const rateNode = nodeOf(json, fields.get('edlRate'));
  const settings = {
    file,
    alignment: readAlignment(json, fields.get('alignment')),
    tolerance: readTolerance(json, fields.get('tolerance')),
    grid: readGrid(json, fields.get('grid')),
    edlRate: rateNode === null ? null : (readFrameRate(json, rateNode, '"edlRate"')?.rate ?? null),
    handles: readHandles(json, fields.get('handles')),
    severities: readRules(json, fields.get('rules')),
    acceptances: readAcceptances(json, fields.get('accept')),
  };
  return { ...settings, problems: problemsInOrder(json) };
}

function readAlignment(json: JsonFile, field: Field | undefined): Settings['alignment'] {
  const node = nodeOf(json, field);
  if (node === null) return null;
  // One path without brackets is a slip whose meaning is clear: it is told and used.
  const isBare = kindOf(json.document, node) === 'string';
  if (!requireArray(json, node, '"alignment"') && !isBare) return null;
  const paths: { path: string; span: Field['span'] }[] = [];
  for (const element of isBare ? [node] : elementsOf(json, node)) {
    const path = readText(json, element, 'A path of "alignment"', 'day1.alignment.json');
    if (path === null) continue;
    const span = spanOfNode(json, element);
    if (path.trim() === '')
      addProblem(json, 'error', span, 'A path of "alignment" is empty: expected the path of a report, from this file.');
    else paths.push({ path, span });
  }
  return paths;
}

function readTolerance(json: JsonFile, field: Field | undefined): Tolerance {
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return FALLBACK_TOLERANCE;
  const fallback = ` Until then ${formatTolerance(FALLBACK_TOLERANCE)} holds.`;
  const text = textIfString(json, node);
  if (text !== null) {
    const parsed = parseTolerance(text);
    if (parsed.ok) return parsed.tolerance;
    addProblem(json, 'error', field.span, parsed.reason + fallback);
    return FALLBACK_TOLERANCE;
  }
  if (kindOf(json.document, node) !== 'object') {
    reportKind(
      json,
      node,
      kindOf(json.document, node),
      '"tolerance"',
      '{ "lead": "1ms", "lag": "1f" } or a name such as "ebu-r37"',
    );
    return FALLBACK_TOLERANCE;
  }
  const fields = fieldsOf(json, node);
  reportUnknown(json, fields, ['lead', 'lag'], '"tolerance"', 'error');
  const missing = ['lead', 'lag'].filter((name) => !fields.has(name)).map((name) => `"${name}"`);
  if (missing.length > 0) addProblem(json, 'error', field.keySpan, `"tolerance" lacks ${missing.join(' and ')}.${fallback}`);
  const lead = readDuration(json, fields.get('lead'), 'lead', '1ms');
  const lag = readDuration(json, fields.get('lag'), 'lag', '1f');
  return { name: null, lead: lead ?? FALLBACK_TOLERANCE.lead, lag: lag ?? FALLBACK_TOLERANCE.lag };
}

function readDuration(json: JsonFile, field: Field | undefined, name: string, example: string): Duration | null {
  const node = nodeOf(json, field);
  const text = node === null ? null : readText(json, node, `"${name}"`, example);
  if (field === undefined || text === null) return null;
  const duration = parseDuration(text);
  if (duration === null) addProblem(json, 'error', field.span, reasonForNoDuration(name, shown(text)));
  return duration;
}

function readHandles(json: JsonFile, field: Field | undefined): Duration | null {
  return readDuration(json, field, 'handles', '2s');
}

function readGrid(json: JsonFile, field: Field | undefined): Grid | null {
  const node = nodeOf(json, field);
  const text = node === null ? null : readText(json, node, '"grid"', '1f');
  if (field === undefined || text === null) return null;
  const grid = GRIDS.find((candidate) => candidate === text);
  if (grid === undefined)
    addProblem(json, 'error', field.span, `"grid" is "${shown(text)}": expected ${GRIDS.join(', ')}.${question(text, GRIDS)}`);
  return grid ?? null;
}

function readRules(json: JsonFile, field: Field | undefined): Settings['severities'] {
  const node = nodeOf(json, field);
  if (node === null || !requireObject(json, node, '"rules"')) return {};
  const severities: Partial<Record<FindingCode, Severity>> = {};
  for (const rule of fieldsOf(json, node).values()) {
    const code = knownCode(json, rule.name, rule.keySpan);
    const severity = readSeverity(json, rule);
    if (code !== null && severity !== null) severities[code] = severity;
  }
  return severities;
}

function readSeverity(json: JsonFile, rule: Field): Severity | null {
  const node = nodeOf(json, rule);
  const text = node === null ? null : readText(json, node, `The severity of "${shown(rule.name)}"`, 'warning');
  if (text === null) return null;
  const severity = SEVERITIES.find((candidate) => candidate === text);
  if (severity === undefined)
    addProblem(
      json,
      'error',
      rule.span,
      `"${shown(text)}" is no severity: expected ${SEVERITIES.join(', ')}.${question(text, SEVERITIES)}`,
    );
  return severity ?? null;
}

function readAcceptances(json: JsonFile, field: Field | undefined): readonly SettingsAcceptance[] {
  const node = nodeOf(json, field);
  if (node === null || !requireArray(json, node, '"accept"')) return [];
  const acceptances: SettingsAcceptance[] = [];
  for (const element of elementsOf(json, node)) {
    if (kindOf(json.document, element) === 'missing' || !requireObject(json, element, 'An entry of "accept"')) continue;
    const acceptance = readAcceptance(json, element);
    if (acceptance !== null) acceptances.push(acceptance);
  }
  return acceptances;
}

/** Null when it can't silence anything: an acceptance without a known code and a reason is none. */
function readAcceptance(json: JsonFile, node: number): SettingsAcceptance | null {
  const span = spanOfNode(json, node);
  const fields = fieldsOf(json, node);
  reportUnknown(json, fields, ['code', 'clip', 'reason'], 'An entry of "accept"', 'error');
  const missing = ['code', 'reason'].filter((name) => !fields.has(name)).map((name) => `"${name}"`);
  if (missing.length > 0) {
    addProblem(
      json,
      'error',
      { start: span.start, end: span.start + 1 },
      `This acceptance lacks ${missing.join(' and ')}. It silences nothing until it is there.`,
    );
  }
  const codeField = fields.get('code');
  const codeNode = nodeOf(json, codeField);
  const codeText = codeNode === null ? null : readText(json, codeNode, '"code"', 'sound-lags');
  const code = codeField === undefined || codeText === null ? null : knownCode(json, codeText, codeField.span);
  const clipNode = nodeOf(json, fields.get('clip'));
  const clip = clipNode === null ? null : readText(json, clipNode, '"clip"', 'DECK_0012.wav');
  const reasonField = fields.get('reason');
  const reasonNode = nodeOf(json, reasonField);
  const reason = reasonNode === null ? null : readText(json, reasonNode, '"reason"', 'heard through the wall');
  if (clip !== null && clip.trim() === '') {
    addProblem(
      json,
      'error',
      fields.get('clip')?.span ?? span,
      '"clip" is empty; leave it out to accept the finding on every clip.',
    );
    return null;
  }
  // A clip name that can't be read must not turn into 'every clip'.
  if (code === null || reason === null || reasonField === undefined || (clipNode !== null && clip === null)) return null;
  if (reason.trim() === '') {
    addProblem(
      json,
      'error',
      reasonField.span,
      'This acceptance gives no reason. It silences nothing until it says why the finding is fine.',
    );
    return null;
  }
  return { code, clip, reason, span };
}

function knownCode(json: JsonFile, text: string, place: Field['span']): FindingCode | null {
  const code = FINDING_CODES.find((candidate) => candidate === text);
  if (code !== undefined) return code;
  const nearest = nearestName(text, FINDING_CODES);
  const hint = nearest === null ? ` Codes: ${FINDING_CODES.join(', ')}.` : ` Did you mean "${nearest}"?`;
  addProblem(json, 'error', place, `There is no finding code "${shown(text)}".${hint}`);
  return null;
}

function question(text: string, candidates: readonly string[]): string {
  const nearest = nearestName(text, candidates);
  return nearest === null ? '' : ` Did you mean "${nearest}"?`;
}

/** Of a length that is written in our own source. One that could not be read would allow nothing, and tests would tell. */
function ownDuration(text: string): Duration {
  return parseDuration(text) ?? { value: ZERO, unit: 'ms' };
}
