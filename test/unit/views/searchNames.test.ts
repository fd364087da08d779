import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { matches, namesInReport, namesInTimeline } from '../../../server/src/core/views/searchNames.ts';
import { auditMarked, SMALL_EDL, SMALL_REPORT, withMarks } from '../../support/marked.ts';

describe('search by a few letters', () => {
  it.each([
    ['dk1', 'DECK_1.wav', true],
    ['', 'anything', true],
    ['kd', 'DECK', false],
    ['deckk', 'DECK', false],
  ])('%j in %j: %s', (query, name, isFound) => {
    expect(matches(query, name)).toBe(isFound);
  });

  it('finds clips by their name and by that of their media', () => {
    const found = namesInTimeline(auditMarked('edl', SMALL_EDL), 'dk1');
    const marked = withMarks(
      SMALL_EDL,
      found.map(({ span, name }) => [span, name]),
    );
    expect(marked.match(/⟦[^⟧]*⟧/g)).toEqual(['⟦DECK1|DECK1⟧', '⟦EARLY|EARLY⟧', '⟦DECK1|DECK1⟧']);
    expect(found[1]?.container).toBe('DECK1, A1');
  });

  it('finds entries of a report by any of their names', () => {
    const found = namesInReport(readReport('day1.alignment.json', SMALL_REPORT), 'camamov');
    expect(found).toMatchObject([{ kind: 'picture', name: 'cam-a', container: 'CAM_A.mov' }]);
  });
});
