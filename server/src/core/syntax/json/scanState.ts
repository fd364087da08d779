/**
 * What the tolerant scanner remembers between tokens: the tape so far, the containers that are open, what is expected next.
 *
 * The innermost container's last child is in `last`; those around it are kept in two stacks of integers, so that nesting
 * costs memory and not the call stack.
 */

import type { JsonDocument } from './jsonDocument.ts';
import { createProblemList, type JsonProblemList } from './jsonProblems.ts';
import { type ARRAY, kindAt, MISSING, nextAt, OBJECT, resizeTape, STRIDE } from './jsonTape.ts';
import { reportRepeatedNames } from './repeatedNames.ts';
import type { Vocabulary } from './vocabulary.ts';

/**
 * `element`: an element of an array or its end. `value`: a value, after a comma of an array, a colon, or at the start.
 * `name`: a name or the end of an object. `next-name`: a name, after a comma. `separator`: after a value.
 */
type Expected = 'element' | 'value' | 'name' | 'next-name' | 'colon' | 'separator';

export interface Scan {
  readonly text: string;
  readonly units: Uint8Array;
  readonly vocabulary: Vocabulary;
  readonly list: JsonProblemList;
  /** True when indentation decides which bracket closes which. */
  readonly trustsIndentation: boolean;
  at: number;
  expected: Expected;
  tape: Int32Array;
  count: number;
  /** Columns of white space at the start of the current line, and whether the character at `at` is the first after them. */
  indentation: number;
  isFirstOnLine: boolean;
  /** Containers open, the innermost last; `openLast` holds the last child of each but the innermost, 0 for none. */
  openNodes: Int32Array;
  openLast: Int32Array;
  /** Indentation of the lines they were opened on. */
  openIndents: Int32Array;
  depth: number;
  isObject: boolean;
  /** Last child of the innermost container; 0 when it has none. */
  last: number;
  /** Where the last comma stood and where the last value ended. */
  commaAt: number;
  valueEnd: number;
  hasUnevenBrackets: boolean;
  /** True once the text went on after its value and was read as if that were still open. */
  isReopened: boolean;
}

export function startScan(text: string, units: Uint8Array, vocabulary: Vocabulary, trustsIndentation: boolean): Scan {
  return {
    text,
    units,
    vocabulary,
    list: createProblemList(),
    trustsIndentation,
    at: 0,
    expected: 'value',
    tape: new Int32Array(Math.max(64, text.length >>> 4) * STRIDE),
    count: 0,
    openNodes: new Int32Array(64),
    openLast: new Int32Array(64),
    openIndents: new Int32Array(64),
    indentation: 0,
    isFirstOnLine: false,
    depth: 0,
    isObject: false,
    last: 0,
    commaAt: 0,
    valueEnd: 0,
    hasUnevenBrackets: false,
    isReopened: false,
  };
}

export function documentOf(scan: Scan): JsonDocument {
  const { text, units, list, count, tape } = scan;
  return { text, units, problems: list.problems, nodeCount: count, tape };
}

/** Puts a node on the tape, after its sibling when it is an element or a name. */
export function addNode(scan: Scan, start: number, end: number, kind: number, isSibling: boolean): void {
  const node = scan.count;
  if ((node + 1) * STRIDE > scan.tape.length) scan.tape = resizeTape(scan.tape, node, 2 * node);
  const { tape } = scan;
  if (isSibling) {
    if (scan.last !== 0) tape[scan.last * STRIDE + 2] = node;
    scan.last = node;
  }
  tape[node * STRIDE] = start;
  tape[node * STRIDE + 1] = end;
  tape[node * STRIDE + 3] = kind;
  scan.count = node + 1;
}

/** A finished value: an element, the value of a name, or the whole text. */
export function addValue(scan: Scan, start: number, end: number, kind: number): void {
  addNode(scan, start, end, kind, !scan.isObject && scan.depth > 0);
  scan.valueEnd = end;
  scan.expected = 'separator';
}

/** A value that is not there, at the place where it should be. */
export function addMissing(scan: Scan, at: number): void {
  addValue(scan, at, at, MISSING);
}

export function openContainer(scan: Scan, kind: typeof OBJECT | typeof ARRAY): void {
  const node = scan.count;
  addNode(scan, scan.at, scan.at, kind, !scan.isObject && scan.depth > 0);
  if (scan.depth === scan.openNodes.length) {
    scan.openNodes = grown(scan.openNodes);
    scan.openLast = grown(scan.openLast);
    scan.openIndents = grown(scan.openIndents);
  }
  if (scan.depth > 0) scan.openLast[scan.depth - 1] = scan.last;
  scan.openNodes[scan.depth] = node;
  scan.openIndents[scan.depth] = scan.indentation;
  scan.depth += 1;
  scan.last = 0;
  scan.isObject = kind === OBJECT;
  scan.expected = scan.isObject ? 'name' : 'element';
}

/** Closes the innermost container, which ends at `end`. */
export function closeContainer(scan: Scan, end: number): void {
  const node = scan.openNodes[scan.depth - 1] as number;
  scan.tape[node * STRIDE + 1] = end;
  if (scan.isObject && scan.last !== 0) reportRepeatedNames(scan.text, scan.units, scan.tape, node + 1, scan.list);
  scan.depth -= 1;
  scan.valueEnd = end;
  scan.expected = 'separator';
  if (scan.depth === 0) return;
  scan.isObject = kindAt(scan.tape, scan.openNodes[scan.depth - 1] as number) === OBJECT;
  scan.last = scan.openLast[scan.depth - 1] as number;
}

/** Opens the text's value again, which was closed too early. */
export function reopenRoot(scan: Scan): void {
  scan.isReopened = true;
  scan.openNodes[0] = 0;
  scan.depth = 1;
  scan.isObject = kindAt(scan.tape, 0) === OBJECT;
  let last = scan.count > 1 ? 1 : 0;
  while (last !== 0 && nextAt(scan.tape, last) !== 0) last = nextAt(scan.tape, last);
  scan.last = last;
}

/** The bracket that closes the innermost container. */
export function closingBracket(scan: Scan): '}' | ']' {
  return scan.isObject ? '}' : ']';
}

function grown(values: Int32Array): Int32Array {
  const larger = new Int32Array(values.length * 2);
  larger.set(values);
  return larger;
}
