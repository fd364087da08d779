/**
 * Time and text against formulations of the tests' own: fractions of plain BigInts, labels counted one by one, positions
 * found by walking the text.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildLineIndex, type ColumnUnit, offsetAt, positionAt } from '../../server/src/core/text/lineIndex.ts';
import { applyEdits, type TextEdit } from '../../server/src/core/text/textEdit.ts';
import { type Rate, snapRate, TIMECODE_RATES } from '../../server/src/core/time/rate.ts';
import {
  add,
  ceiling,
  compare,
  divide,
  floor,
  formatExactDecimal,
  formatRational,
  isInteger,
  multiply,
  parseDecimal,
  parseRational,
  type Rational,
  rational,
  reduce,
  round,
  subtract,
} from '../../server/src/core/time/rational.ts';
import { frameToSampleStamp, sampleStampToFrame } from '../../server/src/core/time/stamp.ts';
import { formatLabel, framesPerDay, frameToLabel, labelToFrame, parseTimecode } from '../../server/src/core/time/timecode.ts';
import { type Fraction, fraction, fractionText, less, minus, over, plus, times } from '../support/fraction.ts';

/** Small, safe, just past safe and huge: every border of the two forms. */
const integer = fc.oneof(
  fc.bigInt({ min: -1000n, max: 1000n }),
  fc.bigInt({ min: -(2n ** 53n) - 3n, max: 2n ** 53n + 3n }),
  fc.bigInt({ min: -(2n ** 120n), max: 2n ** 120n }),
  fc.constantFrom(0n, 1n, -1n, 1001n, 24000n, 30000n, 48000n, 9007199254740991n, -9007199254740991n),
);
const pair = fc.tuple(
  integer,
  integer.filter((value) => value !== 0n),
);

function both([n, d]: readonly [bigint, bigint]): readonly [Rational, Fraction] {
  const isSafe = (value: bigint): boolean => value <= 9007199254740991n && value >= -9007199254740991n;
  // Through numbers where they fit, as callers do.
  return [isSafe(n) && isSafe(d) ? rational(Number(n), Number(d)) : rational(n, d), fraction(n, d)];
}

describe('rationals against fractions of BigInts', () => {
  it('add, subtract, multiply, divide and compare exactly', () => {
    fc.assert(
      fc.property(pair, pair, (left, right) => {
        const [a, x] = both(left);
        const [b, y] = both(right);
        expect(formatRational(add(a, b))).toBe(fractionText(plus(x, y)));
        expect(formatRational(subtract(a, b))).toBe(fractionText(minus(x, y)));
        expect(formatRational(multiply(a, b))).toBe(fractionText(times(x, y)));
        if (right[0] !== 0n) expect(formatRational(divide(a, b))).toBe(fractionText(over(x, y)));
        expect(compare(a, b)).toBe(less(x, y) ? -1 : less(y, x) ? 1 : 0);
      }),
      { numRuns: 2000 },
    );
  });

  it('do not depend on how far they were reduced', () => {
    fc.assert(
      fc.property(
        pair,
        pair,
        integer.filter((value) => value !== 0n),
        ([n, d], other, factor) => {
          const plain = rational(n, d);
          const inflated = {
            numerator: n * factor * (d * factor < 0n ? -1n : 1n),
            denominator: d * factor < 0n ? -(d * factor) : d * factor,
          };
          const [b] = both(other);
          expect(compare(inflated, b)).toBe(compare(plain, b));
          expect(formatRational(add(inflated, b))).toBe(formatRational(add(plain, b)));
          expect(reduce(inflated)).toEqual(reduce(plain));
        },
      ),
    );
  });

  it('keep their invariants whatever is done to them', () => {
    fc.assert(
      fc.property(pair, pair, (left, right) => {
        const [a] = both(left);
        const [b] = both(right);
        for (const value of [add(a, b), subtract(a, b), multiply(a, b), reduce(a)]) {
          expect(value.denominator > 0).toBe(true);
          expect(typeof value.numerator).toBe(typeof value.denominator);
          if (typeof value.numerator === 'number') {
            expect(Number.isSafeInteger(value.numerator) && Number.isSafeInteger(value.denominator)).toBe(true);
            expect(Object.is(value.numerator, -0)).toBe(false);
          }
        }
      }),
    );
  });

  it('round to the whole numbers next to them', () => {
    fc.assert(
      fc.property(pair, ([n, d]) => {
        const [value, plain] = both([n, d]);
        const down = floor(value);
        expect(less(plain, fraction(down))).toBe(false);
        expect(less(plain, fraction(down + 1n))).toBe(true);
        expect(ceiling(value)).toBe(isInteger(value) ? down : down + 1n);
        const nearest = round(value);
        expect(less(plain, minus(fraction(nearest), [1n, 2n]))).toBe(false);
        expect(less(plain, plus(fraction(nearest), [1n, 2n]))).toBe(true);
      }),
    );
  });

  it('survive writing and reading, as ratios and as decimals', () => {
    fc.assert(
      fc.property(pair, integer, fc.integer({ min: 0, max: 30 }), ([n, d], digits, places) => {
        const value = rational(n, d);
        expect(parseRational(formatRational(value))).toEqual(reduce(value));
        const decimal = formatExactDecimal(value);
        if (decimal !== null) expect(parseDecimal(decimal)).toEqual(reduce(value));
        const exact = reduce(rational(digits, 10n ** BigInt(places)));
        expect(parseDecimal(formatExactDecimal(exact) ?? '')).toEqual(exact);
        expect(parseDecimal(`${digits}e-${places}`)).toEqual(exact);
      }),
    );
  });
});

