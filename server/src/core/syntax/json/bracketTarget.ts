/**
 * Which open bracket a closing bracket of the wrong kind belongs to.
 *
 * In `[ {"a": [1 } ]` the `}` closes the object and the inner `[` was left open; in `[ 1 } ]` it closes nothing. In an
 * indented text the indentation tells more than the kinds do: a bracket alone at the start of its line belongs to the
 * line with the same indentation that opened one.
 */

import { ARRAY, type JsonTape, kindAt, OBJECT, startAt } from './jsonTape.ts';

/** Farther up than this a match by indentation is unlikely, and looking would cost. */
const LARGEST_SEARCH = 64;

/** The index into `openNodes` of the container that the bracket at `at` closes; -1 when it closes none. */
export function bracketTarget(text: string, tape: JsonTape, openNodes: Int32Array, depth: number, at: number): number {
  const wanted = text.charCodeAt(at) === 125 ? OBJECT : ARRAY;
  const lowest = Math.max(0, depth - LARGEST_SEARCH);
  let nearest = -1;
  for (let index = depth - 1; index >= lowest; index -= 1) {
    if (kindAt(tape, openNodes[index] as number) !== wanted) continue;
    nearest = index;
    break;
  }
  const indentation = indentationBefore(text, at);
  if (nearest === -1 || indentation === -1) return nearest;
  // Farther in than anything still open: it closes again what is closed already.
  const innermost = lineIndentation(text, startAt(tape, openNodes[depth - 1] as number));
  if (innermost !== -1 && indentation > innermost) return -1;
  for (let index = depth - 1; index >= lowest; index -= 1) {
    const node = openNodes[index] as number;
    if (lineIndentation(text, startAt(tape, node)) !== indentation) continue;
    // The line that opened at this indentation says what is closed; a bracket of the other kind there closes nothing.
    return kindAt(tape, node) === wanted ? index : -1;
  }
  return nearest;
}

/** Columns of white space before `at` when nothing else stands before it on its line; else -1. */
function indentationBefore(text: string, at: number): number {
  let start = at;
  while (start > 0 && (text.charCodeAt(start - 1) === 32 || text.charCodeAt(start - 1) === 9)) start -= 1;
  const before = start > 0 ? text.charCodeAt(start - 1) : 10;
  return before === 10 || before === 13 ? at - start : -1;
}

/** Columns of white space at the start of the line that holds `at`; -1 when the line is longer than is worth looking at. */
function lineIndentation(text: string, at: number): number {
  let lineStart = at;
  const limit = Math.max(0, at - 500);
  while (lineStart > limit && text.charCodeAt(lineStart - 1) !== 10 && text.charCodeAt(lineStart - 1) !== 13) lineStart -= 1;
  if (lineStart === limit && limit > 0) return -1;
  let content = lineStart;
  while (text.charCodeAt(content) === 32 || text.charCodeAt(content) === 9) content += 1;
  return content - lineStart;
}
