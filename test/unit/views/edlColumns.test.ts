import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { alignEdlColumns } from '../../../server/src/core/views/edlColumns.ts';
import { auditMarked, readMarks, SMALL_EDL } from '../../support/marked.ts';

function aligned(marked: string): string | null {
  const { text, ranges } = readMarks(marked);
  return applyEdits(text, alignEdlColumns(text, ranges[0] ?? { start: 0, end: text.length }));
}

describe('columns of a list', () => {
  it('stand under one another, transitions with their length', () => {
    const ragged = `TITLE: RAGGED
001 CAMA V C 10:00:10:00 10:00:12:00 01:00:00:00 01:00:02:00
002\tLONGREELNAME   AA/V  D 024   10:00:20:00  10:00:22:00 01:00:02:00\t01:00:04:00
* FROM CLIP NAME:   AS  IT  IS
M2   CAMA   012.5   10:00:20:00
`;
    expect(aligned(ragged)).toBe(`TITLE: RAGGED
001  CAMA         V     C        10:00:10:00 10:00:12:00 01:00:00:00 01:00:02:00
002  LONGREELNAME AA/V  D    024 10:00:20:00 10:00:22:00 01:00:02:00 01:00:04:00
* FROM CLIP NAME:   AS  IT  IS
M2   CAMA   012.5   10:00:20:00
`);
  });

  it('of a list that is in order already stay as they are', () => {
    expect(alignEdlColumns(SMALL_EDL, { start: 0, end: SMALL_EDL.length })).toEqual([]);
  });

  it('change in the asked range only', () => {
    const ragged = SMALL_EDL.replaceAll('  CAMA     V', ' CAMA V').replace('003 ', '⟦003 ').replace('004 ', '⟧004 ');
    expect(
      aligned(ragged)
        ?.split('\n')
        .filter((line) => line.includes(' CAMA V')),
    ).toHaveLength(2);
  });

  it('never change what a list says, and a second time changes nothing', () => {
    const blanks = fc.constantFrom(' ', '  ', '\t', ' \t ');
    const field = fc.constantFrom('001', 'DECK1', 'V', 'AA/V', 'C', 'D', '024', '10:00:10:00', '01:00:00;00', '*', 'M2', 'x');
    const line = fc.array(fc.tuple(field, blanks), { maxLength: 10 }).map((parts) => parts.flat().join(''));
    const ending = fc.constantFrom('\n', '\r\n', '\r');
    fc.assert(
      fc.property(fc.array(fc.tuple(line, ending), { maxLength: 6 }), (lines) => {
        const text = `${SMALL_EDL}${lines.flat().join('')}`;
        const once = aligned(text) as string;
        expect(once.replace(/[ \t]+/g, '')).toBe(text.replace(/[ \t]+/g, ''));
        expect(aligned(once)).toBe(once);
        const verdicts = (list: string): readonly string[] => auditMarked('edl', list).comparisons.map(({ verdict }) => verdict);
        expect(verdicts(once)).toEqual(verdicts(text));
      }),
    );
  });
});
