import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { entryLinks, type FileName, mediaLinks, reportLinks } from '../../../server/src/core/views/links.ts';
import { auditMarked, readMarks, SMALL_REPORT } from '../../support/marked.ts';

const shown = (text: string, links: readonly FileName[]): readonly string[] =>
  links.map(({ span, path }) => `${text.slice(span.start, span.end)} -> ${path}`);

describe('names of files', () => {
  it('in a timeline are its media, each place once however many clips use it', () => {
    const xml = readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'editor', 'interview.timeline.xml'), 'utf8');
    expect(shown(xml, mediaLinks(auditMarked('xml', xml)))).toEqual([
      'media/CAM_A_0001.mov -> media/CAM_A_0001.mov',
      'media/DECK_0001.wav -> media/DECK_0001.wav',
    ]);
  });

  it('in a report stand inside the quotes', () => {
    const { text, ranges } = readMarks(SMALL_REPORT.replace('CAM_A.mov', '⟦CAM_A.mov⟧'));
    expect(entryLinks(readReport('day1.alignment.json', text))[0]).toEqual({ span: ranges[0], path: 'CAM_A.mov' });
  });

  it('in the settings are the reports', () => {
    const { text, ranges } = readMarks('{ "alignment": ["⟦day1.alignment.json⟧"] }');
    expect(reportLinks(readSettings('afterclap.json', text))).toEqual([{ span: ranges[0], path: 'day1.alignment.json' }]);
  });
});
