/**
 * From mark to mark by keys, and which key does what.
 */

import { describe, expect, it } from 'vitest';
import { KEY_LIST, keyAction } from '../../../client/src/chart/page/chartKeys.ts';
import { across, along, alongOut, firstOf, lastOf } from '../../../client/src/chart/page/neighbours.ts';
import { chartMarks } from '../../../server/src/core/report/lagChart/chartMarks.ts';
import { chartOf } from './charts.ts';

const marks = chartMarks(
  chartOf([
    { start: 0, end: 10, head: 0 },
    { start: 0, end: 10, head: 20 },
    { start: 0, end: 10, head: 20 },
    { start: 5, end: 15, head: -80 },
    { start: 20, end: 30, head: 90 },
  ]),
);
const all = (): boolean => true;

describe('along the record', () => {
  it('goes one by one, and stops at the ends', () => {
    expect([along(marks, all, null, 1), along(marks, all, 0, 1), along(marks, all, 4, 1), along(marks, all, 0, -1)]).toEqual([
      0,
      1,
      null,
      null,
    ]);
  });

  it('passes over what the filters hide', () => {
    const isShown = (index: number): boolean => index !== 1 && index !== 4;
    expect([along(marks, isShown, 0, 1), lastOf(marks, isShown), firstOf(marks, isShown)]).toEqual([2, 3, 0]);
  });

  it('goes to those that are out by a key of its own', () => {
    expect([alongOut(marks, all, null, 1), alongOut(marks, all, 3, 1), alongOut(marks, all, 4, -1)]).toEqual([3, 4, 3]);
  });
});

describe('up and down', () => {
  it('goes to the next larger or smaller lag at the same record time', () => {
    expect([across(marks, all, 3, 'up'), across(marks, all, 0, 'up'), across(marks, all, 0, 'down')]).toEqual([0, 1, 3]);
  });

  it('reaches both of two on one spot', () => {
    expect([across(marks, all, 1, 'up'), across(marks, all, 2, 'down')]).toEqual([2, 1]);
  });

  it('never leaves the record time', () => {
    expect(across(marks, all, 4, 'down')).toBeNull();
  });
});

describe('keys', () => {
  const press = (key: string, more: object = {}) =>
    keyAction({ key, code: '', shiftKey: false, altKey: false, ctrlKey: false, metaKey: false, ...more });

  it('leave to the editor what is the editor’s', () => {
    expect([
      press('ArrowLeft', { altKey: true }),
      press('z', { ctrlKey: true }),
      press('ArrowUp', { metaKey: true }),
      press('Tab'),
    ]).toEqual([null, null, null, null]);
  });

  it('fit by the place of the zero on the keyboard, whatever it makes with Shift', () => {
    expect(press('0', { code: 'Digit0' })).toEqual({ kind: 'action', action: 'fit' });
    expect(press('=', { code: 'Digit0', shiftKey: true })).toEqual({ kind: 'action', action: 'whole' });
  });

  it('are all listed on the page', () => {
    expect(KEY_LIST.map(([keys]) => keys).join(' ')).toBe(
      '← → Page Up, Page Down ↑ ↓ Home, End Enter + − Alt+↑ ↓ Shift+arrows 0 T Escape',
    );
  });
});
