/**
 * The scanner that reads anything: JSON, nearly JSON, and what is left of JSON after an accident.
 *
 * One loop, one token at a time, with an explicit stack, so that nesting costs memory and not the call stack. Every
 * repair is local: a missing comma, colon, name or value is reported and supplied; a bracket of the wrong kind closes what
 * it most likely belongs to (see `bracketTarget`).
 *
 * Invariants
 * - Terminates: every turn of the loop moves on in the text or changes to a state that will.
 * - Spans lie inside the text; a child's span lies inside its container's.
 * - A name is followed on the tape by its value, of kind MISSING when the text has none.
 *
 * Cost: about two JSON.parse of the same text. The hot variables are locals of one function on purpose: captured by
 * closures they would live on the heap.
 */

import { bracketTarget } from './bracketTarget.ts';
import type { JsonDocument } from './jsonDocument.ts';
import { createProblemList, excerpt, type JsonProblemList } from './jsonProblems.ts';
import { decodeString, findStringEnd } from './jsonStrings.ts';
import {
  ARRAY,
  endAt,
  INTRICATE_STRING,
  type JsonTape,
  kindAt,
  MISSING,
  NUMBER,
  nextAt,
  OBJECT,
  resizeTape,
  STRIDE,
  STRING,
  startAt,
} from './jsonTape.ts';
import { bareEnd, readBareValue, reportDisputedNumber, skipComment } from './jsonTokens.ts';
import { reportRepeatedNames } from './repeatedNames.ts';
import { textUnits } from './textUnits.ts';
import { type Vocabulary, wordAt } from './vocabulary.ts';

type State = 0 | 1 | 2 | 3 | 4 | 5;
/** After `[`: an element or the end. */
const ELEMENT_OR_END: State = 0;
/** After a comma of an array, after a colon, or at the start of the text. */
const VALUE: State = 1;
/** After `{`: a name or the end. */
const NAME_OR_END: State = 2;
/** After a comma of an object. */
const NAME: State = 3;
const COLON: State = 4;
/** After a value. */
const SEPARATOR: State = 5;

const DOUBLE_QUOTE = 34;
const SINGLE_QUOTE = 39;
const COMMA_CODE = 44;
const SLASH = 47;
const COLON_CODE = 58;
const EQUALS_CODE = 61;
const OPEN_BRACKET = 91;
const CLOSE_BRACKET = 93;
const OPEN_BRACE = 123;
const CLOSE_BRACE = 125;

/**
 * Reads any string; never throws.
 *
 * Where brackets do not come out even, the text is read once more with its indentation taken as a hint for every bracket,
 * and the reading with fewer problems is kept: a bracket that is missing in the middle would otherwise be missed at the end.
 */
export function scanTolerantly(text: string, vocabulary: Vocabulary): JsonDocument {
  const units = textUnits(text);
  const plain = scan(text, units, vocabulary, false);
  if (!plain.hasUnevenBrackets || !text.includes('\n')) return plain.document;
  const hinted = scan(text, units, vocabulary, true);
  return hinted.document.problems.length < plain.document.problems.length ? hinted.document : plain.document;
}

interface Scan {
  readonly document: JsonDocument;
  readonly hasUnevenBrackets: boolean;
}

