/**
 * The numbers along the axes, against published timecode facts: at 24000/1001 the label 01:00:00:00 stands 3603.6 s after
 * 00:00:00:00 (86,400 frames; SMPTE ST 12-1 rate); drop-frame skips the labels ;00 and ;01 of each minute but every tenth, so that
 * ten minutes hold 17,982 frames (SMPTE ST 12-1, drop-frame counting).
 */

import { describe, expect, it } from 'vitest';
import { frameTicks, lagTicks, recordTicks } from '../../../server/src/core/report/lagChart/chartTicks.ts';
import { chartOf } from './charts.ts';

const lags = { lagLow: -0.1, lagHigh: 0.1 };

describe('record time', () => {
  it('stands on timecode labels, not on seconds of the clock', () => {
    const chart = { ...chartOf([{ start: 0, end: 7200, head: 0 }]), rate: '24000/1001', startFrame: '0' };
    const ticks = recordTicks(chart, { recordStart: 0, recordEnd: 7300, ...lags }, 900);
    expect(ticks.find(({ text }) => text === '01:00:00:00')?.at).toBeCloseTo(3603.6, 9);
  });

  it('counts from the timecode of the first instant', () => {
    const chart = { ...chartOf([{ start: 0, end: 60, head: 0 }]), rate: '25', startFrame: '90000' };
    const ticks = recordTicks(chart, { recordStart: 0, recordEnd: 60, ...lags }, 900);
    expect(ticks[0]).toEqual({ at: 0, text: '01:00:00:00' });
    expect(ticks.every(({ text }) => /^01:0[01]:\d\d:00$/.test(text))).toBe(true);
  });

  it('gives a skipped drop-frame label no tick: the minute begins at ;02', () => {
    const chart = { ...chartOf([{ start: 0, end: 660, head: 0 }]), rate: '30000/1001', startFrame: '0', isDropFrame: true };
    const ticks = recordTicks(chart, { recordStart: 0, recordEnd: 660, ...lags }, 1400);
    expect(ticks.map(({ text }) => text)).toContain('00:01:00;02');
    expect(ticks.map(({ text }) => text)).not.toContain('00:01:00;00');
    expect(ticks.find(({ text }) => text === '00:10:00;00')?.at).toBeCloseTo((17982 * 1001) / 30000, 9);
  });

  it('comes down to single frames when there is room', () => {
    const chart = { ...chartOf([{ start: 0, end: 10, head: 0 }]), rate: '24', startFrame: '86400' };
    const ticks = recordTicks(chart, { recordStart: 0, recordEnd: 0.25, ...lags }, 900);
    expect(ticks.map(({ text }) => text)).toEqual([
      '01:00:00:00',
      '01:00:00:01',
      '01:00:00:02',
      '01:00:00:03',
      '01:00:00:04',
      '01:00:00:05',
      '01:00:00:06',
    ]);
  });

  it('goes on past midnight', () => {
    const chart = { ...chartOf([{ start: 0, end: 60, head: 0 }]), rate: '24', startFrame: String(24 * (86_400 - 30)) };
    const texts = recordTicks(chart, { recordStart: 0, recordEnd: 60, ...lags }, 900).map(({ text }) => text);
    expect(texts.slice(0, 2)).toEqual(['23:59:30:00', '23:59:40:00']);
    expect(texts).toContain('00:00:00:00');
  });

  it('is a clock where the rate has no timecode', () => {
    const chart = { ...chartOf([{ start: 0, end: 60, head: 0 }]), rate: '1000', startFrame: null };
    expect(recordTicks(chart, { recordStart: 0, recordEnd: 50, ...lags }, 600).map(({ text }) => text)).toContain('10.000 s');
  });
});

describe('lags', () => {
  it('carry no sign: the place says which side it is', () => {
    const ticks = lagTicks({ recordStart: 0, recordEnd: 1, ...lags }, 300);
    expect(ticks.map(({ text }) => text)).toEqual(['100 ms', '50 ms', '0 ms', '50 ms', '100 ms']);
  });

  it('change to seconds where milliseconds would be long', () => {
    expect(lagTicks({ recordStart: 0, recordEnd: 1, lagLow: -40, lagHigh: 10 }, 200).map(({ text }) => text)).toContain('40 s');
  });

  it('stand in frames on the other side: two frames at 25 are 80 ms', () => {
    const chart = { ...chartOf([{ start: 0, end: 1, head: 0 }]), rate: '25' };
    const ticks = frameTicks(chart, { recordStart: 0, recordEnd: 1, ...lags }, 200);
    expect(ticks.filter(({ text }) => text === '2 f').map(({ at }) => Math.abs(at))).toEqual([0.08, 0.08]);
  });
});
