import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { textOf } from '../../../server/src/core/text/span.ts';
import { reportSelection, timelineFolds, timelineSelection } from '../../../server/src/core/views/folding.ts';
import { auditMarked, readMarks, SMALL_EDL, SMALL_REPORT } from '../../support/marked.ts';

const xml = readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'editor', 'interview.timeline.xml'), 'utf8');
const firstWord = (text: string): string => text.split(/[\s>]/)[0] ?? '';

describe('folding', () => {
  it('offers the outermost first', () => {
    const folds = timelineFolds(auditMarked('xml', xml)).map((span) => firstWord(textOf(xml, span)));
    expect(folds.slice(0, 4)).toEqual(['<Timeline', '<ExternalReference', '<ExternalReference', '<Stack']);
    expect(folds.filter((fold) => fold.startsWith('<Clip'))).toHaveLength(8);
  });
});

describe('a growing selection', () => {
  it('goes from the number to the event to the list', () => {
    const { text, caret } = readMarks(SMALL_EDL.replace('00:00:20:01', '00:00:¦20:01'));
    const chain = timelineSelection(auditMarked('edl', text), caret).map((span) => textOf(text, span));
    expect(chain[0]).toBe('00:00:20:01');
    expect(chain[1]).toMatch(/^004 [\s\S]*EARLY\n?$/);
    expect(chain.at(-1)).toBe(text);
  });

  it('goes from clip to track to stack', () => {
    const { text, caret } = readMarks(xml.replace('<EntryPoint>240<', '<EntryPoint>24¦0<'));
    const chain = timelineSelection(auditMarked('xml', text), caret).map((span) => firstWord(textOf(text, span)));
    expect(chain).toEqual(['240', '<Clip', '<Track', '<Stack', '<Timeline', '<?xml']);
  });

  it('goes from a name of the report to its entry', () => {
    const { text, caret } = readMarks(SMALL_REPORT.replace('"CAM_A.mov"', '"CAM¦_A.mov"'));
    const chain = reportSelection(readReport('day1.alignment.json', text), caret).map((span) => textOf(text, span));
    expect(chain[0]).toBe('"CAM_A.mov"');
    expect(chain[1]).toMatch(/^"cam-a": \{/);
    expect(chain.at(-1)).toBe(text);
  });
});
