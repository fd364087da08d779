import { describe, expect, it } from 'vitest';
import { defaultSettings, readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { formatTolerance } from '../../../server/src/core/alignment/tolerance.ts';
import { textOf } from '../../../server/src/core/text/span.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { describeProblem } from './sampleReport.ts';

const FULL = `{
  "$schema": "urn:afterclap:schema:settings:1",
  "alignment": ["day1.alignment.json", "../day2.alignment.json"],
  "tolerance": { "lead": "0.5ms", "lag": "1.5f" },
  "grid": "1/10f",
  "edlRate": "24000/1001",
  "handles": "2s",
  "rules": { "no-sound": "warning", "unmeasured": "off" },
  "accept": [
    { "code": "sound-lags", "clip": "DECK_0012.wav", "reason": "heard through the wall" },
    { "code": "off-grid", "reason": "the mix is in samples" }
  ]
}`;

function problemsOf(text: string): readonly string[] {
  return readSettings('afterclap.json', text).problems.map((problem) => describeProblem(text, problem));
}

describe('the settings file', () => {
  it('gives every member', () => {
    const settings = readSettings('afterclap.json', FULL);
    expect(settings.problems).toEqual([]);
    expect(settings.file).toBe('afterclap.json');
    expect(settings.alignment?.map(({ path, span }) => [path, textOf(FULL, span)])).toEqual([
      ['day1.alignment.json', '"day1.alignment.json"'],
      ['../day2.alignment.json', '"../day2.alignment.json"'],
    ]);
    expect(formatTolerance(settings.tolerance)).toBe('lead 0.5ms, lag 1.5f');
    expect(settings.grid).toBe('1/10f');
    expect(settings.edlRate && formatRational(settings.edlRate)).toBe('24000/1001');
    expect(settings.handles).toEqual({ value: { numerator: 2, denominator: 1 }, unit: 's' });
    expect(settings.severities).toEqual({ 'no-sound': 'warning', unmeasured: 'off' });
    expect(settings.acceptances.map(({ code, clip, reason }) => [code, clip, reason])).toEqual([
      ['sound-lags', 'DECK_0012.wav', 'heard through the wall'],
      ['off-grid', null, 'the mix is in samples'],
    ]);
    expect(settings.acceptances.map(({ span }) => textOf(FULL, span))[1]).toBe(
      '{ "code": "off-grid", "reason": "the mix is in samples" }',
    );
  });

  it('leaves everything else as it is by default: lead 1 ms, lag one frame', () => {
    expect(readSettings('afterclap.json', '{}')).toEqual({ ...defaultSettings, file: 'afterclap.json' });
    expect(formatTolerance(defaultSettings.tolerance)).toBe('lead 1ms, lag 1f');
  });

  it('takes a named tolerance, or both sides in one string', () => {
    expect(formatTolerance(readSettings('s', '{ "tolerance": "ebu-r37" }').tolerance)).toBe('ebu-r37: lead 40ms, lag 60ms');
    expect(formatTolerance(readSettings('s', '{ "tolerance": "1ms/2f" }').tolerance)).toBe('lead 1ms, lag 2f');
  });

  it('names no report, which is not the same as not saying', () => {
    expect(readSettings('s', '{ "alignment": [] }').alignment).toEqual([]);
    expect(readSettings('s', '{}').alignment).toBeNull();
  });
});

describe('a mistake in the settings', () => {
  it.each<[string, string, RegExp]>([
    [
      'a member nobody knows',
      '{ "tolerances": "ebu-r37" }',
      /^error at "tolerances": A settings file has no member "tolerances"\. Did you mean "tolerance"\?/,
    ],
    [
      'a member that resembles none',
      '{ "colour": 1 }',
      /^error at "colour": .*Known members: alignment, tolerance, grid, edlRate, handles, rules, accept/,
    ],
    [
      'one path without brackets',
      '{ "alignment": "day1.alignment.json" }',
      /^error at "day1\.alignment\.json": "alignment" is text: expected a list/,
    ],
    ['a path that is no text', '{ "alignment": [1] }', /^error at 1: /],
    ['an empty path', '{ "alignment": [""] }', /^error at "": .*is empty/],
    [
      'a tolerance nobody named',
      '{ "tolerance": "ebu-r38" }',
      /^error at "ebu-r38": .*Did you mean ebu-r37\?.*Until then lead 1ms, lag 1f holds/,
    ],
    ['a tolerance as a number', '{ "tolerance": 1 }', /^error at 1: "tolerance" is a number: expected \{ "lead"/],
    ['one side of a tolerance', '{ "tolerance": { "lead": "1ms" } }', /^error at "tolerance": "tolerance" lacks "lag"/],
    [
      'a third side',
      '{ "tolerance": { "lead": "1ms", "lag": "1f", "leed": "2ms" } }',
      /^error at "leed": "tolerance" has no member "leed"/,
    ],
    ['a side below zero', '{ "tolerance": { "lead": "-1ms", "lag": "1f" } }', /^error at "-1ms": The lead "-1ms" has a sign/],
    ['a side without a unit', '{ "tolerance": { "lead": "1", "lag": "1f" } }', /^error at "1": The lead "1" has no unit/],
    [
      'a grid that is none',
      '{ "grid": "1/25f" }',
      /^error at "1\/25f": "grid" is "1\/25f": expected sample, 1f, 1\/10f, 1\/80f, 1\/100f/,
    ],
    ['a rate that is none', '{ "edlRate": "film" }', /^error at "film": "edlRate" is "film": expected a frame rate/],
    ['a rate below zero', '{ "edlRate": -25 }', /^error at -25: /],
    ['handles without a unit', '{ "handles": "2" }', /^error at "2": The handles "2" has no unit/],
    [
      'a code nobody knows',
      '{ "rules": { "sound-lag": "off" } }',
      /^error at "sound-lag": There is no finding code "sound-lag"\. Did you mean "sound-lags"\?/,
    ],
    [
      'a severity nobody knows',
      '{ "rules": { "no-sound": "warn" } }',
      /^error at "warn": "warn" is no severity.*Did you mean "warning"\?/,
    ],
    [
      'an acceptance without a reason',
      '{ "accept": [{ "code": "sound-lags" }] }',
      /^error at \{: This acceptance lacks "reason"/,
    ],
    [
      'an acceptance with an empty reason',
      '{ "accept": [{ "code": "sound-lags", "reason": " " }] }',
      /^error at " ": This acceptance gives no reason/,
    ],
    [
      'an acceptance of nothing known',
      '{ "accept": [{ "code": "sound-late", "reason": "x" }] }',
      /^error at "sound-late": There is no finding code/,
    ],
    [
      'an acceptance with a slip',
      '{ "accept": [{ "code": "sound-lags", "reason": "x", "clp": "a" }] }',
      /^error at "clp": .*Did you mean "clip"\?/,
    ],
    ['a list', '[]', /^error at \[\]: A settings file is a list: expected an object/],
    ['no JSON', 'alignment = day1', /^error at/],
    ['an empty file', '', /^error at/],
  ])('%s', (_name, text, expected) => {
    const said = problemsOf(text);
    expect(said.length, said.join('\n')).toBeGreaterThan(0);
    expect(said.join('\n')).toMatch(expected);
  });

  it('of one member leaves the others standing', () => {
    const settings = readSettings('s', FULL.replace('"1/10f"', '"half"'));
    expect(settings.problems).toHaveLength(1);
    expect(settings.grid).toBeNull();
    expect(settings.acceptances).toHaveLength(2);
  });

  it('in an acceptance silences nothing', () => {
    const accept = '[{ "code": "sound-lags", "clip": 7, "reason": "x" }, { "code": "sound-lags", "clip": "", "reason": "x" }]';
    expect(readSettings('s', `{ "accept": ${accept} }`).acceptances).toEqual([]);
  });

  it('never throws, cut at every fiftieth', () => {
    for (let part = 0; part < 50; part += 1) {
      const text = FULL.slice(0, Math.floor((FULL.length * part) / 50));
      expect(readSettings('s', text).problems.length).toBeGreaterThan(0);
    }
  });
});
