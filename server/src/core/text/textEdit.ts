/**
 * Edits to a text, as a fix makes them: replace the characters of a span, touch nothing else.
 */

import type { Span } from './span.ts';

export interface TextEdit {
  readonly span: Span;
  readonly newText: string;
}

/**
 * `text` with all edits made at once. Edits refer to the text as it was; equal edits count once.
 * Null when two different edits overlap, since either result would be a guess. Two insertions at one place overlap too.
 * Null as well when an edit lies outside the text or ends before it starts.
 */
export function applyEdits(text: string, edits: readonly TextEdit[]): string | null {
  const ordered = withoutRepeats(edits);
  let result = '';
  let position = 0;
  for (const [index, edit] of ordered.entries()) {
    const isInsertionAtSamePlace = index > 0 && edit.span.start === ordered[index - 1]?.span.start;
    if (edit.span.start < position || edit.span.end < edit.span.start || edit.span.end > text.length) return null;
    if (isInsertionAtSamePlace) return null;
    result += text.slice(position, edit.span.start) + edit.newText;
    position = edit.span.end;
  }
  return result + text.slice(position);
}

/** Sorted by place, equal edits once. */
export function withoutRepeats(edits: readonly TextEdit[]): readonly TextEdit[] {
  const seen = new Set<string>();
  const unique = edits.filter((edit) => {
    const key = `${edit.span.start}:${edit.span.end}:${edit.newText}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
  return unique.sort((left, right) => left.span.start - right.span.start || left.span.end - right.span.end);
}
