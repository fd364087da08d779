/**
 * JSON with places against two readers from outside: JSON.parse for what is valid and what it means, jsonc-parser for
 * where it stands. And the fast scanner against the tolerant one: the same tape, or none.
 */

import fc from 'fast-check';
import { type Node, parseTree } from 'jsonc-parser';
import { describe, expect, it } from 'vitest';
import { returnScanner, scanFast, takeScanner } from '../../server/src/core/syntax/json/fastScanner.ts';
import {
  firstChild,
  type JsonDocument,
  keyText,
  kindOf,
  nextSibling,
  numberText,
  parseJson,
  rootNode,
  spanOf,
  stringOf,
  wordOf,
} from '../../server/src/core/syntax/json/jsonDocument.ts';
import { createVocabulary, NO_WORDS } from '../../server/src/core/syntax/json/vocabulary.ts';
import { withJson } from '../../server/src/core/syntax/json/withJson.ts';

/** Texts made of what JSON is made of: most are broken, in every way at once. */
const scraps = fc
  .array(
    fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      ':',
      ',',
      '"',
      '\\',
      '"a"',
      '"b":',
      '1',
      '-',
      '.5',
      'e',
      'NaN',
      'true',
      'null',
      ' ',
      '\n  ',
      '\t',
      '/*',
      '*/',
      '//',
      "'",
      '\u0000',
      'é',
      '🎬',
      '\ud800',
    ),
    { maxLength: 30 },
  )
  .map((parts) => parts.join(''));

const anyText = fc.oneof(fc.string({ unit: 'binary', maxLength: 60 }), scraps, fc.json());

/** A valid text with something put in or cut out. */
const damaged = fc.tuple(fc.json({ maxDepth: 4 }), fc.nat(), fc.nat({ max: 3 }), scraps).map(([text, place, length, put]) => {
  const start = place % (text.length + 1);
  return text.slice(0, start) + put.slice(0, 3) + text.slice(start + length);
});

/** Valid texts with white space, escapes, and names that repeat or are words of the vocabulary. */
const VOCABULARY = createVocabulary(['name', 'value', 'rate', 'Clip.2', 'active_media_reference_key']);
const blanks = fc.constantFrom('', ' ', '\n', '\n      ', '\r\n\t', '                     ');
const names = fc.constantFrom(
  'name',
  'value',
  'rate',
  'nam',
  'Clip.2',
  'active_media_reference_key',
  'é',
  'ü',
  'a',
  'x'.repeat(40),
);
const { value: spaced } = fc.letrec<{ value: string; list: string; object: string }>((tie) => ({
  value: fc.oneof(
    { maxDepth: 4 },
    fc.constantFrom(
      '0',
      '-1',
      '24.0',
      '1.5e3',
      '23.976023976023978',
      '9223372036854775807',
      '18446744073709551615',
      '1e400',
      'NaN',
      '-Infinity',
      'Inf',
      'true',
      'false',
      'null',
    ),
    fc.constantFrom('""', '"Clip.2"', '"é🎬"', '"\\u00e9\\n"', '"\\""', '"name"', `"${'long '.repeat(20)}"`, '"\ud800"'),
    tie('list'),
    tie('object'),
  ),
  list: fc
    .array(fc.tuple(blanks, tie('value'), blanks), { maxLength: 4 })
    .map((parts) => `[${parts.map((part) => part.join('')).join(',')}]`),
  object: fc
    .array(fc.tuple(blanks, names, blanks, blanks, tie('value'), blanks), { maxLength: 5 })
    .map((parts) => `{${parts.map(([a, name, b, c, value, d]) => `${a}"${name}"${b}:${c}${value}${d}`).join(',')}}`),
}));

describe('any string', () => {
  it('is read without an error, with every span inside the text and children inside their containers', () => {
    fc.assert(
      fc.property(fc.oneof(anyText, damaged), (text) => {
        const document = parseJson(text);
        for (const { span, message } of document.problems) {
          expect(span.start).toBeGreaterThanOrEqual(0);
          expect(span.end).toBeGreaterThanOrEqual(span.start);
          expect(span.end).toBeLessThanOrEqual(text.length);
          expect(message.length).toBeGreaterThan(10);
        }
        for (let node = 0; node < document.nodeCount; node += 1) {
          const own = spanOf(document, node);
          expect(own.start).toBeLessThanOrEqual(own.end);
          expect(own.end).toBeLessThanOrEqual(text.length);
          let before = own.start;
          for (const child of children(document, node)) {
            expect(child).toBeLessThan(document.nodeCount);
            expect(spanOf(document, child).start).toBeGreaterThanOrEqual(before);
            before = spanOf(document, child).end;
          }
          expect(before).toBeLessThanOrEqual(own.end);
        }
      }),
      { numRuns: 3000 },
    );
  });

  it('has a problem exactly when JSON.parse refuses it, infinities aside', () => {
    fc.assert(
      fc.property(fc.oneof(anyText, damaged), (text) => {
        fc.pre(!/NaN|Inf/.test(text));
        const isClean = parseJson(text).problems.every(({ kind }) => kind === 'repeated-key' || kind === 'number');
        expect(isClean).toBe(isValidJson(text));
      }),
      { numRuns: 3000 },
    );
  });

  it('is scanned by the fast scanner to the same tape, or left to the tolerant one', () => {
    fc.assert(
      fc.property(fc.oneof({ weight: 3, arbitrary: spaced }, damaged, anyText), (text) => {
        expectSameTape(text);
      }),
      { numRuns: 5000 },
    );
  });
});

