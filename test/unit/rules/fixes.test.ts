/**
 * What each fix writes: the lines that change, before and after. Everything else stays byte for byte.
 */

import { describe, expect, it } from 'vitest';
import { editsForFix, fixesFor } from '../../../server/src/core/audit.ts';
import type { FindingCode } from '../../../server/src/core/rules/finding.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { toNumber } from '../../../server/src/core/time/rational.ts';
import { auditText } from '../../support/auditText.ts';
import { writeEdl, writeOtio, writeXml } from '../../support/cut.ts';
import { cameraReport, cutOf, type Fixture, ruleFixtures, STAMP, shot } from './fixtures.ts';

const picture = shot('V1', 'CAM_A_0001.mov');
const sound = shot('A1', 'DECK_0001.wav');
const late = cutOf(picture, { ...sound, sourceIn: sound.sourceIn - 3 });

describe('a slip', () => {
  it('writes one number of an OTIO clip, a whole one for a whole one', () => {
    expect(changedLines({ format: 'otio', text: writeOtio(late), report: cameraReport, settings: {} }, 'sound-lags')).toEqual([
      `"value": ${STAMP + 197}`,
      `"value": ${STAMP + 200}`,
    ]);
  });

  it('writes one entry point of the neutral XML, in samples', () => {
    const [before, after] = changedLines(
      { format: 'xml', text: writeXml(late), report: cameraReport, settings: {} },
      'sound-lags',
    );
    // 2002 samples a frame at 24000/1001 and 48 kHz (arithmetic).
    expect(before).toContain(`<EntryPoint>${197 * 2002}</EntryPoint>`);
    expect(after).toBe(before?.replace(String(197 * 2002), String(200 * 2002)));
  });

  it('writes source in and out of an event', () => {
    expect(changedLines({ format: 'edl', text: writeEdl(late), report: cameraReport, settings: {} }, 'sound-lags')).toEqual([
      '002  AX       A     C        14:00:08:05 14:00:18:05 01:00:00:00 01:00:10:00',
      '002  AX       A     C        14:00:08:08 14:00:18:08 01:00:00:00 01:00:10:00',
    ]);
  });

  it('is not offered for an event that holds the picture too', () => {
    const text = writeEdl(late).replace('001  AX       V     C', '001  AX       NONE  C').replace('A     C', 'B     C');
    const result = auditText('edl', text, cameraReport);
    for (const finding of result.findings.filter(({ code }) => code.startsWith('sound-'))) {
      expect(fixesFor(result, finding).filter((fix) => fix.isSafe)).toEqual([]);
    }
  });

  it('is not safe while a rate is wrong: the lag follows from the rate', () => {
    const text = writeOtio({ ...late, rate: [24, 1] });
    const result = auditText('otio', text, cameraReport);
    const lagging = result.findings.filter(({ code }) => /^sound-(leads|lags|drifts)$/.test(code));
    expect(lagging.length).toBeGreaterThan(0);
    for (const finding of lagging) expect(fixesFor(result, finding).some((fix) => fix.isSafe)).toBe(false);
  });

  it('lands on the grid that is asked for, late rather than early', () => {
    // A tenth of a frame at 23.976 is 200.2 samples; 5 samples late become 195.2 early steps away (arithmetic).
    const report = { ...cameraReport, pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 100, sample: 200200 - 4810 }] };
    const text = writeOtio(cutOf(picture, sound));
    const result = auditText('otio', text, report, { grid: '1/10f' });
    const [finding] = result.findings.filter(({ code }) => code === 'sound-leads');
    const [fix] = finding === undefined ? [] : fixesFor(result, finding);
    // 4810 samples are 24.03 tenths of a frame, so the start moves by 25: 2.5 frames.
    const [change] = fix?.changes ?? [];
    expect(change?.kind === 'set-source-start' ? toNumber(change.count) : null).toBe(STAMP + 200 - 2.5);
  });
});

describe('the other fixes', () => {
  const fixtureOf = (code: FindingCode): Fixture => {
    const found = ruleFixtures.find((fixture) => fixture.code === code);
    if (found === undefined) throw new Error(`no fixture for ${code}`);
    return found.has;
  };

  it('write the next label that exists (SMPTE ST 12-1, drop-frame counting)', () => {
    const [before, after] = changedLines(fixtureOf('drop-frame'), 'drop-frame');
    expect(before).toContain('00:00:50;00 00:01:00;00');
    expect(after).toContain('00:00:50;00 00:01:00;02');
  });

  it('move the source out to the length of the record', () => {
    const [before, after] = changedLines(fixtureOf('length-mismatch'), 'length-mismatch');
    expect(before).toContain('14:00:10:00 14:00:20:05');
    expect(after).toContain('14:00:10:00 14:00:20:00');
  });

  it('put a picture on the next whole frame, so that sound lags rather than leads', () => {
    expect(changedLines(fixtureOf('off-grid'), 'off-grid')).toEqual([`"value": ${STAMP + 200}.4`, `"value": ${STAMP + 201}.0`]);
  });

  it("write the report's rate", () => {
    const lines = changedLines(fixtureOf('rate-mismatch'), 'rate-mismatch');
    expect(lines.length).toBeGreaterThan(0);
    for (const line of lines.slice(lines.length / 2)) expect(line).toMatch(/^"rate": 23\.97602397602397\d*,?$/);
  });

  it("write the file's sample rate", () => {
    const [before, after] = changedLines(fixtureOf('sample-rate-mismatch'), 'sample-rate-mismatch');
    expect(before).toContain('<EditRate>48048 1</EditRate>');
    expect(after).toContain('<EditRate>48000 1</EditRate>');
  });
});

/** The first fix of a finding applied: the lines it changes as they were, then as they are. */
function changedLines(fixture: Fixture, code: FindingCode): readonly string[] {
  const result = auditText(fixture.format, fixture.text, fixture.report, fixture.settings);
  const finding = result.findings.find((candidate) => candidate.code === code);
  if (finding === undefined) throw new Error(`${code} is not found`);
  const [fix] = fixesFor(result, finding);
  if (fix === undefined) throw new Error(`no fix for ${finding.message}`);
  const edits = editsForFix(result, fix);
  const after = (edits.ok ? (applyEdits(fixture.text, edits.edits) ?? '') : '').split('\n');
  const before = fixture.text.split('\n');
  expect(after.length).toBe(before.length);
  const changed = before.flatMap((line, index) => (line === after[index] ? [] : [index]));
  return [...changed.map((index) => before[index]?.trim() ?? ''), ...changed.map((index) => after[index]?.trim() ?? '')];
}
