import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { buildLineIndex, type ColumnUnit } from '../../../server/src/core/text/lineIndex.ts';
import { applyChanges, createTextStore, type TextChange } from '../../../server/src/lsp/textStore.ts';

/** Text full of the characters that make lines and columns hard. */
const hardText = fc
  .array(fc.constantFrom('a', 'B', '7', '\n', '\r', '\r\n', 'é', '你', '🎬', '\ud83c', '\udfac', ''), { maxLength: 24 })
  .map((pieces) => pieces.join(''));

const position = fc.record({ line: fc.integer({ min: 0, max: 12 }), character: fc.integer({ min: 0, max: 12 }) });
const change: fc.Arbitrary<TextChange> = fc.oneof(
  { weight: 6, arbitrary: fc.record({ range: fc.record({ start: position, end: position }), text: hardText }) },
  { weight: 1, arbitrary: fc.record({ text: hardText }) },
);

function inOrder(changes: readonly TextChange[]): readonly TextChange[] {
  return changes.map(({ range, text }) => {
    if (range === undefined) return { text };
    const { start, end } = range;
    const isTurned = start.line > end.line || (start.line === end.line && start.character > end.character);
    return { text, range: isTurned ? { start: end, end: start } : range };
  });
}

/**
 * The reference: the protocol library's own document, which counts UTF-16 columns. A new one for each change, because its
 * line table goes wrong once a change named a line that does not exist.
 */
function byTheLibrary(text: string, changes: readonly TextChange[]): string {
  let current = text;
  for (const each of changes) {
    const document = TextDocument.create('file:///cut.edl', 'afterclap-edl', 1, current);
    current = TextDocument.update(document, [each], 2).getText();
  }
  return current;
}

describe('incremental changes', () => {
  it('leave the text that the protocol library would leave, change by change', () => {
    fc.assert(
      fc.property(hardText, fc.array(change, { maxLength: 6 }), (text, changes) => {
        const ordered = inOrder(changes);
        expect(applyChanges(buildLineIndex(text), ordered, 'utf-16').text).toBe(byTheLibrary(text, ordered));
      }),
      { numRuns: 3000 },
    );
  });

  it('keep the line table that a fresh reading of the text would build, in every column unit', () => {
    fc.assert(
      fc.property(
        hardText,
        fc.array(change, { maxLength: 6 }),
        fc.constantFrom<ColumnUnit>('utf-8', 'utf-16', 'utf-32'),
        (text, changes, unit) => {
          const changed = applyChanges(buildLineIndex(text), changes, unit);
          expect([...changed.lineStarts]).toEqual([...buildLineIndex(changed.text).lineStarts]);
        },
      ),
      { numRuns: 3000 },
    );
  });

  it('come to the same whether many cursors are sent at once, last first, or one by one', () => {
    fc.assert(
      fc.property(hardText, fc.array(fc.tuple(fc.nat(40), fc.nat(3), hardText), { maxLength: 8 }), (text, cursors) => {
        const index = buildLineIndex(text);
        const places = cursors
          .map(([start, length, inserted]) => ({ start: Math.min(start, text.length), length, inserted }))
          .sort((left, right) => right.start - left.start);
        const document = TextDocument.create('file:///cut.edl', 'afterclap-edl', 1, text);
        let free = text.length + 1;
        const changes: TextChange[] = [];
        for (const { start, length, inserted } of places) {
          if (start >= free) continue;
          const end = Math.min(start + length, free - 1, text.length);
          if (end < start) continue;
          changes.push({ range: { start: document.positionAt(start), end: document.positionAt(end) }, text: inserted });
          free = start;
        }
        const atOnce = applyChanges(index, changes, 'utf-16');
        expect(atOnce.text).toBe(byTheLibrary(text, changes));
        expect([...atOnce.lineStarts]).toEqual([...buildLineIndex(atOnce.text).lineStarts]);
      }),
      { numRuns: 2000 },
    );
  });

  it('take a range written back to front', () => {
    const index = buildLineIndex('one\ntwo');
    const range = { start: { line: 1, character: 1 }, end: { line: 0, character: 1 } };
    expect(applyChanges(index, [{ range, text: '-' }], 'utf-16').text).toBe('o-wo');
  });

  it('count columns in the unit agreed on: 🎬 is 4 in UTF-8, 2 in UTF-16, 1 in UTF-32', () => {
    const after = { 'utf-8': 4, 'utf-16': 2, 'utf-32': 1 };
    for (const [unit, character] of Object.entries(after)) {
      const range = { start: { line: 0, character }, end: { line: 0, character: character + 1 } };
      expect(applyChanges(buildLineIndex('🎬x.mov'), [{ range, text: 'y' }], unit as ColumnUnit).text).toBe('🎬y.mov');
    }
  });
});

describe('the store', () => {
  it('makes a new document for each change and leaves the old one as it was', () => {
    const store = createTextStore();
    const before = store.open('file:///a.edl', 'afterclap-edl', 1, 'one');
    const after = store.change('file:///a.edl', 2, [{ text: 'two' }], 'utf-16');
    expect(before.index.text).toBe('one');
    expect(after?.index.text).toBe('two');
    expect(store.get('file:///a.edl')).toBe(after);
  });

  it('answers null for a change to a document that was never opened', () => {
    expect(createTextStore().change('file:///a.edl', 2, [{ text: 'two' }], 'utf-16')).toBeNull();
  });

  it('forgets a closed document', () => {
    const store = createTextStore();
    store.open('file:///a.edl', 'afterclap-edl', 1, 'one');
    store.close('file:///a.edl');
    expect(store.get('file:///a.edl')).toBeNull();
    expect(store.all()).toEqual([]);
  });
});
