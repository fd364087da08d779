/**
 * JSON as files hold it: every accident has a place and a sentence, and does not hide what stands behind it.
 */

import { describe, expect, it } from 'vitest';
import {
  firstChild,
  isKey,
  type JsonDocument,
  keyText,
  kindOf,
  member,
  nextSibling,
  numberText,
  parseJson,
  rootNode,
  spanOf,
  stringOf,
} from '../../../server/src/core/syntax/json/jsonDocument.ts';
import { LARGEST_PROBLEM_COUNT } from '../../../server/src/core/syntax/json/jsonProblems.ts';

describe('a regular text', () => {
  const text = '{"clip": {"name": "Weir", "frames": [1, -2.50, 1e3], "isOn": true, "off": false, "none": null}}';
  const document = parseJson(text);
  const clip = member(document, rootNode(document), 'clip');

  it('has no problems', () => {
    expect(document.problems).toEqual([]);
  });

  it('gives members, elements, kinds and the characters of values', () => {
    expect(stringOf(document, member(document, clip, 'name'))).toBe('Weir');
    expect(children(document, member(document, clip, 'frames')).map((node) => numberText(document, node))).toEqual([
      '1',
      '-2.50',
      '1e3',
    ]);
    expect(children(document, clip).map((key) => [keyText(document, key), kindOf(document, key + 1)])).toEqual([
      ['name', 'string'],
      ['frames', 'array'],
      ['isOn', 'true'],
      ['off', 'false'],
      ['none', 'null'],
    ]);
    expect(member(document, clip, 'Name')).toBe(-1);
    expect(member(document, member(document, clip, 'name'), 'x')).toBe(-1);
  });

  it('spans strings with their quotes', () => {
    expect(covered(document, member(document, clip, 'name'))).toBe('"Weir"');
    expect(covered(document, clip)).toBe(text.slice(9, -1));
  });
});

describe('what files hold that JSON does not', () => {
  it('takes NaN and infinities as values that are no numbers, without complaint', () => {
    const document = parseJson('[NaN, Infinity, -Infinity, Inf, -Inf]');
    expect(document.problems).toEqual([]);
    expect(children(document, 0).map((node) => kindOf(document, node))).toEqual(Array(5).fill('nonfinite'));
  });

  it('keeps integers of any size as written', () => {
    const huge = '115792089237316195423570985008687907853269984665640564039457584007913129639935';
    const document = parseJson(`[340282366920938463463374607431768211455, ${huge}]`);
    expect(document.problems).toEqual([]);
    expect(children(document, 0).map((node) => numberText(document, node))).toEqual([
      '340282366920938463463374607431768211455',
      huge,
    ]);
  });

  // OTIO library, observed: 2^63 .. 2^64-1 are masked to 63 bits, 1e400 is refused.
  it.each([
    ['9223372036854775807', 0],
    ['9223372036854775808', 1],
    ['18446744073709551615', 1],
    ['18446744073709551616', 0],
    ['-9223372036854775809', 0],
    ['1e308', 0],
    ['1e400', 1],
  ])('tells that readers disagree about %s: %i', (number, count) => {
    const document = parseJson(`[${number}]`);
    expect(document.problems.map(({ kind }) => kind)).toEqual(Array(count).fill('number'));
    expect(numberText(document, 1)).toBe(number);
  });

  it('reports a repeated name on its second place and takes the first', () => {
    const document = parseJson('{"a": 1, "b": 2, "a": 3, "\\u0061": 4}');
    expect(problemsOf(document)).toEqual(['"a"', '"\\u0061"']);
    expect(document.problems.every(({ kind }) => kind === 'repeated-key')).toBe(true);
    expect(numberText(document, member(document, 0, 'a'))).toBe('1');
  });

  it('finds the repeated one among a thousand names', () => {
    const names = Array.from({ length: 1000 }, (_, index) => `"n${index}": ${index}`);
    const document = parseJson(`{${[...names, '"n500": 0'].join(', ')}}`);
    expect(problemsOf(document)).toEqual(['"n500"']);
  });

  it('compares names by their content', () => {
    const document = parseJson('{"caf\\u00e9": 1, "x\\ty": 2}');
    expect(numberText(document, member(document, 0, 'café'))).toBe('1');
    expect(isKey(document, children(document, 0)[1] as number, 'x\ty')).toBe(true);
  });

  it('decodes every escape of RFC 8259, section 7', () => {
    const document = parseJson(String.raw`"\"\\\/\b\f\n\r\t\u00e9\ud83c\udfac"`);
    expect(stringOf(document, 0)).toBe('"\\/\b\f\n\r\té🎬');
  });
});