function scan(text: string, units: Uint8Array, vocabulary: Vocabulary, trustsIndentation: boolean): Scan {
  const list = createProblemList();
  const length = text.length;
  let capacity = Math.max(64, length >>> 4);
  let tape = new Int32Array(capacity * STRIDE);
  let count = 0;

  // Of every open container: its node, and its last child so far (0 when it has none). The innermost one is in locals.
  let openNodes = new Int32Array(64);
  let openLast = new Int32Array(64);
  let depth = 0;
  let container = -1;
  let isObject = false;
  let last = 0;

  let state: State = VALUE;
  let commaAt = 0;
  let valueEnd = 0;
  let isReopened = false;
  let hasUnevenBrackets = false;
  let at = 0;

  if (text.charCodeAt(0) === 0xfeff) {
    list.add(
      'syntax',
      0,
      1,
      'The text starts with a byte-order mark, which readers of JSON may refuse: save it as UTF-8 without one.',
    );
    at = 1;
  }

  while (true) {
    let code = 0;
    while (at < length) {
      code = units[at] as number;
      if (code !== 32 && code !== 10 && code !== 13 && code !== 9) break;
      at += 1;
    }
    if (at >= length) break;
    if (code === SLASH) {
      const end = skipComment(text, at, list);
      if (end > at) {
        at = end;
        continue;
      }
    }
    if (count + 2 > capacity) {
      capacity *= 2;
      tape = resizeTape(tape, count, capacity);
    }

    if (state === SEPARATOR) {
      if (depth === 0) {
        // The text's value is complete.
        if (code === CLOSE_BRACE || code === CLOSE_BRACKET) {
          hasUnevenBrackets = true;
          list.add(
            'syntax',
            at,
            at + 1,
            `This ${excerpt(text, at, at + 1)} closes nothing: one bracket too many here or further up.`,
          );
          at += 1;
          continue;
        }
        const canGoOn = kindAt(tape, 0) === OBJECT || kindAt(tape, 0) === ARRAY;
        if (!canGoOn || (code !== COMMA_CODE && code !== DOUBLE_QUOTE)) {
          list.add('syntax', at, length, 'The text goes on after its value: expected its end. Only the first value is read.');
          break;
        }
        list.add(
          'syntax',
          valueEnd - 1,
          valueEnd,
          'The outermost value ends here, but the text goes on as if it were still open: this or an earlier bracket closes too early.',
        );
        isReopened = true;
        depth = 1;
        container = 0;
        isObject = kindAt(tape, 0) === OBJECT;
        last = lastChildOf(tape, count);
      }
      if (code === COMMA_CODE) {
        commaAt = at;
        at += 1;
        state = isObject ? NAME : VALUE;
        continue;
      }
      if (code === COLON_CODE || code === EQUALS_CODE) {
        list.add(
          'syntax',
          at,
          at + 1,
          `This ${excerpt(text, at, at + 1)} separates nothing: expected a comma or ${isObject ? '}' : ']'}.`,
        );
        at += 1;
        continue;
      }
      if (code !== CLOSE_BRACE && code !== CLOSE_BRACKET) {
        list.add('syntax', at, at + 1, `A comma is missing before this: expected , or ${isObject ? '}' : ']'}.`);
        state = isObject ? NAME : VALUE;
      }
    }

    if (state === COLON) {
      if (code === COLON_CODE) {
        at += 1;
        state = VALUE;
        continue;
      }
      if (code === EQUALS_CODE) {
        list.add('syntax', at, at + 1, 'A name is separated from its value by a colon, not by =.');
        at += 1;
        state = VALUE;
        continue;
      }
      const isValueMissing =
        code === COMMA_CODE || code === CLOSE_BRACE || code === CLOSE_BRACKET || (isQuote(code) && isNameAhead(text, at));
      if (isValueMissing) {
        list.add(
          'syntax',
          startAt(tape, count - 1),
          endAt(tape, count - 1),
          'This name has no value: expected a colon and a value after it.',
        );
        addMissing(tape, count, at);
        count += 1;
        valueEnd = at;
        state = SEPARATOR;
        continue;
      }
      list.add('syntax', at, at + 1, 'A colon is missing between the name and this value.');
      state = VALUE;
    }

    if (code === CLOSE_BRACE || code === CLOSE_BRACKET) {
      if (state === VALUE || state === NAME) {
        if (depth > 0 && (state === NAME || !isObject)) {
          list.add(
            'syntax',
            commaAt,
            commaAt + 1,
            'JSON allows no comma before a closing bracket: remove it, or add what should follow.',
          );
        } else if (depth > 0) {
          list.add('syntax', at, at + 1, 'A value is missing before this: expected one after the colon.');
          addMissing(tape, count, at);
          count += 1;
        }
      }
      if (depth === 0) {
        list.add('syntax', at, at + 1, `This ${excerpt(text, at, at + 1)} closes nothing: expected a value.`);
        at += 1;
        continue;
      }
      state = SEPARATOR;
      const isMatch = (code === CLOSE_BRACE) === isObject;
      openNodes[depth - 1] = container;
      const target = isMatch && !trustsIndentation ? depth - 1 : bracketTarget(text, tape, openNodes, depth, at);
      if (!isMatch) hasUnevenBrackets = true;
      if (target < 0) {
        list.add(
          'syntax',
          at,
          at + 1,
          `This ${excerpt(text, at, at + 1)} closes nothing: expected ${isObject ? '} or a name' : '] or a value'} here.`,
        );
        at += 1;
        continue;
      }
      while (depth - 1 > target) {
        const opening = startAt(tape, container);
        list.add(
          'syntax',
          opening,
          opening + 1,
          `This ${isObject ? '{' : '['} is not closed: expected ${isObject ? '}' : ']'} before the next closing bracket.`,
        );
        tape[container * STRIDE + 1] = at;
        if (isObject && last !== 0) reportRepeatedNames(text, units, tape, container + 1, list);
        depth -= 1;
        container = openNodes[depth - 1] as number;
        isObject = kindAt(tape, container) === OBJECT;
        last = openLast[depth - 1] as number;
      }
      at += 1;
      tape[container * STRIDE + 1] = at;
      valueEnd = at;
      if (isObject && last !== 0) reportRepeatedNames(text, units, tape, container + 1, list);
      depth -= 1;
      if (depth > 0) {
        container = openNodes[depth - 1] as number;
        isObject = kindAt(tape, container) === OBJECT;
        last = openLast[depth - 1] as number;
      }
      continue;
    }

    if (state === NAME || state === NAME_OR_END) {
      if (code === COMMA_CODE) {
        list.add('syntax', at, at + 1, 'One comma too many: expected a name in double quotes.');
        commaAt = at;
        at += 1;
        state = NAME;
        continue;
      }
      const start = at;
      let kind = STRING;
      if (code === DOUBLE_QUOTE) {
        at += 1;
        while (true) {
          code = units[at] as number;
          if (code === DOUBLE_QUOTE) {
            at += 1;
            break;
          }
          if (code === 92 || code < 32) {
            at = findStringEnd(text, start, at, list);
            kind = INTRICATE_STRING;
            break;
          }
          at += 1;
        }
      } else {
        kind = INTRICATE_STRING;
        at = readOddName(text, start, list);
      }
      if (last !== 0) tape[last * STRIDE + 2] = count;
      last = count;
      const word = kind === STRING ? wordAt(vocabulary, units, start + 1, at - start - 2) : wordOf(vocabulary, text, start, at);
      tape[count * STRIDE] = start;
      tape[count * STRIDE + 1] = at;
      tape[count * STRIDE + 3] = kind | (word << 8);
      count += 1;
      // A name that is not there at all was reported; a bracket in its place is read as the value.
      state = at === start && code !== COLON_CODE && code !== EQUALS_CODE ? VALUE : COLON;
      continue;
    }

    // A value, wanted by VALUE or ELEMENT_OR_END.
    if (code === COMMA_CODE || code === COLON_CODE) {
      if (code === COLON_CODE || depth === 0) {
        list.add('syntax', at, at + 1, `This ${excerpt(text, at, at + 1)} stands where a value was expected.`);
        at += 1;
        continue;
      }
      list.add('syntax', at, at + 1, 'A value is missing before this comma.');
      if (!isObject) {
        if (last !== 0) tape[last * STRIDE + 2] = count;
        last = count;
      }
      addMissing(tape, count, at);
      count += 1;
      valueEnd = at;
      state = SEPARATOR;
      continue;
    }
    if (!isObject && depth > 0) {
      if (last !== 0) tape[last * STRIDE + 2] = count;
      last = count;
    }
    tape[count * STRIDE] = at;
    if (code === OPEN_BRACE || code === OPEN_BRACKET) {
      if (depth + 1 >= openNodes.length) {
        openNodes = grown(openNodes);
        openLast = grown(openLast);
      }
      if (depth > 0) {
        openNodes[depth - 1] = container;
        openLast[depth - 1] = last;
      }
      depth += 1;
      container = count;
      last = 0;
      isObject = code === OPEN_BRACE;
      tape[count * STRIDE + 3] = isObject ? OBJECT : ARRAY;
      count += 1;
      at += 1;
      state = isObject ? NAME_OR_END : ELEMENT_OR_END;
      continue;
    }
    state = SEPARATOR;
    const start = at;
    let kind = STRING;
    if (code === DOUBLE_QUOTE) {
      at += 1;
      while (true) {
        code = units[at] as number;
        if (code === DOUBLE_QUOTE) {
          at += 1;
          kind |= wordAt(vocabulary, units, start + 1, at - start - 2) << 8;
          break;
        }
        if (code === 92 || code < 32) {
          at = findStringEnd(text, start, at, list);
          kind = INTRICATE_STRING;
          break;
        }
        at += 1;
      }
    } else {
      const plainEnd = plainNumberEnd(units, at);
      if (plainEnd > at) {
        kind = NUMBER;
        at = plainEnd;
        if (plainEnd - start >= 19) reportDisputedNumber(text, start, plainEnd, list);
      } else if (code === SINGLE_QUOTE) {
        kind = INTRICATE_STRING;
        at = findStringEnd(text, at, at + 1, list);
        list.add('syntax', start, at, 'Strings of JSON stand between double quotes, not single ones.');
      } else {
        const value = readBareValue(text, at, list);
        kind = value.kind;
        at = value.end;
      }
    }
    tape[count * STRIDE + 1] = at;
    tape[count * STRIDE + 3] = kind;
    count += 1;
    valueEnd = at;
  }

  if (count + 1 > capacity) {
    tape = resizeTape(tape, count, capacity + 1);
  }
  if (state === COLON || (state === VALUE && isObject && depth > 0)) {
    addMissing(tape, count, length);
    count += 1;
  }
  if (depth > 0 && !isReopened) {
    hasUnevenBrackets = true;
    let end = length;
    while (end > 1 && (units[end - 1] as number) <= 32) end -= 1;
    const open = depth === 1 ? 'one bracket is' : `${depth} brackets are`;
    list.add('syntax', end - 1, end, `The text ends too early: ${open} still open; expected ${isObject ? '}' : ']'} next.`);
  } else if (count === 0) {
    list.add('syntax', 0, length, 'The text holds no value: expected { or [.');
  }
  while (depth > 0) {
    tape[container * STRIDE + 1] = length;
    if (isObject && last !== 0) reportRepeatedNames(text, units, tape, container + 1, list);
    depth -= 1;
    if (depth > 0) {
      container = openNodes[depth - 1] as number;
      isObject = kindAt(tape, container) === OBJECT;
      last = openLast[depth - 1] as number;
    }
  }
  return {
    document: { text, units, problems: list.problems, nodeCount: count, tape },
    hasUnevenBrackets: hasUnevenBrackets || isReopened,
  };
}

