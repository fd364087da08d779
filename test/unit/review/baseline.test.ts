/**
 * The baseline file: what it leaves out, what it misses, and that writing and reading it changes nothing.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type BaselineEntry,
  entriesOf,
  readBaseline,
  splitByBaseline,
  writeBaseline,
} from '../../../server/src/core/review/baseline.ts';
import { type FindingIdentity, fingerprints } from '../../../server/src/core/review/findingIdentity.ts';
import { FINDING_CODES } from '../../../server/src/core/rules/finding.ts';

const lead: FindingIdentity = { code: 'sound-leads', clips: ['a [A.wav]', 'b [B.mov]'], lag: ['-1/24', '-1/24'], on: null };
const lag: FindingIdentity = { ...lead, code: 'sound-lags', lag: ['1/8', '1/8'] };
const rate: FindingIdentity = { code: 'rate-mismatch', clips: [], lag: null, on: '24' };

const split = (entries: readonly BaselineEntry[], found: readonly FindingIdentity[], file = 'cut.edl') =>
  splitByBaseline({ entries }, file, found, (identity) => identity);

describe('a baseline', () => {
  test('leaves out as many findings as it has, no more', () => {
    const { kept, leftOut, gone } = split(entriesOf('cut.edl', [lead, lead, rate]), [lead, lead, lead, rate]);
    expect([kept, leftOut.length, gone]).toEqual([[lead], 3, []]);
  });

  test('names what is missing, with how often', () => {
    const { gone } = split(entriesOf('cut.edl', [lead, lead, lag]), [lead]);
    expect(gone).toEqual([
      { file: 'cut.edl', ...lead, count: 1 },
      { file: 'cut.edl', ...lag, count: 1 },
    ]);
  });

  test('of one file does not count for another', () => {
    expect(split(entriesOf('other.edl', [lead]), [lead])).toEqual({ kept: [lead], leftOut: [], gone: [] });
  });

  const text = fc.string({ unit: 'binary', maxLength: 20 });
  const anyEntry: fc.Arbitrary<BaselineEntry> = fc.record({
    file: text,
    code: fc.constantFrom(...FINDING_CODES),
    clips: fc.array(text, { maxLength: 3 }),
    lag: fc.option(fc.tuple(text, text)),
    on: fc.option(text),
    count: fc.integer({ min: 1, max: 99 }),
  });

  test('reads back as it was written, in order of file', () => {
    fc.assert(
      fc.property(fc.array(anyEntry, { maxLength: 12 }), (entries) => {
        const read = readBaseline(writeBaseline({ entries }));
        if (!read.ok) throw new Error(read.reason);
        const files = read.baseline.entries.map(({ file }) => file);
        expect(files).toEqual([...files].sort((left, right) => (left < right ? -1 : left > right ? 1 : 0)));
        expect(read.baseline.entries.toSorted(byText)).toEqual([...entries].sort(byText));
      }),
    );
  });

  test('is read without a throw, whatever the text', () => {
    fc.assert(fc.property(fc.oneof(fc.string(), fc.json()), (written) => typeof readBaseline(written).ok === 'boolean'));
  });

  function byText(left: BaselineEntry, right: BaselineEntry): number {
    return JSON.stringify(left) < JSON.stringify(right) ? -1 : 1;
  }
});

describe('fingerprints', () => {
  test('number equal findings, and depend on the file only when it is given', () => {
    const [first, second, other] = fingerprints([lead, lead, lag], null);
    expect(new Set([first, second, other]).size).toBe(3);
    expect(fingerprints([lead], null)).toEqual([first]);
    expect(fingerprints([lead], 'a.edl')).not.toEqual(fingerprints([lead], 'b.edl'));
  });
});
