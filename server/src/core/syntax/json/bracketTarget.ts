/**
 * Which open bracket a closing bracket belongs to, when the two may not match.
 *
 * In `[ {"a": [1 } ]` the `}` closes the object and the inner `[` was left open; in `[ 1 } ]` it closes nothing. In an
 * indented text the indentation tells more than the kinds do: a bracket alone at the start of its line belongs to the
 * line with the same indentation that opened one.
 */

import { ARRAY, kindAt, OBJECT } from './jsonTape.ts';
import type { Scan } from './scanState.ts';

/** Farther up than this a match by indentation is unlikely, and looking would cost. */
const LARGEST_SEARCH = 64;

const CLOSE_BRACE = 125;

/** The index among the open containers of the one that the bracket at `scan.at` closes; -1 when it closes none. */
export function bracketTarget(scan: Scan, code: number): number {
  const { tape, openNodes, openIndents, depth, indentation } = scan;
  const wanted = code === CLOSE_BRACE ? OBJECT : ARRAY;
  const lowest = Math.max(0, depth - LARGEST_SEARCH);
  let nearest = depth - 1;
  while (nearest >= lowest && kindAt(tape, openNodes[nearest] as number) !== wanted) nearest -= 1;
  if (nearest < lowest) return -1;
  if (!scan.isFirstOnLine) return nearest;
  // Farther in than anything still open: it closes again what is closed already.
  if (indentation > (openIndents[depth - 1] as number)) return -1;
  for (let index = depth - 1; index >= lowest; index -= 1) {
    if (openIndents[index] !== indentation) continue;
    // The line that opened at this indentation says what is closed; a bracket of the other kind there closes nothing.
    return kindAt(tape, openNodes[index] as number) === wanted ? index : -1;
  }
  return nearest;
}
