/**
 * Every finding code has its texts, a cut that has it on the right characters, and a cut that has it not.
 */

import { describe, expect, it } from 'vitest';
import type { AlignmentReport } from '../../../server/src/core/alignment/model.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit, reportFindings } from '../../../server/src/core/audit.ts';
import { allRules } from '../../../server/src/core/rules/allRules.ts';
import { FINDING_CODES, type Finding, type FindingCode } from '../../../server/src/core/rules/finding.ts';
import { textOf } from '../../../server/src/core/text/span.ts';
import { auditText } from '../../support/auditText.ts';
import { writeTestReport } from '../../support/report.ts';
import { cameraReport, type Fixture, ruleFixtures } from './fixtures.ts';

describe('the list of rules', () => {
  it('has one rule for each public code, in the public order', () => {
    expect(allRules.map((rule) => rule.code)).toEqual([...FINDING_CODES]);
  });

  it.each(allRules.map((rule) => [rule.code, rule] as const))('%s says what, why, what to do and where from', (_code, rule) => {
    for (const text of [rule.documentation.what, rule.documentation.why, rule.documentation.whatToDo]) {
      expect(text).toMatch(/^[A-Z“'].{40,}\.$/s);
    }
    expect(rule.documentation.sources.length).toBeGreaterThan(0);
  });

  it('has a positive and a negative fixture for each code', () => {
    const told = new Set([...ruleFixtures.map((fixture) => fixture.code), 'report-invalid']);
    expect(FINDING_CODES.filter((code) => !told.has(code))).toEqual([]);
  });
});

describe.each(ruleFixtures.map((fixture) => [fixture.code, fixture] as const))('%s', (code, fixture) => {
  it('is found, on the characters that are wrong', () => {
    const found = findingsOf(fixture.has, code);
    expect(found.length, everything(fixture.has)).toBeGreaterThan(0);
    const places = found.map((finding) => (finding.place.file === null ? textOf(fixture.has.text, finding.place.span) : ''));
    expect(places).toContain(fixture.on);
  });

  it('says it in whole sentences, without a bare sign', () => {
    for (const finding of findingsOf(fixture.has, code)) {
      expect(finding.message).toMatch(/^\S.*\.$/s);
      expect(finding.message).not.toMatch(/(^|\s)[-+]\d+(\.\d+)? ?(ms|s|frames?|samples?)\b/);
    }
  });

  it('is not found where nothing is wrong', () => {
    expect(findingsOf(fixture.hasNot, code)).toEqual([]);
  });

  it('can be turned off', () => {
    const off = { ...fixture.has, settings: { ...fixture.has.settings, rules: { [code]: 'off' } } };
    expect(findingsOf(off, code)).toEqual([]);
  });
});

describe('unmeasured', () => {
  it('blames no clip where nothing can be read of the report', () => {
    const { input } = auditText('otio', fixtureOf('unmeasured').text, cameraReport);
    const reports = [readReport('day1.alignment.json', 'Dear Ann, the claps are: 12')];
    const messages = audit({ ...input, reports })
      .findings.filter(({ code }) => code === 'unmeasured')
      .map(({ message }) => message);
    expect(messages).toEqual([
      'Nothing can be read of the alignment report, so the one sound clip here was not compared with its picture. Put the report right first.',
    ]);
  });
});

describe('accepted-unused', () => {
  const cut = fixtureOf('accepted-unused');
  const unusedOf = (code: string, reports: readonly AlignmentReport[]): readonly Finding[] => {
    const { input } = auditText(cut.format, cut.text, null, { accept: [{ code, clip: 'DECK_0001.wav', reason: 'off screen' }] });
    return audit({ ...input, reports }).findings.filter((finding) => finding.code === 'accepted-unused');
  };

  it('calls no acceptance needless where there is no report to tell, or none that can be read', () => {
    expect(unusedOf('sound-leads', [readReport('day1.alignment.json', writeTestReport(cameraReport))])).toHaveLength(1);
    expect(unusedOf('sound-leads', [])).toEqual([]);
    expect(unusedOf('sound-leads', [readReport('day1.alignment.json', 'Dear Ann, the claps are: 12')])).toEqual([]);
  });

  it('tells a misspelt one all the same', () => {
    const list = `TITLE: X\n001  CAMA0001 V     C        00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n* AFTERCLAP ACCEPT sound-leeds: off screen\n`;
    expect(auditText('edl', list, null).findings.map(({ code }) => code)).toContain('accepted-unused');
    expect(auditText('edl', list.replace('leeds', 'leads'), null).findings.map(({ code }) => code)).not.toContain(
      'accepted-unused',
    );
  });
});

describe('report-invalid', () => {
  it('stands on the characters of the report that are wrong', () => {
    const text = writeTestReport(cameraReport).replace('"sound": "deck-2"', '"sound": "deck-9"');
    const found = reportFindings(readReport('day1.alignment.json', text), defaultSettings);
    expect(found.map((finding) => [finding.code, finding.place.file, textOf(text, finding.place.span)])).toEqual([
      ['report-invalid', 'day1.alignment.json', '"deck-9"'],
    ]);
  });

  it('is not found in a report that is right', () => {
    const report = readReport('day1.alignment.json', writeTestReport(cameraReport));
    expect(reportFindings(report, defaultSettings)).toEqual([]);
  });
});

function run(fixture: Fixture): Audit {
  return auditText(fixture.format, fixture.text, fixture.report, fixture.settings);
}

function findingsOf(fixture: Fixture, code: string): readonly Finding[] {
  return run(fixture).findings.filter((finding) => finding.code === code);
}

/** For the message of a failed expectation: what was found instead. */
function everything(fixture: Fixture): string {
  return run(fixture)
    .findings.map((finding) => `${finding.code}: ${finding.message}`)
    .join('\n');
}

function fixtureOf(wanted: FindingCode): Fixture {
  const found = ruleFixtures.find(({ code }) => code === wanted);
  if (found === undefined) throw new Error(`no fixture has ${wanted}`);
  return found.has;
}