describe('one broken place does not hide the rest', () => {
  // text, what is marked, and what is still read
  it.each([
    ['{"a": 1, }', [','], { a: 1 }],
    ['[1, 2, ]', [','], [1, 2]],
    ['[1, , 2]', [','], [1, 'missing', 2]],
    ['{"a": 1 "b": 2}', ['"'], { a: 1, b: 2 }],
    ['[1 2]', ['2'], [1, 2]],
    ['{"a" 1, "b": 2}', ['1'], { a: 1, b: 2 }],
    ['{"a": , "b": 2}', [','], { a: 'missing', b: 2 }],
    ['{"a", "b": 2}', ['"a"'], { a: 'missing', b: 2 }],
    ['{"a" "b": 2}', ['"a"', '"'], { a: 'missing', b: 2 }],
    ['{a: 1, "b": 2}', ['a'], { a: 1, b: 2 }],
    ["{'a': 'x', \"b\": 2}", ["'a'", "'x'"], { a: 'x', b: 2 }],
    ['{"a" = 1}', ['='], { a: 1 }],
    ['{"a": 01, "b": +2, "c": .5, "d": 5.}', ['01', '+2', '.5', '5.'], { a: 1, b: 2, c: 0.5, d: 5 }],
    ['{"a": nan, "b": None, "c": TRUE}', ['nan', 'None', 'TRUE'], { a: 'missing', b: 'missing', c: 'missing' }],
    ['{"a": 1} x', ['x'], { a: 1 }],
    ['{"a": 1}, "b": 2}', ['}'], { a: 1, b: 2 }],
    ['{"a": 1}}', ['}'], { a: 1 }],
    ['[{"a": 1}}, {"b": 2}]', ['}'], [{ a: 1 }, { b: 2 }]],
    ['{"a": [1, {"b": 2 ], "c": 3}', ['{'], { a: [1, { b: 2 }], c: 3 }],
    ['{"a": "x\n, "b": 2}', ['"x'], { a: 'x', b: 2 }],
    ['{"a": "x,\n"b": 2}', ['"x'], { a: 'x', b: 2 }],
    ['{"a": "x\\qy", "b": 2}', ['\\q'], { a: 'xqy', b: 2 }],
    ['{"a": "\\u12", "b": 2}', ['\\u'], { a: 'u12', b: 2 }],
    ['{"a": "x\ty", "b": 2}', ['\t'], { a: 'x\ty', b: 2 }],
    ['/* why */ {"a": 1 // here\n}', ['/* why */', '// here'], { a: 1 }],
    ['\ufeff{"a": 1}', ['\ufeff'], { a: 1 }],
    ['{"a": {"b": [1', ['1'], { a: { b: [1] } }],
    ['{"a": {"b":', [':'], { a: { b: 'missing' } }],
    ['{"a": {"b', ['"b', 'b'], { a: { b: 'missing' } }],
    ['[1] [2]', ['[2]'], [1]],
    ['[}', ['}', '}'], []],
    ['{1: 2}', ['1'], { 1: 2 }],
    ['[\u00a01]', ['\u00a01'], ['missing']],
  ])('%j', (text, marked, value) => {
    const document = parseJson(text);
    expect(problemsOf(document)).toEqual(marked);
    expect(valueAt(document, 0)).toEqual(value);
  });

  it.each(['', '  \n', ':', '}'])('holds no value: %j', (text) => {
    const document = parseJson(text);
    expect(rootNode(document)).toBe(-1);
    expect(document.problems.length).toBeGreaterThan(0);
  });

  it('says what was expected', () => {
    expect(parseJson('[1 2]').problems[0]?.message).toBe('A comma is missing before this: expected , or ].');
    expect(parseJson('[nan]').problems[0]?.message).toBe("'nan' is not a value: write NaN; capitals matter here.");
    expect(parseJson('{"a": [').problems[0]?.message).toBe(
      'The text ends too early: 2 brackets are still open; expected ] next.',
    );
  });

  it('takes indentation as a hint where a bracket stands too much', () => {
    const document = parseJson('{\n  "x": [\n    {\n      "y": 1\n    }\n    },\n    {\n      "z": 2\n    }\n  ]\n}');
    expect(problemsOf(document)).toEqual(['}']);
    expect(valueAt(document, 0)).toEqual({ x: [{ y: 1 }, { z: 2 }] });
  });

  it('takes indentation as a hint where one is missing', () => {
    const document = parseJson(
      '{\n  "x": [\n    {\n      "y": 1,\n      "w": {\n        "v": 0\n    },\n    {\n      "z": 2\n    }\n  ]\n}',
    );
    expect(document.problems).toHaveLength(1);
    expect(valueAt(document, 0)).toEqual({ x: [{ y: 1, w: { v: 0 } }, { z: 2 }] });
  });
});

