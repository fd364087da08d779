import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { textOf } from '../../../server/src/core/text/span.ts';
import { clipsOf, entryPlaces, placeOfClip, reportEntryAt, subjectAt } from '../../../server/src/core/views/mediaSubject.ts';
import { auditMarked, readMarks, SMALL_EDL, SMALL_REPORT } from '../../support/marked.ts';

function subjectIn(marked: string) {
  const { text, caret } = readMarks(marked);
  return subjectAt(auditMarked('edl', text), caret);
}

describe('the media under the caret of a timeline', () => {
  it('is the entry of the report', () => {
    expect(subjectIn(SMALL_EDL.replace('00:00:20:01', '00:00:¦20:01'))).toEqual({
      kind: 'entry',
      file: 'day1.alignment.json',
      key: 'deck-1',
    });
  });

  it('is a name where no report knows it', () => {
    expect(subjectIn(SMALL_EDL.replace('OTHER', 'OTH¦ER'))).toEqual({ kind: 'name', name: 'other' });
  });

  it('is none above the first clip', () => {
    expect(subjectIn(SMALL_EDL.replace('TITLE', 'TI¦TLE'))).toBeNull();
  });

  it('has a place in each event that uses it', () => {
    const result = auditMarked('edl', SMALL_EDL);
    const clips = clipsOf(result, (subject) => subject.kind === 'entry' && subject.key === 'deck-1');
    expect(clips.map((clip) => textOf(SMALL_EDL, placeOfClip(clip)))).toEqual(['DECK1', 'EARLY', 'DECK1']);
  });
});

describe('the entry under the caret of a report', () => {
  const keyAt = (marked: string): string | null => {
    const { text, caret } = readMarks(marked);
    return reportEntryAt(readReport('day1.alignment.json', text), caret)?.key ?? null;
  };

  it.each([
    ['"cam-a": {', '"cam¦-a": {', 'cam-a'],
    ['"DECK_1.wav"', '"DECK¦_1.wav"', 'deck-1'],
    ['"sound": "deck-1"', '"sound": "de¦ck-1"', 'deck-1'],
    ['"picture": "cam-a"', '"picture": "c¦am-a"', 'cam-a'],
    ['"alignment"', '"align¦ment"', null],
  ])('of %s', (plain, marked, key) => {
    expect(keyAt(SMALL_REPORT.replace(plain, marked))).toBe(key);
  });

  it('is declared once and used in every pair', () => {
    const { declaration, uses } = entryPlaces(readReport('day1.alignment.json', SMALL_REPORT), 'deck-1');
    expect(SMALL_REPORT.indexOf('"deck-1"')).toBe(declaration?.start);
    expect(uses.map(({ start }) => start)).toEqual([SMALL_REPORT.lastIndexOf('"deck-1"')]);
  });
});
