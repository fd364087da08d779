/**
 * Reports as wholes: what is written reads back as the same, edits touch nothing else, and no text makes the reader throw.
 */

import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Ajv } from 'ajv';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import type { PairData } from '../../server/src/core/alignment/reportText.ts';
import { updatePair } from '../../server/src/core/alignment/updatePair.ts';
import { type ReportData, reportData, writeReport } from '../../server/src/core/alignment/writeReport.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import { TIMECODE_RATES } from '../../server/src/core/time/rate.ts';
import { formatRational, type Rational, rational, reduce } from '../../server/src/core/time/rational.ts';

/** A decimal with up to `places` places. */
const decimal = (smallest: number, largest: number, places: number): fc.Arbitrary<Rational> =>
  fc.integer({ min: smallest, max: largest }).map((value) => reduce(rational(BigInt(value), 10n ** BigInt(places))));

const name = fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }).filter((text) => text.trim() !== '');
const keys = fc.uniqueArray(name, { minLength: 1, maxLength: 4 });

const reports: fc.Arbitrary<ReportData> = fc.tuple(keys, keys).chain(([pictureKeys, soundKeys]) =>
  fc.record({
    pictures: fc.tuple(
      ...pictureKeys.map((key) =>
        fc.record({
          key: fc.constant(key),
          names: fc.array(name, { maxLength: 2 }),
          rate: fc.constantFrom(...TIMECODE_RATES),
          isDropFrame: fc.constant(false),
          startFrame: fc.option(fc.integer({ min: 0, max: 2_000_000 }).map((frame) => rational(frame))),
          frameCount: fc.option(fc.integer({ min: 1, max: 1_000_000 }).map((count) => rational(count))),
        }),
      ),
    ),
    sounds: fc.tuple(
      ...soundKeys.map((key) =>
        fc.record({
          key: fc.constant(key),
          names: fc.array(name, { maxLength: 2 }),
          sampleRate: fc.constantFrom(rational(44100), rational(48000), rational(48000000, 1001), rational(96000)),
          startSample: fc.option(fc.integer({ min: 0, max: 8_294_400_000 }).map((sample) => rational(sample))),
          sampleCount: fc.option(fc.integer({ min: 1, max: 2 ** 40 }).map((count) => rational(count))),
          claps: fc.array(decimal(0, 1_000_000_000, 2), { maxLength: 3 }),
        }),
      ),
    ),
    pairs: fc.array(pairs(pictureKeys, soundKeys), { maxLength: 5 }),
  }),
);

function pairs(pictureKeys: readonly string[], soundKeys: readonly string[]): fc.Arbitrary<PairData> {
  return fc.record({
    picture: fc.constantFrom(...pictureKeys),
    sound: fc.constantFrom(...soundKeys),
    frame: decimal(-10_000, 100_000_000, 3),
    sample: decimal(-10_000, 2 ** 50, 6),
    driftPpm: decimal(-1_000_000, 1_000_000, 4),
    uncertainty: fc.option(fc.record({ early: decimal(1, 1_000_000, 6), late: decimal(0, 1_000_000, 6) })),
    by: fc.option(fc.constantFrom('clap' as const, 'waveform' as const, 'timecode' as const, 'eye' as const)),
    clap: fc.option(fc.integer({ min: 1, max: 99 })),
    note: fc.option(fc.string({ unit: 'grapheme', minLength: 1, maxLength: 20 })),
  });
}

/** Comparable whatever form a rational took, and in the order in which reports are written. */
function plain(data: ReportData): unknown {
  const text = JSON.stringify(data, (_key, value) =>
    typeof value === 'object' && value !== null && 'numerator' in value ? formatRational(value as Rational) : value,
  );
  const { pictures, sounds, pairs: list } = JSON.parse(text) as Record<'pictures' | 'sounds' | 'pairs', { key: string }[]>;
  const sorted = (items: readonly object[]): readonly string[] =>
    items.map((item) => JSON.stringify(item, Object.keys(item).sort())).sort();
  return [sorted(pictures), sorted(sounds), sorted(list)];
}

