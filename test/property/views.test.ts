/**
 * What the editor shows of any text, however broken: no view throws, and every place it names lies inside the text.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import type { Span } from '../../server/src/core/text/span.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import { reportCompletionAt, settingsCompletionAt, xmlCompletionAt } from '../../server/src/core/views/completion.ts';
import { alignEdlColumns } from '../../server/src/core/views/edlColumns.ts';
import { edlCompletionAt } from '../../server/src/core/views/edlCompletion.ts';
import { reportFolds, reportSelection, timelineFolds, timelineSelection } from '../../server/src/core/views/folding.ts';
import { inlayHintsIn } from '../../server/src/core/views/inlayHints.ts';
import { entryLinks, mediaLinks } from '../../server/src/core/views/links.ts';
import { meaningTokensIn } from '../../server/src/core/views/meaningTokens.ts';
import { reportEntryAt, subjectAt } from '../../server/src/core/views/mediaSubject.ts';
import { renameIn, reportNames, timelineNames } from '../../server/src/core/views/renameMedia.ts';
import { namesInReport, namesInTimeline } from '../../server/src/core/views/searchNames.ts';
import { type DocumentSymbol, reportSymbols, timelineSymbols } from '../../server/src/core/views/symbols.ts';
import { auditMarked } from '../support/marked.ts';

const read = (name: string): string => readFileSync(join(import.meta.dirname, '..', 'fixtures', 'editor', name), 'utf8');
const REPORT = read('day1.alignment.json');
const TEXTS = [
  ['otio', read('interview.otio')],
  ['xml', read('interview.timeline.xml')],
  ['edl', read('interview.edl')],
] as const;
const NAMES = { media: [{ text: 'A.wav', detail: '' }], pictures: [], sounds: [] };

/** Cuts, doubles and replaces parts of a text, at places given as fractions of its length. */
const damage = fc.array(
  fc.record({
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    length: fc.nat(200),
    by: fc.oneof(
      fc.constantFrom('', '"', '{', ']', '<', '>', '\r', '\n', '\u0000', '\ud800', '\u{1F3AC}'),
      fc.string({ maxLength: 8 }),
    ),
  }),
  { maxLength: 4 },
);

type Damage = typeof damage extends fc.Arbitrary<infer Value> ? Value : never;

function damaged(text: string, changes: Damage): string {
  let result = text;
  for (const { at, length, by } of changes) {
    const start = Math.floor(at * result.length);
    result = result.slice(0, start) + by + result.slice(start + length);
  }
  return result;
}

function expectInside(text: string, spans: readonly Span[]): void {
  for (const { start, end } of spans) {
    expect(start).toBeGreaterThanOrEqual(0);
    expect(end).toBeGreaterThanOrEqual(start);
    expect(end).toBeLessThanOrEqual(text.length);
  }
}

function spansOf(symbols: readonly DocumentSymbol[]): readonly Span[] {
  return symbols.flatMap(({ span, nameSpan, children }) => {
    expect(nameSpan.start >= span.start && nameSpan.end <= span.end).toBe(true);
    return [span, nameSpan, ...spansOf(children)];
  });
}

function expectGrowing(chain: readonly Span[]): void {
  for (const [at, { start, end }] of chain.entries()) {
    const larger = chain[at + 1];
    if (larger !== undefined) expect(larger.start <= start && larger.end >= end).toBe(true);
  }
}

describe.each(TEXTS)('views of a damaged %s', (format, whole) => {
  it('never throw and stay inside the text', () => {
    fc.assert(
      fc.property(damage, fc.double({ min: 0, max: 1, noNaN: true }), (changes, where) => {
        const text = damaged(whole, changes);
        const offset = Math.floor(where * text.length);
        const all = { start: 0, end: text.length };
        const result = auditMarked(format, text, REPORT);
        expectInside(text, spansOf(timelineSymbols(result)));
        expectInside(text, timelineFolds(result));
        const chain = timelineSelection(result, offset);
        expectInside(text, chain);
        expectGrowing(chain);
        const hints = inlayHintsIn(result, all, 'all').map((hint) => ({ start: hint.offset, end: hint.offset }));
        expectInside(text, hints);
        const tokens = meaningTokensIn(result, all).map(({ span }) => span);
        expectInside(text, tokens);
        for (const [at, { start }] of tokens.entries()) expect(start).toBeGreaterThanOrEqual(tokens[at - 1]?.end ?? 0);
        expectInside(
          text,
          mediaLinks(result).map(({ span }) => span),
        );
        expectInside(
          text,
          namesInTimeline(result, '').map(({ span }) => span),
        );
        const { edits } = renameIn(timelineNames(result), 'DECK_0001.wav', 'NEW.wav');
        expect(applyEdits(text, edits)).not.toBeNull();
        subjectAt(result, offset);
        const completion = format === 'edl' ? edlCompletionAt(text, offset, NAMES.media) : xmlCompletionAt(text, offset, NAMES);
        if (completion !== null) expectInside(text, [completion.span]);
        expect(applyEdits(text, alignEdlColumns(text, all))).not.toBeNull();
      }),
      { numRuns: 60 },
    );
  });
});

describe('views of a damaged report', () => {
  it('never throw and stay inside the text', () => {
    fc.assert(
      fc.property(damage, fc.double({ min: 0, max: 1, noNaN: true }), (changes, where) => {
        const text = damaged(REPORT, changes);
        const offset = Math.floor(where * text.length);
        const report = readReport('day1.alignment.json', text);
        expectInside(text, spansOf(reportSymbols(report)));
        expectInside(text, reportFolds(report));
        expectGrowing(reportSelection(report, offset));
        expectInside(
          text,
          entryLinks(report).map(({ span }) => span),
        );
        expectInside(
          text,
          namesInReport(report, '').map(({ span }) => span),
        );
        reportEntryAt(report, offset);
        const { edits } = renameIn(reportNames(report), 'DECK_0001.wav', 'NEW.wav');
        expect(applyEdits(text, edits)).not.toBeNull();
        for (const found of [reportCompletionAt(text, offset, NAMES), settingsCompletionAt(text, offset)]) {
          if (found !== null) expectInside(text, [found.span]);
        }
      }),
      { numRuns: 200 },
    );
  });
});
