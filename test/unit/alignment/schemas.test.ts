/**
 * The two JSON Schemas against the reader: what one refuses the other does not let pass in silence.
 *
 * ajv is the reference library for JSON Schema draft-07.
 */

import { readFileSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { settingsSchema } from '../../../server/src/core/alignment/settingsSchema.ts';
import { SAMPLE_REPORT } from './sampleReport.ts';

const folder = resolve(import.meta.dirname, '../../../syntaxes');
const settingsFile = resolve(folder, 'afterclap-settings.schema.json');

// `npm test` compares; with this variable set, the file is made from its source.
if (process.env['AFTERCLAP_WRITE_SCHEMAS'] === '1') writeFileSync(settingsFile, `${JSON.stringify(settingsSchema(), null, 2)}\n`);

const reportSchema = JSON.parse(readFileSync(resolve(folder, 'alignment.schema.json'), 'utf8'));
const writtenSettingsSchema = JSON.parse(readFileSync(settingsFile, 'utf8'));

// Strict: a keyword ajv does not know would be a slip of ours.
const ajv = new Ajv({ strict: true, strictTypes: false, allErrors: true });
const isReport = ajv.compile(reportSchema);
const isSettings = ajv.compile(writtenSettingsSchema);

type Change = (report: Record<string, unknown>) => void;

function report(change: Change = () => {}): unknown {
  const value = JSON.parse(SAMPLE_REPORT);
  change(value);
  return value;
}

// biome-ignore lint/suspicious/noExplicitAny: each change below reaches into the sample's own shape.
const at = (value: any): any => value;

describe('the schema of the settings file', () => {
  it('is made from the list of members (AFTERCLAP_WRITE_SCHEMAS=1 makes it anew)', () => {
    expect(writtenSettingsSchema).toEqual(settingsSchema());
  });

  it('describes every member, with examples that are right by schema and reader', () => {
    for (const [name, member] of Object.entries<Record<string, unknown>>(writtenSettingsSchema.properties)) {
      expect(member['description'], name).toMatch(/\.$/);
      if (name === '$schema') continue;
      const examples = member['examples'];
      if (!Array.isArray(examples)) throw new Error(`${name} has no examples`);
      for (const example of examples) {
        const settings = { [name]: example };
        expect(isSettings(settings), JSON.stringify(settings)).toBe(true);
        expect(readSettings('s', JSON.stringify(settings)).problems).toEqual([]);
      }
    }
  });

  it.each<[string, unknown]>([
    ['an unknown member', { tolerances: 'ebu-r37' }],
    ['a path that is no text', { alignment: [1] }],
    ['one path', { alignment: 'a.alignment.json' }],
    ['an unknown tolerance', { tolerance: 'ebu-r38' }],
    ['one side of a tolerance', { tolerance: { lead: '1ms' } }],
    ['a tolerance below zero', { tolerance: { lead: '-1ms', lag: '1f' } }],
    ['a tolerance without a unit', { tolerance: { lead: '1', lag: '1f' } }],
    ['an unknown grid', { grid: '1/25f' }],
    ['a rate that is none', { edlRate: 'film' }],
    ['a rate below zero', { edlRate: -25 }],
    ['handles without a unit', { handles: '2' }],
    ['an unknown code', { rules: { 'sound-lag': 'off' } }],
    ['an unknown severity', { rules: { 'no-sound': 'warn' } }],
    ['an acceptance without a reason', { accept: [{ code: 'sound-lags' }] }],
    ['an acceptance with an empty reason', { accept: [{ code: 'sound-lags', reason: ' ' }] }],
    ['an acceptance of an unknown code', { accept: [{ code: 'sound-late', reason: 'x' }] }],
    ['a list', []],
  ])('refuses %s, and so does the reader', (_name, value) => {
    expect(isSettings(value)).toBe(false);
    expect(readSettings('s', JSON.stringify(value)).problems.some((problem) => problem.severity === 'error')).toBe(true);
  });
});

describe('the schema of the alignment report', () => {
  it('takes the sample and the least report', () => {
    expect(isReport(report()), JSON.stringify(isReport.errors)).toBe(true);
    expect(isReport({ alignment: 1, pictures: { a: { rate: 25 } }, sounds: { b: { sampleRate: 44100 } }, pairs: [] })).toBe(true);
  });

  it('takes members it does not know', () => {
    expect(isReport(report((value) => Object.assign(value, { shoot: { day: 1 } })))).toBe(true);
  });

  it('describes every member', () => {
    const undescribed: string[] = [];
    const look = (path: string, schema: Record<string, unknown>): void => {
      for (const [name, member] of Object.entries(at(schema['properties'] ?? {}))) {
        const { description, $ref } = at(member);
        if (description === undefined && $ref === undefined) undescribed.push(`${path}/${name}`);
        look(`${path}/${name}`, at(member));
      }
    };
    look('', reportSchema);
    for (const [name, definition] of Object.entries(reportSchema.definitions)) look(name, at(definition));
    expect(undescribed).toEqual([]);
  });

  it.each<[string, Change]>([
    ['another version', (value) => Object.assign(value, { alignment: 2 })],
    ['no version', (value) => delete value['alignment']],
    ['no pairs', (value) => delete value['pairs']],
    ['no rate', (value) => delete at(value).pictures['cam-a-07'].rate],
    ['a rate of zero', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: 0 })],
    ['a rate of zero as text', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: '0/1' })],
    ['a rate below zero', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: -24 })],
    ['a rate over zero', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: '24000/0' })],
    ['a rate with a comma', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: '23,976' })],
    ['a sample rate for pictures', (value) => Object.assign(at(value).pictures['cam-a-07'], { rate: 48000 })],
    ['names without brackets', (value) => Object.assign(at(value).pictures['cam-a-07'], { names: 'a.mov' })],
    ['a start that is no timecode', (value) => Object.assign(at(value).pictures['cam-a-07'], { start: 'noon' })],
    ['half a frame of length', (value) => Object.assign(at(value).pictures['cam-a-07'], { frames: 1.5 })],
    ['no frames', (value) => Object.assign(at(value).pictures['cam-a-07'], { frames: 0 })],
    ['drop-frame as text', (value) => Object.assign(at(value).pictures['cam-a-07'], { dropFrame: 'yes' })],
    ['no sample rate', (value) => delete at(value).sounds['deck-12'].sampleRate],
    ['kilohertz', (value) => Object.assign(at(value).sounds['deck-12'], { sampleRate: 48 })],
    ['a stamp below zero', (value) => Object.assign(at(value).sounds['deck-12'], { startSample: -1 })],
    ['a clap as text', (value) => Object.assign(at(value).sounds['deck-12'], { claps: ['1'] })],
    ['a pair without a sound', (value) => delete at(value).pairs[0].sound],
    ['a pair without an instant', (value) => delete at(value).pairs[0].at],
    ['an instant without a sample', (value) => delete at(value).pairs[0].at.sample],
    ['a frame as text', (value) => Object.assign(at(value).pairs[0].at, { frame: '132' })],
    ['an uncertainty below zero', (value) => Object.assign(at(value).pairs[0].uncertaintyMs, { early: -1 })],
    ['one uncertainty for both sides', (value) => Object.assign(at(value).pairs[0], { uncertaintyMs: 20 })],
    ['a drift that stops the sound', (value) => Object.assign(at(value).pairs[0], { driftPpm: -1_000_000 })],
    ['an unknown way of measuring', (value) => Object.assign(at(value).pairs[0], { by: 'wave' })],
    ['clap zero', (value) => Object.assign(at(value).pairs[0], { clap: 0 })],
    ['a note as a number', (value) => Object.assign(at(value).pairs[0], { note: 1 })],
  ])('refuses %s, and so does the reader', (_name, change) => {
    const value = report(change);
    expect(isReport(value)).toBe(false);
    expect(readReport('r', JSON.stringify(value)).problems.some((problem) => problem.severity === 'error')).toBe(true);
  });
});
