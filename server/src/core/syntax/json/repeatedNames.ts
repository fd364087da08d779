/**
 * Names that stand twice in one object. JSON allows them and readers disagree which one counts, so they are told.
 *
 * Cost: objects of up to sixteen names are compared pair by pair, mostly by length alone; larger ones through a set.
 */

import { excerpt, type JsonProblemList } from './jsonProblems.ts';
import { decodeString } from './jsonStrings.ts';
import { endAt, type JsonTape, kindAt, nextAt, STRING, startAt } from './jsonTape.ts';
import { OTHER } from './textUnits.ts';

const LARGEST_PAIRWISE = 16;

/** Reports each name of the object whose first name is at `firstKey` that has stood in it before. */
export function reportRepeatedNames(
  text: string,
  units: Uint8Array,
  tape: JsonTape,
  firstKey: number,
  list: JsonProblemList,
): void {
  let count = 0;
  let isAllPlain = true;
  for (let key = firstKey; key !== 0; key = nextAt(tape, key)) {
    count += 1;
    if (kindAt(tape, key) !== STRING) isAllPlain = false;
  }
  if (count < 2) return;
  if (count > LARGEST_PAIRWISE || !isAllPlain) {
    reportThroughSet(text, tape, firstKey, list);
    return;
  }
  for (let key = nextAt(tape, firstKey); key !== 0; key = nextAt(tape, key)) {
    const start = startAt(tape, key);
    const length = endAt(tape, key) - start;
    for (let earlier = firstKey; earlier !== key; earlier = nextAt(tape, earlier)) {
      const earlierStart = startAt(tape, earlier);
      if (endAt(tape, earlier) - earlierStart !== length || !isSameText(text, units, earlierStart, start, length)) continue;
      report(text, start, start + length, text.slice(start + 1, start + length - 1), list);
      break;
    }
  }
}

function reportThroughSet(text: string, tape: JsonTape, firstKey: number, list: JsonProblemList): void {
  const seen = new Set<string>();
  for (let key = firstKey; key !== 0; key = nextAt(tape, key)) {
    const start = startAt(tape, key);
    const end = endAt(tape, key);
    // A name that is missing altogether has been reported as that.
    if (end === start) continue;
    const name = kindAt(tape, key) === STRING ? text.slice(start + 1, end - 1) : decodeString(text, { start, end });
    if (seen.has(name)) report(text, start, end, name, list);
    seen.add(name);
  }
}

/** Compared from the end, where names of one object differ sooner; the text itself only when nothing in ASCII differs. */
function isSameText(text: string, units: Uint8Array, left: number, right: number, length: number): boolean {
  for (let offset = length - 1; offset > 0; offset -= 1) {
    const unit = units[left + offset] as number;
    if (unit !== units[right + offset]) return false;
    if (unit === OTHER && text.charCodeAt(left + offset) !== text.charCodeAt(right + offset)) return false;
  }
  return true;
}

function report(text: string, start: number, end: number, name: string, list: JsonProblemList): void {
  const shown = text.startsWith(name, start + 1) ? excerpt(text, start + 1, end - 1) : excerpt(name, 0, name.length);
  list.add(
    'repeated-key',
    start,
    end,
    `"${shown}" stands twice in this object. The first one counts here, other readers take the last: remove one of them.`,
  );
}
