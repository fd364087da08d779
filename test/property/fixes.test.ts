/**
 * Fixes: after any of them the finding is gone, no new error appears, only the characters of numbers changed, and a second
 * run changes nothing.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Audit, editsForFix, fixAll, fixesFor } from '../../server/src/core/audit.ts';
import type { Finding } from '../../server/src/core/rules/finding.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { auditText, FORMATS, writeCut } from '../support/auditText.ts';
import type { TestCut, TestShot } from '../support/cut.ts';
import type { TestReport } from '../support/report.ts';
import { cameraReport, cutOf, STAMP, shot } from '../unit/rules/fixtures.ts';

interface Case {
  readonly cut: TestCut;
  readonly report: TestReport;
  readonly format: FormatId;
  readonly grid: string | null;
}

const cases: fc.Arbitrary<Case> = fc
  .record({
    format: fc.constantFrom(...FORMATS),
    grid: fc.constantFrom(null, 'sample', '1f', '1/10f'),
    driftPpm: fc.constantFrom(0, 0, 20, -35),
    sample: fc.integer({ min: 190_000, max: 210_000 }),
    shots: fc.array(
      fc.record({
        length: fc.integer({ min: 2, max: 800 }),
        offset: fc.integer({ min: 0, max: 3000 }),
        slip: fc.integer({ min: -40, max: 40 }),
        isStereo: fc.boolean(),
        gap: fc.integer({ min: 0, max: 10 }),
      }),
      { minLength: 1, maxLength: 6 },
    ),
  })
  .map(({ format, grid, driftPpm, sample, shots }) => {
    let recordIn = 0;
    const placed: TestShot[] = [];
    for (const { length, offset, slip, isStereo, gap } of shots) {
      const sourceIn = STAMP + 300 + offset;
      placed.push(shot('V1', 'CAM_A_0001.mov', { recordIn, length, sourceIn }));
      for (const track of isStereo ? ['A1', 'A2'] : ['A1']) {
        placed.push(shot(track, 'DECK_0001.wav', { recordIn, length, sourceIn: sourceIn + slip }));
      }
      recordIn += length + gap;
    }
    const report = {
      ...cameraReport,
      pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 100, sample, driftPpm }],
    };
    return { cut: cutOf(...placed), report, format, grid };
  });

describe('a fix', () => {
  it('takes its finding away, makes no new error and changes nothing but numbers', () => {
    fc.assert(
      fc.property(cases, (one) => {
        const text = writeCut(one.cut, one.format);
        const before = run(one, text);
        for (const finding of before.findings.slice(0, 4)) {
          for (const fix of fixesFor(before, finding).filter((offered) => offered.isSafe)) {
            const edits = editsForFix(before, fix);
            if (!edits.ok) throw new Error(edits.reason);
            const mended = applyEdits(text, edits.edits);
            expect(mended, 'edits do not overlap').not.toBeNull();
            const after = run(one, mended ?? '');
            expect(keys(after), `${finding.message} -> ${fix.title}`).not.toContain(keyOf(finding));
            const newErrors = errorKeys(after).filter((key) => !errorKeys(before).includes(key));
            expect(newErrors, fix.title).toEqual([]);
            expect(withoutDigits(mended ?? '')).toBe(withoutDigits(text));
          }
        }
      }),
      { numRuns: 120 },
    );
  });

  it('with all the others leaves only what no safe fix can mend, and a second run changes nothing', () => {
    fc.assert(
      fc.property(cases, (one) => {
        const text = writeCut(one.cut, one.format);
        const before = run(one, text);
        const all = fixAll(before, null);
        const mended = applyEdits(text, all.edits) ?? '';
        const after = run(one, mended);
        expect(errorKeys(after).filter((key) => !errorKeys(before).includes(key))).toEqual([]);
        for (const comparison of after.comparisons) {
          if (comparison.verdict === 'leads') expect(fixAll(after, ['sound-leads']).edits).toEqual([]);
        }
        expect(fixAll(after, null).edits).toEqual([]);
      }),
      { numRuns: 120 },
    );
  });
});

describe('an acceptance', () => {
  // The schema of composition playlists has no place for one; refusing it is tested in test/unit/cpl.
  it.each(FORMATS.filter((format) => format !== 'cpl'))(
    'written by the fix silences the finding in %s and is said with its reason',
    (format) => {
      const cut = cutOf(shot('V1', 'CAM_A_0001.mov'), shot('A1', 'DECK_0001.wav', { sourceIn: STAMP + 201 }));
      const text = writeCut(cut, format);
      const before = auditText(format, text, cameraReport);
      const [finding] = before.findings.filter(({ code }) => code === 'sound-leads');
      const accept = fixesFor(before, finding as Finding).find((fix) => fix.changes.some((change) => change.kind === 'accept'));
      const edits = editsForFix(before, accept ?? { title: '', isSafe: false, isPreferred: false, changes: [] });
      const accepted = applyEdits(text, edits.ok ? edits.edits : []) ?? '';
      const after = auditText(format, accepted, cameraReport);
      expect(after.findings.map(({ code }) => code)).toEqual([]);
      expect(after.accepted.map(({ finding: { code }, reason }) => [code, reason])).toEqual([
        ['sound-leads', 'write the reason here'],
      ]);
    },
  );
});

function run(one: Case, text: string): Audit {
  return auditText(one.format, text, one.report, one.grid === null ? {} : { grid: one.grid });
}

/** A finding by what it is about, since its place in the text moves. */
function keyOf(finding: Finding): string {
  return `${finding.code} ${finding.clips.join(' ')}`;
}

function keys(result: Audit): readonly string[] {
  return result.findings.map(keyOf);
}

function errorKeys(result: Audit): readonly string[] {
  return result.findings.filter((finding) => finding.severity === 'error').map(keyOf);
}

function withoutDigits(text: string): string {
  return text.replace(/[0-9.]+/g, '#');
}
