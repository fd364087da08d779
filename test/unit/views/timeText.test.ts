import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rational } from '../../../server/src/core/time/rational.ts';
import { clockText, countText, lengthText, numberText, rateText, timecodeText } from '../../../server/src/core/views/timeText.ts';

const FILM = rational(24000, 1001);
const NTSC = rational(30000, 1001);

describe('timecode', () => {
  it('is the label of the frame (SMPTE ST 12-1: 1800 frames at 29.97 are 00:01:00;02 drop-frame)', () => {
    expect(timecodeText(rational(1800), NTSC, true)).toBe('00:01:00;02');
    expect(timecodeText(rational(1800), NTSC, false)).toBe('00:01:00:00');
    expect(timecodeText(rational(86400), FILM, false)).toBe('01:00:00:00');
  });

  it('shows a part of a frame after the label', () => {
    expect(timecodeText(rational(86401, 4), FILM, false)).toBe('00:15:00:00 + 0.25');
  });

  it('has no label below zero and says so', () => {
    expect(timecodeText(rational(-25), FILM, false)).toBe('00:00:01:01 before zero');
  });
});

describe('clock time', () => {
  it.each([
    [rational(0), '0.000 s'],
    [rational(1001, 24000), '0.042 s'],
    [rational(599994, 10000), '59.999 s'],
    [rational(599996, 10000), '1:00.000'],
    [rational(3661), '1:01:01.000'],
    [rational(-5, 2), '2.500 s before zero'],
  ])('%o is %s', (seconds, text) => {
    expect(clockText(seconds)).toBe(text);
  });

  it('never shows a sixtieth second or a thousandth millisecond', () => {
    fc.assert(
      fc.property(fc.nat(10_000_000), fc.integer({ min: 1, max: 48_000 }), (numerator, denominator) => {
        const text = clockText(rational(numerator, denominator));
        expect(text).toMatch(/^(\d+:)?([0-5]?\d:)?[0-5]?\d\.\d{3}( s)?$/);
      }),
    );
  });
});

describe('counts', () => {
  it('leave their digits together, as messages do, and keep what is left of a sample', () => {
    expect(countText(rational(1234567, 48000), rational(48000))).toBe('sample 1234567');
    expect(countText(rational(12345671, 480000), rational(48000))).toBe('sample 1234567.1');
    expect(countText(rational(132 * 1001, 24000), FILM)).toBe('frame 132');
  });

  it('are singular for one', () => {
    expect(lengthText(rational(1001, 24000), FILM)).toBe('1 frame');
    expect(lengthText(rational(2002, 48000), rational(48000))).toBe('2002 samples');
  });

  it('show no sign', () => {
    expect(numberText(rational(-1500))).toBe('1500 before zero');
    expect(numberText(rational(-1, 1000))).toBe('0');
  });
});

describe('rates', () => {
  it.each([
    [FILM, '23.976 (24000/1001)'],
    [rational(25), '25'],
    [rational(48000), '48 kHz'],
    [rational(44100), '44.1 kHz'],
    [rational(48000000, 1001), '47.952 kHz (48000000/1001 samples per second)'],
  ])('%o is %s', (rate, text) => {
    expect(rateText(rate)).toBe(text);
  });
});
