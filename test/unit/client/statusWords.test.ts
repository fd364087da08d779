/**
 * The words of the status entries. 'Nothing found' is said only of a cut that was compared.
 */

import { describe, expect, it } from 'vitest';
import { checkDetail, countText, reportCommand, reportText } from '../../../client/src/statusWords.ts';
import type { TimelineStatus } from '../../../server/src/lsp/messages.ts';

const REASON = "day1.alignment.json is used: the only report in the timeline's folder.";
const clean: TimelineStatus = {
  uri: 'file:///cut.edl',
  version: 1,
  reports: [{ label: 'day1.alignment.json', uri: 'file:///day1.alignment.json' }],
  reportReason: REASON,
  settings: null,
  rate: '24',
  rateReason: 'the settings say so',
  errorCount: 0,
  warningCount: 0,
  informationCount: 0,
  acceptedCount: 0,
  comparisonCount: 18,
  clipCount: 30,
  unreadableCount: 0,
  milliseconds: 3.4,
};
const none = { reports: [], reportReason: 'No report is used: there are 2 (a, b).' };

/** The three lines a person reads: report, check, detail of the check. */
function words(change: Partial<TimelineStatus>): readonly string[] {
  const status = { ...clean, ...change };
  return [reportText(status), countText(status), checkDetail(status)];
}

describe('the status of a timeline', () => {
  it.each<[string, Partial<TimelineStatus>, readonly string[]]>([
    ['that is all in', {}, [REASON, 'Nothing found', '18 pairs compared, 3 ms']],
    ['with findings', { errorCount: 2, informationCount: 1 }, [REASON, '2 errors, 1 note', '18 pairs compared, 3 ms']],
    [
      'with one pair, one accepted',
      { comparisonCount: 1, acceptedCount: 1 },
      [REASON, 'Nothing found', '1 pair compared, 1 accepted, 3 ms'],
    ],
    [
      'without a report',
      { ...none, comparisonCount: 0 },
      [
        'No alignment report, so nothing is compared',
        'Nothing was compared',
        'no report says which sound belongs to which picture, 3 ms',
      ],
    ],
    [
      'whose report knows other media',
      { comparisonCount: 0 },
      [REASON, 'Nothing was compared', 'no picture of the report stands over its own sound; the lag chart says why, 3 ms'],
    ],
    [
      'without clips',
      { comparisonCount: 0, clipCount: 0 },
      [REASON, 'Nothing was compared', 'the timeline holds no clips, 3 ms'],
    ],
    [
      'that can not be read',
      { comparisonCount: 0, clipCount: 0, unreadableCount: 1, errorCount: 1 },
      [REASON, "This text can't be read as a timeline", 'the first problem says where reading broke off, 3 ms'],
    ],
    [
      'that can be read in part',
      { unreadableCount: 2, errorCount: 2 },
      [REASON, '2 errors', '18 pairs compared, 2 places not read, 3 ms'],
    ],
  ])('%s', (_, change, expected) => {
    expect(words(change)).toEqual(expected);
  });

  it('names the reports where the reason is longer than the entry', () => {
    const [report] = words({ reportReason: `${REASON} ${REASON}` });
    expect(report).toBe('day1.alignment.json');
  });

  it('offers the way on where there is no report', () => {
    expect([reportCommand(clean), reportCommand({ ...clean, ...none })]).toEqual(['Show why', 'Show why, and what to do']);
  });
});
