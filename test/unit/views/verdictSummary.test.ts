import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { audit } from '../../../server/src/core/audit.ts';
import { verdictSummary } from '../../../server/src/core/views/verdictSummary.ts';
import { auditMarked, SMALL_EDL } from '../../support/marked.ts';

describe('the line on a whole timeline', () => {
  it('counts each verdict and what was not measured', () => {
    expect(verdictSummary(auditMarked('edl', SMALL_EDL))).toBe('1 in, 1 leads, 1 lags, 1 unmeasured');
  });

  it('is plural where it should be', () => {
    const text = SMALL_EDL.replace('00:00:10:00 00:00:12:00', '00:00:10:01 00:00:12:01').replace(/^007.*\n/m, '');
    expect(verdictSummary(auditMarked('edl', text))).toBe('2 lead, 1 lags');
  });

  it('says why there is nothing to count', () => {
    expect(verdictSummary(auditMarked('edl', SMALL_EDL, null))).toBe('nothing compared: no alignment report');
    const unread = { ...auditMarked('edl', SMALL_EDL).input, reports: [readReport('day1.alignment.json', 'Dear Ann, 12')] };
    expect(verdictSummary(audit(unread))).toBe('nothing compared: the alignment report could not be read');
    expect(verdictSummary(auditMarked('edl', 'TITLE: EMPTY\n'))).toBe('nothing compared: no picture and sound of one pair meet');
  });
});