/** Names the frames of a day one after the other, as a person would with a pencil. */
function* labelsByHand(nominal: number, dropped: number): Generator<string> {
  const two = (value: number): string => String(value).padStart(2, '0');
  for (let minute = 0; minute < 24 * 60; minute += 1) {
    for (let second = 0; second < 60; second += 1) {
      const first = second === 0 && minute % 10 !== 0 ? dropped : 0;
      for (let frame = first; frame < nominal; frame += 1) {
        yield `${two(Math.floor(minute / 60))}:${two(minute % 60)}:${two(second)}${dropped > 0 ? ';' : ':'}${two(frame)}`;
      }
    }
  }
}

const NOMINAL = new Map<Rate, number>(
  TIMECODE_RATES.map((rate, index) => [rate, [24, 24, 25, 30, 30, 48, 48, 50, 60, 60][index] as number]),
);
const anyRate = fc.constantFrom(...TIMECODE_RATES);

describe('timecode against labels counted by hand', () => {
  it.each([
    ['29.97 drop-frame', rational(30000, 1001), 30, 2],
    ['59.94 drop-frame', rational(60000, 1001), 60, 4],
    ['23.976', rational(24000, 1001), 24, 0],
    ['25', rational(25), 25, 0],
  ])('%s, every label of a day, both ways', (_, rate, nominal, dropped) => {
    const isDrop = dropped > 0;
    let frame = 0;
    let wrong = '';
    for (const text of labelsByHand(nominal, dropped)) {
      // Every label to text is slow; the first two hours and every 97th after them catch each kind of border.
      if (frame < 2 * 3600 * nominal || frame % 97 === 0) {
        const label = parseTimecode(text);
        const read = label === null ? null : labelToFrame(label, rate, isDrop);
        if (read?.ok !== true || read.frame !== frame || formatLabel(frameToLabel(frame, rate, isDrop)) !== text) {
          wrong = `${text} should be frame ${frame}`;
          break;
        }
      }
      frame += 1;
    }
    expect(wrong).toBe('');
    expect(framesPerDay(rate, isDrop)).toBe(frame);
  });

  it('every frame number, also far outside a day, survives the way to a label and back', () => {
    fc.assert(
      fc.property(anyRate, fc.boolean(), fc.integer({ min: -20_000_000, max: 20_000_000 }), (rate, wantsDrop, frame) => {
        const isDrop = wantsDrop && (NOMINAL.get(rate) === 30 || NOMINAL.get(rate) === 60) && rate.denominator === 1001;
        const day = framesPerDay(rate, isDrop);
        const label = parseTimecode(formatLabel(frameToLabel(frame, rate, isDrop)));
        if (label === null) throw new Error('a label must be readable');
        expect(labelToFrame(label, rate, isDrop)).toEqual({ ok: true, frame: ((frame % day) + day) % day });
      }),
    );
  });

  it('later frames never have earlier labels', () => {
    fc.assert(
      fc.property(anyRate, fc.boolean(), fc.nat(1_900_000), fc.nat(1000), (rate, isDrop, frame, step) => {
        const text = (count: number): string => formatLabel(frameToLabel(count, rate, isDrop)).replace(';', ':');
        expect(text(frame) <= text(frame + step)).toBe(true);
      }),
    );
  });

  it('samples and frames meet through exact seconds', () => {
    fc.assert(
      fc.property(anyRate, fc.constantFrom(44100, 48000, 96000), fc.nat(5_000_000), (rate, sampleRate, frame) => {
        const stamp = frameToSampleStamp(frame, rate, rational(sampleRate));
        const byHand = over(
          times(fraction(frame), fraction(sampleRate)),
          fraction(BigInt(rate.numerator), BigInt(rate.denominator)),
        );
        expect(formatRational(stamp)).toBe(fractionText(byHand));
        expect(formatRational(sampleStampToFrame(stamp, rational(sampleRate), rate))).toBe(String(frame));
      }),
    );
  });
});