describe('limits', () => {
  it('lists the first problems and then says that there are more', () => {
    const { problems } = parseJson(`[${'nan, '.repeat(1000)}1]`);
    expect(problems).toHaveLength(LARGEST_PROBLEM_COUNT + 1);
    expect(problems.at(-1)?.kind).toBe('limit');
    expect(problems.slice(0, -1).every(({ kind }) => kind === 'syntax')).toBe(true);
  });

  it.each([
    ['lists, closed', `${'['.repeat(100_000)}${']'.repeat(100_000)}`, 0],
    ['lists, open', '['.repeat(100_000), 1],
    ['objects, open', '{"a":'.repeat(100_000), 1],
  ])('reads 100,000 nested %s', (_what, text, problemCount) => {
    const document = parseJson(text);
    expect(document.nodeCount).toBeGreaterThanOrEqual(100_000);
    expect(document.problems).toHaveLength(problemCount);
  });

  it('survives a binary file', () => {
    const text = Array.from({ length: 5000 }, (_, index) => String.fromCharCode((index * 7919) % 256)).join('');
    expect(parseJson(text).problems.length).toBeGreaterThan(0);
  });
});

function children(document: JsonDocument, container: number): readonly number[] {
  const nodes: number[] = [];
  for (let node = firstChild(document, container); node !== -1; node = nextSibling(document, node)) nodes.push(node);
  return nodes;
}

function covered(document: JsonDocument, node: number): string {
  const { start, end } = spanOf(document, node);
  return document.text.slice(start, end);
}

/** The characters each problem marks. */
function problemsOf(document: JsonDocument): readonly string[] {
  return document.problems.map(({ span }) => document.text.slice(span.start, span.end));
}

function valueAt(document: JsonDocument, node: number): unknown {
  const kind = kindOf(document, node);
  switch (kind) {
    case 'object':
      return Object.fromEntries(children(document, node).map((key) => [keyText(document, key), valueAt(document, key + 1)]));
    case 'array':
      return children(document, node).map((element) => valueAt(document, element));
    case 'string':
      return stringOf(document, node);
    case 'number':
      return Number(numberText(document, node));
    case 'true':
      return true;
    case 'false':
      return false;
    case 'null':
      return null;
    default:
      return kind;
  }
}
