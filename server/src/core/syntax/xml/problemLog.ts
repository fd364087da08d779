/**
 * Where the layers of the XML reader put what they notice, with a bound on how much is kept.
 *
 * A text of nothing but broken tags has more problems than characters worth showing, and each costs memory. Past the
 * bound one `limit` entry says that the rest is not listed; reading itself goes on.
 */

import type { Span } from '../../text/span.ts';

export interface SyntaxProblem {
  readonly kind: 'unreadable' | 'limit';
  readonly span: Span;
  /** Full sentences: what is wrong here, what was expected. */
  readonly message: string;
}

/** What a layer needs that only ever finds broken text. */
export interface ProblemReporter {
  /** The text breaks its format from `start` to `end`. Offsets are clamped to the text. */
  readonly unreadable: (start: number, end: number, message: string) => void;
  /** A bound of the reader cut something short here. */
  readonly limit: (start: number, end: number, message: string) => void;
  /** True once problems are being left out. */
  readonly isFull: () => boolean;
}

/** A reporter that also takes the entries of a later layer, and keeps all of them in one list. */
export interface ProblemLog<Entry extends { readonly span: Span }> extends ProblemReporter {
  readonly entries: readonly (Entry | SyntaxProblem)[];
  readonly report: (entry: Entry | SyntaxProblem) => void;
}

export function createProblemLog<Entry extends { readonly span: Span }>(
  textLength: number,
  largestCount: number,
): ProblemLog<Entry> {
  const entries: (Entry | SyntaxProblem)[] = [];
  const clamp = (start: number, end: number): Span => {
    const first = Math.min(Math.max(0, start), textLength);
    return { start: first, end: Math.min(Math.max(first, end), textLength) };
  };
  const report = (entry: Entry | SyntaxProblem): void => {
    if (entries.length < largestCount) {
      entries.push(entry);
    } else if (entries.length === largestCount) {
      const message = `More than ${largestCount} problems: those from here on are not listed. Put the first ones right and check again.`;
      entries.push({ kind: 'limit', span: entry.span, message });
    }
  };
  return {
    entries,
    report,
    unreadable: (start, end, message) => report({ kind: 'unreadable', span: clamp(start, end), message }),
    limit: (start, end, message) => report({ kind: 'limit', span: clamp(start, end), message }),
    isFull: () => entries.length > largestCount,
  };
}
