/**
 * What is seen: fitting, zooming and panning keep their promises on any chart.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chartMarks } from '../../../server/src/core/report/lagChart/chartMarks.ts';
import {
  type ChartView,
  fittedView,
  panned,
  showing,
  wholeView,
  zoomed,
} from '../../../server/src/core/report/lagChart/chartView.ts';
import { chartOf, type PlainMark, sampleChart } from './charts.ts';

const all = (): boolean => true;

const anyMarks: fc.Arbitrary<readonly PlainMark[]> = fc.array(
  fc
    .record({
      start: fc.integer({ min: 0, max: 5000 }),
      length: fc.integer({ min: 1, max: 900 }),
      head: fc.integer({ min: -40_000, max: 40_000 }),
      drift: fc.constantFrom(0, 0, 0, 3, -70, 12_000),
    })
    .map(({ start, length, head, drift }) => ({ start, end: start + length, head, tail: head + drift })),
  { minLength: 1, maxLength: 20 },
);

function isOrdered({ recordStart, recordEnd, lagLow, lagHigh }: ChartView): boolean {
  return recordStart < recordEnd && lagLow < lagHigh;
}

describe('a fitted view', () => {
  it('holds what lies near the tolerance at full size, whatever lies far out', () => {
    const near = chartMarks(chartOf([{ start: 0, end: 10, head: 30 }]));
    const far = chartMarks(
      chartOf([
        { start: 0, end: 10, head: 30 },
        { start: 0, end: 10, head: -36_000 },
      ]),
    );
    const spanOf = (view: ChartView): number => view.lagHigh - view.lagLow;
    expect(spanOf(fittedView(far, all))).toBeCloseTo(spanOf(fittedView(near, all)), 9);
  });

  it('keeps a group of larger lags that lie close to the rest', () => {
    const view = fittedView(
      chartMarks(
        chartOf([
          { start: 0, end: 10, head: 30 },
          { start: 0, end: 10, head: 170 },
        ]),
      ),
      all,
    );
    expect(view.lagHigh).toBeGreaterThan(0.17);
  });

  it('shows whiskers to their ends', () => {
    const view = fittedView(chartMarks(chartOf([{ start: 0, end: 10, head: 60 }])), all);
    expect(view.lagHigh).toBeGreaterThan(0.065);
  });

  it('always holds the whole record, zero and the whole band', () => {
    fc.assert(
      fc.property(anyMarks, (plain) => {
        const marks = chartMarks(chartOf(plain));
        const view = fittedView(marks, all);
        expect(isOrdered(view)).toBe(true);
        expect(view.recordStart).toBeLessThanOrEqual(0);
        expect(view.recordEnd).toBeGreaterThanOrEqual(marks.duration);
        expect(view.lagLow).toBeLessThan(marks.band.inner.low);
        expect(view.lagHigh).toBeGreaterThan(marks.band.inner.high);
      }),
    );
  });

  it('fits the sample without its two wild clips, which lag 9.5 s and lead 36 s', () => {
    const { lagLow, lagHigh } = fittedView(chartMarks(sampleChart()), all);
    expect([lagLow > -0.25, lagHigh < 0.25]).toEqual([true, true]);
  });
});

describe('the view in scale', () => {
  it('holds every lag', () => {
    fc.assert(
      fc.property(anyMarks, (plain) => {
        const marks = chartMarks(chartOf(plain));
        const { lagLow, lagHigh } = wholeView(marks, all);
        for (let index = 0; index < marks.count; index += 1) {
          expect(marks.least[index]).toBeGreaterThan(lagLow);
          expect(marks.most[index]).toBeLessThan(lagHigh);
        }
      }),
    );
  });
});

describe('zooming', () => {
  const marks = chartMarks(chartOf([{ start: 0, end: 1000, head: 30 }]));
  const view = { recordStart: 200, recordEnd: 300, lagLow: -0.1, lagHigh: 0.1 };

  it('keeps what is under the pointer in its place', () => {
    const after = zoomed(view, { record: 0.5, lag: 0.5, across: 0.25, up: 0.75 }, marks);
    expect(after.recordStart + 0.25 * (after.recordEnd - after.recordStart)).toBeCloseTo(225, 9);
    expect(after.lagLow + 0.75 * (after.lagHigh - after.lagLow)).toBeCloseTo(0.05, 9);
  });

  it('there and back comes home', () => {
    const there = zoomed(view, { record: 0.5, lag: 1, across: 0.5, up: 0.5 }, marks);
    const back = zoomed(there, { record: 2, lag: 1, across: 0.5, up: 0.5 }, marks);
    expect(back.recordStart).toBeCloseTo(view.recordStart, 9);
    expect(back.recordEnd).toBeCloseTo(view.recordEnd, 9);
  });

  it('and panning never lose the chart, however often and however far', () => {
    const step = fc.oneof(
      fc.record({
        record: fc.double({ min: 0.01, max: 100, noNaN: true }),
        lag: fc.double({ min: 0.01, max: 100, noNaN: true }),
        across: fc.double({ min: 0, max: 1, noNaN: true }),
        up: fc.double({ min: 0, max: 1, noNaN: true }),
      }),
      fc.record({ dx: fc.double({ min: -50, max: 50, noNaN: true }), dy: fc.double({ min: -50, max: 50, noNaN: true }) }),
    );
    fc.assert(
      fc.property(anyMarks, fc.array(step, { maxLength: 12 }), (plain, steps) => {
        const any = chartMarks(chartOf(plain));
        let seen = fittedView(any, all);
        for (const one of steps) seen = 'dx' in one ? panned(seen, one.dx, one.dy, any) : zoomed(seen, one, any);
        expect(isOrdered(seen)).toBe(true);
        expect(seen.recordStart).toBeLessThan(any.duration);
        expect(seen.recordEnd).toBeGreaterThan(0);
      }),
    );
  });
});

describe('showing a mark', () => {
  it('moves no further than it must', () => {
    const marks = chartMarks(
      chartOf([
        { start: 10, end: 12, head: 0 },
        { start: 500, end: 502, head: 0 },
      ]),
    );
    const view = { recordStart: 0, recordEnd: 100, lagLow: -1, lagHigh: 1 };
    expect(showing(view, marks, 0)).toBe(view);
    const moved = showing(view, marks, 1);
    expect(moved.recordStart).toBeLessThan(500);
    expect(moved.recordEnd).toBeGreaterThan(502);
    expect(moved.recordEnd - moved.recordStart).toBeCloseTo(100, 9);
  });
});