function reportOnly(data: ReportData): ReportData {
  return {
    pictures: data.pictures.map(({ key, names, rate, isDropFrame, startFrame, frameCount }) => ({
      key,
      names,
      rate,
      isDropFrame,
      startFrame,
      frameCount,
    })),
    sounds: data.sounds.map(({ key, names, sampleRate, startSample, sampleCount, claps }) => ({
      key,
      names,
      sampleRate,
      startSample,
      sampleCount,
      claps,
    })),
    pairs: data.pairs,
  };
}

describe('a report', () => {
  it('reads back as what was written', () => {
    fc.assert(
      fc.property(reports, (data) => {
        const read = readReport('r', writeReport(data));
        expect(read.problems.filter((problem) => problem.severity === 'error')).toEqual([]);
        expect(plain(reportOnly(reportData(read)))).toEqual(plain(data));
      }),
    );
  });

  it('fits its schema when written', () => {
    const isReport = new Ajv({ strict: true, strictTypes: false }).compile(
      JSON.parse(readFileSync(resolve(import.meta.dirname, '../../syntaxes/alignment.schema.json'), 'utf8')),
    );
    fc.assert(
      fc.property(reports, (data) => {
        expect(isReport(JSON.parse(writeReport(data))), JSON.stringify(isReport.errors)).toBe(true);
      }),
    );
  });

  it('is written the same whatever the order', () => {
    fc.assert(
      fc.property(reports, (data) => {
        const turned = { pictures: data.pictures.toReversed(), sounds: data.sounds.toReversed(), pairs: data.pairs };
        expect(writeReport(turned)).toBe(writeReport(data));
      }),
    );
  });

  it('takes a pair without losing or changing any other', () => {
    const reportAndPair = reports.chain((data) =>
      fc.tuple(
        fc.constant(data),
        pairs(
          data.pictures.map(({ key }) => key),
          data.sounds.map(({ key }) => key),
        ),
      ),
    );
    fc.assert(
      fc.property(reportAndPair, ([data, wanted]) => {
        const text = writeReport(data);
        const before = readReport('r', text);
        const result = updatePair(before, { pair: wanted, picture: null, sound: null });
        if (!result.ok) throw new Error(result.reason);
        const after = readReport('r', applyEdits(text, result.edits) ?? '');
        expect(after.problems.filter((problem) => problem.severity === 'error')).toEqual([]);
        const [own, others] = [after, before].map((report) =>
          reportData(report).pairs.map((pair) => JSON.stringify(pair, numbersAsText)),
        );
        const { note, ...numbers } = wanted;
        expect(own?.some((pair) => isSamePair(pair, numbers, note))).toBe(true);
        expect(others?.filter((pair) => !own?.includes(pair)).length).toBeLessThanOrEqual(1);
        expect(own?.length).toBeGreaterThanOrEqual(others?.length ?? 0);
      }),
    );
  });

  it('never makes the reader throw, and problems stay inside it', () => {
    const anyText = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 200 }),
      fc.json(),
      fc.tuple(reports, fc.nat(), fc.nat(20), fc.string({ unit: 'binary', maxLength: 5 })).map(([data, place, length, noise]) => {
        const text = writeReport(data);
        const start = place % text.length;
        return text.slice(0, start) + noise + text.slice(start + length);
      }),
    );
    fc.assert(
      fc.property(anyText, (text) => {
        for (const problem of [...readReport('r', text).problems, ...readSettings('s', text).problems]) {
          expect(problem.span.start).toBeGreaterThanOrEqual(0);
          expect(problem.span.end).toBeGreaterThanOrEqual(problem.span.start);
          expect(problem.span.end).toBeLessThanOrEqual(text.length);
          expect(problem.message).toMatch(/[.?]$/);
        }
      }),
      { numRuns: 500 },
    );
  });
});

function numbersAsText(_key: string, value: unknown): unknown {
  return typeof value === 'object' && value !== null && 'numerator' in value ? formatRational(value as Rational) : value;
}

/** An old note stays where the new measurement brings none. */
function isSamePair(text: string, numbers: Omit<PairData, 'note'>, note: string | null): boolean {
  const pair = JSON.parse(text);
  const wanted = JSON.parse(JSON.stringify(numbers, numbersAsText));
  return (
    Object.entries(wanted).every(([key, value]) => JSON.stringify(pair[key]) === JSON.stringify(value)) &&
    (note === null || pair.note === note)
  );
}