describe('snapping a rate', () => {
  it('brings every usual rate home from two decimals on', () => {
    fc.assert(
      fc.property(anyRate, fc.integer({ min: 2, max: 20 }), (rate, places) => {
        const scale = 10n ** BigInt(places);
        const rounded = rational(round(multiply(rate, rational(scale))), scale);
        expect(formatRational(snapRate(rounded)?.rate ?? rational(0))).toBe(formatRational(rate));
      }),
    );
  });

  it('is settled after once, positive, and close to what was written', () => {
    fc.assert(
      fc.property(fc.bigInt({ min: 1n, max: 10n ** 9n }), fc.integer({ min: 0, max: 6 }), (digits, places) => {
        const written = rational(digits, 10n ** BigInt(places));
        const first = snapRate(written);
        if (first === null) throw new Error('a positive rate must be answered');
        expect(compare(first.rate, rational(0))).toBe(1);
        expect(formatRational(snapRate(first.rate)?.rate ?? rational(0))).toBe(formatRational(first.rate));
        const distance = subtract(first.rate, written);
        expect(compare(distance, rational(65, 10000))).toBeLessThanOrEqual(0);
        expect(compare(distance, rational(-65, 10000))).toBeGreaterThanOrEqual(0);
      }),
    );
  });
});

const text = fc
  .array(fc.constantFrom('a', 'é', '€', '𝄞', '\n', '\r', '\r\n', '\ud800', '\t'), { maxLength: 40 })
  .map((parts) => parts.join(''));

/** Line and column by walking the text, in code points and bytes counted apart. */
function positionByHand(whole: string, offset: number, unit: ColumnUnit): { readonly line: number; readonly column: number } {
  const lines = whole.slice(0, offset).split(/\r\n|\r|\n/);
  const last = lines.at(-1) ?? '';
  const column =
    unit === 'utf-16'
      ? last.length
      : unit === 'utf-32'
        ? [...last].length
        : [...last].reduce((sum, one) => sum + new TextEncoder().encode(one).length, 0);
  return { line: lines.length - 1, column };
}

describe('lines and columns', () => {
  it.each(['utf-8', 'utf-16', 'utf-32'] as const)('in %s agree with walking the text, and lead back', (unit) => {
    fc.assert(
      fc.property(text, (whole) => {
        const index = buildLineIndex(whole);
        for (let offset = 0; offset <= whole.length; offset += 1) {
          const isInsidePair = (whole.codePointAt(offset - 1) ?? 0) > 0xffff;
          const isInsideBreak = whole[offset - 1] === '\r' && whole[offset] === '\n';
          if (isInsideBreak || (isInsidePair && unit !== 'utf-16')) continue;
          const position = positionAt(index, offset, unit);
          expect(position).toEqual(positionByHand(whole, offset, unit));
          expect(offsetAt(index, position, unit)).toBe(offset);
        }
      }),
    );
  });

  it('any position, however wrong, is answered inside the text', () => {
    fc.assert(
      fc.property(text, fc.integer({ min: -3, max: 60 }), fc.integer({ min: -3, max: 200 }), (whole, line, column) => {
        for (const unit of ['utf-8', 'utf-16', 'utf-32'] as const) {
          const offset = offsetAt(buildLineIndex(whole), { line, column }, unit);
          expect(offset >= 0 && offset <= whole.length).toBe(true);
        }
      }),
    );
  });
});

describe('text edits', () => {
  it('made at once equal edits made one by one from the end', () => {
    fc.assert(
      fc.property(
        fc.string({ maxLength: 30 }),
        fc.array(fc.tuple(fc.nat(30), fc.nat(4), fc.string({ maxLength: 3 })), { maxLength: 5 }),
        (whole, raw) => {
          const edits: TextEdit[] = [];
          let free = 0;
          for (const [gap, length, newText] of raw) {
            const start = free + (gap % 7);
            const end = start + length;
            if (end > whole.length) break;
            edits.push({ span: { start, end }, newText });
            // One character between edits, so that none touch.
            free = end + 1;
          }
          const oneByOne = edits.reduceRight(
            (result, { span, newText }) => result.slice(0, span.start) + newText + result.slice(span.end),
            whole,
          );
          expect(applyEdits(whole, [...edits].reverse())).toBe(oneByOne);
        },
      ),
    );
  });
});
