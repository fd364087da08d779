import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { auditAgain } from '../../../server/src/core/audit.ts';
import { type DocumentSymbol, reportSymbols, timelineSymbols } from '../../../server/src/core/views/symbols.ts';
import { auditMarked, SMALL_EDL, SMALL_REPORT } from '../../support/marked.ts';

const fixture = (name: string): string => readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'editor', name), 'utf8');

function outline(symbols: readonly DocumentSymbol[], indent = ''): readonly string[] {
  return symbols.flatMap(({ kind, name, detail, children }) => [
    `${indent}${kind} ${name}${detail === '' ? '' : ` (${detail})`}`,
    ...outline(children, `${indent}  `),
  ]);
}

describe('the outline', () => {
  it('of a list is its events, each with its channel and its place on the record', () => {
    const lines = outline(timelineSymbols(auditMarked('edl', SMALL_EDL)));
    expect(lines.slice(0, 2)).toEqual(['timeline SMALL', '  event CAMA (V 01:00:00:00 to 01:00:02:00)']);
    expect(lines[4]).toBe('  event EARLY (A1 01:00:02:00 to 01:00:04:00)');
    expect(lines).toHaveLength(8);
  });

  it.each([
    ['otio', 'interview.otio'],
    ['xml', 'interview.timeline.xml'],
  ] as const)('of %s is stack, track and clip with timecode', (format, file) => {
    const lines = outline(timelineSymbols(auditMarked(format, fixture(file), fixture('day1.alignment.json'))));
    expect(lines[0]).toBe('timeline Workshop interview');
    // The one stack that every OTIO timeline has is its tracks themselves; in XML it is written out.
    expect(lines.some((line) => line.trim() === 'stack Stack')).toBe(format === 'xml');
    const first = lines.findIndex((line) => line.trim().startsWith('track'));
    expect(lines.slice(first, first + 3).map((line) => line.trim())).toEqual([
      'track V1 (4 items)',
      'clip Interview, question (01:00:00:00 to 01:00:05:00)',
      'clip Interview, answer (01:00:05:00 to 01:00:09:00)',
    ]);
  });

  it('of a report is its files and pairs', () => {
    expect(outline(reportSymbols(readReport('day1.alignment.json', SMALL_REPORT)))).toEqual([
      'picture cam-a (CAM_A.mov)',
      'sound deck-1 (DECK_1.wav)',
      'pair cam-a with deck-1',
    ]);
  });

  it('has every name inside its symbol, as editors demand', () => {
    const check = ({ span, nameSpan, children }: DocumentSymbol): void => {
      expect(nameSpan.start).toBeGreaterThanOrEqual(span.start);
      expect(nameSpan.end).toBeLessThanOrEqual(span.end);
      children.forEach(check);
    };
    timelineSymbols(auditMarked('otio', fixture('interview.otio'))).forEach(check);
    timelineSymbols(auditMarked('edl', SMALL_EDL)).forEach(check);
  });

  it('says how many it left out', () => {
    expect(outline(timelineSymbols(auditMarked('edl', SMALL_EDL), 3)).at(-1)).toBe('limit and 5 more (left out of this list)');
  });

  it('is the same after an edit as that of the new text alone', () => {
    const text = fixture('interview.otio');
    const report = fixture('day1.alignment.json');
    const before = auditMarked('otio', text, report);
    timelineSymbols(before);
    // The last one begins the timeline later and so moves every label.
    const edits = [
      text.replace('"name": "Interview, question"', '"name": "Interview, a longer question"'),
      text.replace(/"duration"(\s*:\s*\{[^}]*"value"\s*:\s*)(\d+)/, '"duration"$11$2'),
      text.replace(/"global_start_time"(\s*:\s*\{[^}]*"value"\s*:\s*)(\d+)/, '"global_start_time"$11$2'),
    ];
    for (const edited of edits) {
      expect(edited).not.toBe(text);
      const again = auditAgain(before, { ...before.input, text: edited });
      expect(timelineSymbols(again)).toEqual(timelineSymbols(auditMarked('otio', edited, report)));
    }
  });
});