/**
 * The end of a number that is plainly one: JSON's grammar without an exponent, followed by a separator. `start` for
 * everything else, which is then looked at closely.
 */
function plainNumberEnd(units: Uint8Array, start: number): number {
  let at = start;
  let code = units[at] as number;
  if (code === 45) {
    at += 1;
    code = units[at] as number;
  }
  if (code === 48) {
    at += 1;
    code = units[at] as number;
  } else {
    if (code < 49 || code > 57) return start;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = units[at] as number;
    }
  }
  if (code === 46) {
    at += 1;
    code = units[at] as number;
    if (code < 48 || code > 57) return start;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = units[at] as number;
    }
  }
  const isEnd =
    code === COMMA_CODE ||
    code === CLOSE_BRACE ||
    code === CLOSE_BRACKET ||
    code === 32 ||
    code === 10 ||
    code === 13 ||
    code === 9;
  return isEnd || at >= units.length - 1 ? at : start;
}

/** The end of something other than a double-quoted name where a name belongs; `start` when it looks like a value. */
function readOddName(text: string, start: number, list: JsonProblemList): number {
  const code = text.charCodeAt(start);
  if (code === SINGLE_QUOTE) {
    const end = findStringEnd(text, start, start + 1, list);
    list.add('syntax', start, end, 'Names of JSON stand between double quotes, not single ones.');
    return end;
  }
  if (code === COLON_CODE || code === EQUALS_CODE) {
    list.add('syntax', start, start + 1, 'A name is missing before this: expected one in double quotes.');
    return start;
  }
  if (code === OPEN_BRACE || code === OPEN_BRACKET) {
    list.add('syntax', start, start + 1, 'A name is missing before this value: expected one in double quotes, and a colon.');
    return start;
  }
  const end = bareEnd(text, start);
  list.add(
    'syntax',
    start,
    end,
    `${excerpt(text, start, end)} stands where a name was expected: names stand between double quotes.`,
  );
  return end;
}

