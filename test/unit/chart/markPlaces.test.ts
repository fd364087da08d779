/**
 * Where comparisons lie in the picture: nothing in view is lost, nothing lies outside its box, and names cover no mark.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chartLabels } from '../../../server/src/core/report/lagChart/chartLabels.ts';
import { chartLayout, chartScale } from '../../../server/src/core/report/lagChart/chartLayout.ts';
import { chartMarks } from '../../../server/src/core/report/lagChart/chartMarks.ts';
import { type ChartView, fittedView } from '../../../server/src/core/report/lagChart/chartView.ts';
import { beyondView, beyondWords, emptyPlace, placeMark } from '../../../server/src/core/report/lagChart/markPlaces.ts';
import { MARK_SIZE } from '../../../server/src/core/report/lagChart/markShapes.ts';
import { chartOf, type PlainMark, sampleChart } from './charts.ts';

const all = (): boolean => true;

const anyMark: fc.Arbitrary<PlainMark> = fc
  .record({
    start: fc.integer({ min: 0, max: 100 }),
    length: fc.integer({ min: 1, max: 60 }),
    head: fc.integer({ min: -300, max: 300 }),
    tail: fc.integer({ min: -300, max: 300 }),
    isSteady: fc.boolean(),
  })
  .map(({ start, length, head, tail, isSteady }) => ({ start, end: start + length, head, tail: isSteady ? head : tail }));

const anyView: fc.Arbitrary<ChartView> = fc
  .record({
    recordStart: fc.integer({ min: -10, max: 120 }),
    width: fc.integer({ min: 1, max: 150 }),
    low: fc.integer({ min: -300, max: 200 }),
    height: fc.integer({ min: 1, max: 300 }),
  })
  .map(({ recordStart, width, low, height }) => ({
    recordStart,
    recordEnd: recordStart + width,
    lagLow: low / 1000,
    lagHigh: (low + height) / 1000,
  }));

describe('a comparison whose record time is in view', () => {
  it('is seen: as a line, at an edge, or both; and lies within its boxes', () => {
    fc.assert(
      fc.property(anyMark, anyView, (mark, view) => {
        const chart = chartOf([mark]);
        const marks = chartMarks(chart);
        const layout = chartLayout(chart, 900, 500);
        const place = emptyPlace();
        placeMark(marks, 0, layout, chartScale(layout, view), place);
        const overlaps = mark.end >= view.recordStart && mark.start <= view.recordEnd;
        expect(place.isInView).toBe(overlaps);
        if (!overlaps) return;
        expect(place.hasLine || place.over !== null || place.under !== null).toBe(true);
        const { plot } = layout;
        const isAcross = (x: number): boolean => x >= plot.left - 1e-6 && x <= plot.left + plot.width + 1e-6;
        const isUp = (y: number): boolean => y >= plot.top - 1e-6 && y <= plot.top + plot.height + 1e-6;
        if (place.hasLine) {
          expect([place.x1, place.x2, place.x].every(isAcross)).toBe(true);
          expect([place.y1, place.y2, place.y].every(isUp)).toBe(true);
        }
        for (const x of [place.over, place.under]) if (x !== null) expect(isAcross(x)).toBe(true);
      }),
    );
  });

  it('stands at the upper edge exactly when some of it lags more than is shown, at the lower when some leads more', () => {
    const chart = chartOf([
      { start: 0, end: 10, head: 30 },
      { start: 0, end: 10, head: 500 },
      { start: 0, end: 10, head: -500 },
      { start: 0, end: 10, head: -500, tail: 500 },
    ]);
    const marks = chartMarks(chart);
    const layout = chartLayout(chart, 900, 500);
    const scale = chartScale(layout, { recordStart: 0, recordEnd: 10, lagLow: -0.1, lagHigh: 0.1 });
    const places = [0, 1, 2, 3].map((index) => {
      const place = emptyPlace();
      placeMark(marks, index, layout, scale, place);
      return [place.hasLine, place.over !== null, place.under !== null];
    });
    expect(places).toEqual([
      [true, false, false],
      [false, true, false],
      [false, false, true],
      [true, true, true],
    ]);
  });
});

describe('lags above, leads below', () => {
  it('a lag lies higher than zero and a lead lower, in proportion', () => {
    const chart = chartOf([{ start: 0, end: 10, head: 0 }]);
    const layout = chartLayout(chart, 900, 500);
    const { y } = chartScale(layout, { recordStart: 0, recordEnd: 10, lagLow: -0.1, lagHigh: 0.1 });
    expect(y(0.04)).toBeLessThan(y(0));
    expect(y(-0.04)).toBeGreaterThan(y(0));
    expect(y(0) - y(0.04)).toBeCloseTo(0.2 * layout.plot.height, 6);
  });
});

describe('what lies beyond the view', () => {
  it('is counted beside each edge with the largest amount', () => {
    const marks = chartMarks(sampleChart());
    const { over, under } = beyondView(marks, fittedView(marks, all), all);
    // samples/README.md: camera B on the clap of camera A lags 9.513 s; a stamp read at 24 leads 36.16 s.
    expect(beyondWords(over, 'above')).toEqual(['1 above', 'to 9.5 s']);
    expect(beyondWords(under, 'below')).toEqual(['1 below', 'to 36.2 s']);
  });

  it('is said with its number where there is room', () => {
    const chart = sampleChart();
    const marks = chartMarks(chart);
    const layout = chartLayout(chart, 1200, 560);
    const scale = chartScale(layout, fittedView(marks, all));
    const { labels } = chartLabels({
      chart,
      marks,
      layout,
      scale,
      isShown: all,
      first: null,
      widthOf: (text) => text.length * 7,
    });
    expect(labels.filter(({ isAtEdge }) => isAtEdge).map(({ text }) => text)).toEqual([
      'door, reverse (deck): lags 9.513 s',
      'miller, reverse (deck): leads 36.16 s',
    ]);
  });
});

describe('names', () => {
  it('cover neither one another nor any mark within the plot', () => {
    const marksOf = fc.array(anyMark, { minLength: 1, maxLength: 40 });
    fc.assert(
      fc.property(marksOf, anyView, (plain, view) => {
        const chart = chartOf(plain);
        const marks = chartMarks(chart);
        const layout = chartLayout(chart, 900, 500);
        const scale = chartScale(layout, view);
        const widthOf = (text: string): number => text.length * 7;
        const { labels } = chartLabels({ chart, marks, layout, scale, isShown: all, first: null, widthOf });
        const boxes = labels.map(({ x, y, text }) => ({
          left: x - widthOf(text) / 2,
          right: x + widthOf(text) / 2,
          top: y - 11,
          bottom: y + 3,
        }));
        for (const [at, box] of boxes.entries()) {
          for (const other of boxes.slice(at + 1)) expect(meet(box, other)).toBe(false);
        }
        const place = emptyPlace();
        for (let index = 0; index < marks.count; index += 1) {
          placeMark(marks, index, layout, scale, place);
          if (!place.hasLine) continue;
          const half = MARK_SIZE / 2 - 0.01;
          const shape = { left: place.x - half, right: place.x + half, top: place.y - half, bottom: place.y + half };
          for (const box of boxes.filter((_, label) => labels[label]?.isAtEdge === false)) expect(meet(box, shape)).toBe(false);
        }
      }),
    );
  });
});

interface Area {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

function meet(left: Area, right: Area): boolean {
  return left.left < right.right && right.left < left.right && left.top < right.bottom && right.top < left.bottom;
}
