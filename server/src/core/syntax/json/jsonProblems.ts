/**
 * What is wrong with a JSON text, place by place, up to a limit that reports itself.
 */

import type { Span } from '../../text/span.ts';

export interface JsonProblem {
  readonly span: Span;
  /** A full sentence: what is wrong here and what was expected. */
  readonly message: string;
  /**
   * `syntax`: not JSON. `limit`: further problems are not listed. `repeated-key`: a name stands twice in one object.
   * `number`: JSON, but readers disagree on the value.
   */
  readonly kind: 'syntax' | 'limit' | 'repeated-key' | 'number';
}

/** Enough for a person to see what happened; a binary file would give millions. */
export const LARGEST_PROBLEM_COUNT = 200;

export interface JsonProblemList {
  readonly problems: JsonProblem[];
  readonly add: (kind: Exclude<JsonProblem['kind'], 'limit'>, start: number, end: number, message: string) => void;
}

export function createProblemList(): JsonProblemList {
  const problems: JsonProblem[] = [];
  return {
    problems,
    add: (kind, start, end, message) => {
      if (problems.length < LARGEST_PROBLEM_COUNT) {
        problems.push({ kind, span: { start, end }, message });
      } else if (problems.length === LARGEST_PROBLEM_COUNT) {
        problems.push({
          kind: 'limit',
          span: { start, end },
          message: `Here and later there are more problems; only the first ${LARGEST_PROBLEM_COUNT} are listed. Repair those, then check again.`,
        });
      }
    },
  };
}

/** Characters of the text as a message shows them: cut when long, control characters as their code. */
export function excerpt(text: string, start: number, end: number): string {
  const shown = text.slice(start, Math.min(end, start + 24));
  let clean = '';
  for (const character of shown) {
    const code = character.codePointAt(0) as number;
    const isPlain = code >= 32 && (code < 127 || code > 159) && (code < 0xd800 || code > 0xdfff);
    clean += isPlain ? character : `U+${code.toString(16).toUpperCase().padStart(4, '0')}`;
  }
  return end > start + 24 ? `${clean}...` : clean;
}