function isQuote(code: number): boolean {
  return code === DOUBLE_QUOTE || code === SINGLE_QUOTE;
}

/** True when the string at `start` is followed by a colon: it is a name, not the value of the name before it. */
function isNameAhead(text: string, start: number): boolean {
  let at = findStringEnd(text, start, start + 1, SILENT);
  while (at < text.length && text.charCodeAt(at) <= 32) at += 1;
  return text.charCodeAt(at) === COLON_CODE;
}

const SILENT: JsonProblemList = { problems: [], add: () => {} };

/** A value that is not there, at the place where it should be. */
function addMissing(tape: JsonTape, node: number, at: number): void {
  tape[node * STRIDE] = at;
  tape[node * STRIDE + 1] = at;
  tape[node * STRIDE + 3] = MISSING;
}

/** The number of a word that had to be decoded. */
function wordOf(vocabulary: Vocabulary, text: string, start: number, end: number): number {
  return vocabulary.numbers.get(decodeString(text, { start, end })) ?? 0;
}

/** The last child of the root, for going on after it was closed too early. */
function lastChildOf(tape: JsonTape, count: number): number {
  let child = count > 1 ? 1 : 0;
  while (child !== 0 && nextAt(tape, child) !== 0) child = nextAt(tape, child);
  return child;
}

function grown(values: Int32Array<ArrayBuffer>): Int32Array<ArrayBuffer> {
  const larger = new Int32Array(values.length * 2);
  larger.set(values);
  return larger;
}