describe('a valid text', () => {
  it('means what JSON.parse says it means', () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 5 }), (text) => {
        // An object of JSON.parse has no name twice, and takes the last; fc.json writes none twice.
        expect(valueAt(parseJson(text), 0)).toEqual(JSON.parse(text));
      }),
      { numRuns: 1000 },
    );
  });

  it('has its values where jsonc-parser finds them', () => {
    fc.assert(
      fc.property(spaced, (text) => {
        fc.pre(!/NaN|Inf|1e400/.test(text));
        const document = parseJson(text);
        expect(placesAt(document, 0)).toEqual(placesOf(parseTree(text) as Node));
      }),
      { numRuns: 1000 },
    );
  });

  it('numbers the words of the vocabulary and no others', () => {
    fc.assert(
      fc.property(spaced, (text) => {
        const document = parseJson(text, VOCABULARY);
        for (let node = 0; node < document.nodeCount; node += 1) {
          const number = wordOf(document, node);
          if (number !== 0) expect(stringOf(document, node)).toBe(VOCABULARY.words[number - 1]);
          else if (kindOf(document, node) === 'string') expect(VOCABULARY.words).not.toContain(stringOf(document, node));
        }
      }),
      { numRuns: 1000 },
    );
  });
});

describe('the fast scanner', () => {
  it('takes regular texts, so that the fast path is one', () => {
    const scanner = takeScanner();
    expect(scanner).not.toBeNull();
    if (scanner === null) return;
    const texts = [
      '{"name": [1, 2.0, -3e2, NaN, "é", "\\n", true, false, null, {}, []]}',
      '  [ ]\n',
      '"x"',
      '340282366920938463463374607431768211455',
    ];
    for (const text of texts) expect(scanFast(scanner, text, NO_WORDS)).not.toBeNull();
    returnScanner(scanner);
  });

  it.each([63, 64, 65, 1000, 70_000])('keeps places right in texts of %i characters outside ASCII', (length) => {
    expectSameTape(`["${'é'.repeat(length)}", "${'🎬'.repeat(length)}", "${'a–'.repeat(length)}"]`);
    expectSameTape(`["${'x'.repeat(length)}é", 1]`);
  });

  it('reads 100,000 nested lists', () => {
    expectSameTape(`${'['.repeat(100_000)}${']'.repeat(100_000)}`);
  });

  it('grows with a text of many values', () => {
    expectSameTape(`[${'1,'.repeat(300_000)}1]`);
  });

  it('serves a reader inside a reader', () => {
    const inner = (document: JsonDocument): string =>
      withJson('{"name": "inner"}', NO_WORDS, (other) => keyText(other, 1) + keyText(document, 1));
    expect(withJson('{"outer": 1}', NO_WORDS, inner)).toBe('nameouter');
  });
});

function expectSameTape(text: string): void {
  const tolerant = parseJson(text, VOCABULARY);
  const scanner = takeScanner();
  if (scanner === null) return;
  const fast = scanFast(scanner, text, VOCABULARY);
  if (fast !== null) {
    expect(tolerant.problems).toEqual([]);
    expect(fast.nodeCount).toBe(tolerant.nodeCount);
    expect(isSame(fast.tape, tolerant.tape, 4 * fast.nodeCount)).toBe(true);
    expect(isSame(fast.units, tolerant.units, text.length + 1)).toBe(true);
  }
  returnScanner(scanner);
}

/** Compared in a loop: a matcher would print millions of numbers. */
function isSame(left: Int32Array | Uint8Array, right: Int32Array | Uint8Array, length: number): boolean {
  for (let index = 0; index < length; index += 1) if (left[index] !== right[index]) return false;
  return true;
}

function isValidJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}

function children(document: JsonDocument, container: number): readonly number[] {
  const nodes: number[] = [];
  for (let node = firstChild(document, container); node !== -1; node = nextSibling(document, node)) nodes.push(node);
  return nodes;
}

interface Place {
  readonly kind: string;
  readonly start: number;
  readonly end: number;
  readonly children: readonly Place[];
}

function placesAt(document: JsonDocument, node: number): Place {
  const kind = kindOf(document, node);
  const inner = children(document, node).flatMap((child) => (kind === 'object' ? [child, child + 1] : [child]));
  const name = kind === 'true' || kind === 'false' ? 'boolean' : kind;
  return { kind: name, ...spanOf(document, node), children: inner.map((child) => placesAt(document, child)) };
}

function placesOf(node: Node): Place {
  const inner = (node.children ?? []).flatMap((child) => (child.type === 'property' ? (child.children ?? []) : [child]));
  return { kind: node.type, start: node.offset, end: node.offset + node.length, children: inner.map(placesOf) };
}

function valueAt(document: JsonDocument, node: number): unknown {
  expect(rootNode(document)).toBe(0);
  switch (kindOf(document, node)) {
    case 'object': {
      const entries = children(document, node).map((key): [string, unknown] => [
        keyText(document, key),
        valueAt(document, key + 1),
      ]);
      return Object.fromEntries(entries);
    }
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
    default:
      return null;
  }
}
