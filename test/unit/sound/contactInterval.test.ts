/**
 * When the hands met, by what was seen: the intervals are computed from the shutter (exposure = angle / 360 / rate, trade formula), and
 * placing sound late rather than early is common practice (consistent with ITU-R BT.1359-1 and BS.1204).
 */

import { describe, expect, test } from 'vitest';
import {
  add,
  compare,
  divide,
  formatRational,
  multiply,
  rational,
  subtract,
  toNumber,
  ZERO,
} from '../../../server/src/core/time/rational.ts';
import { contactInterval, FRAME_READINGS, isShutterAngle, placeClap } from '../../../server/src/sound/clapLog/contactInterval.ts';

const FPS_24 = rational(24);
const HALF_TURN = rational(180);

describe('at 24 frames a second with a 180 degree shutter', () => {
  test.each([
    ['first-closed', -41.6667, 0],
    ['first-showing-closed', -20.8333, 20.8333],
    ['blur', 0, 20.8333],
    ['sharp-closed', -20.8333, 0],
    ['contact', 0, 41.6667],
  ] as const)('%s means from %d to %d ms after the start of the frame', (reading, from, to) => {
    const interval = contactInterval(reading, FPS_24, HALF_TURN);
    expect(toNumber(interval.earliest) * 1000).toBeCloseTo(from, 4);
    expect(toNumber(interval.latest) * 1000).toBeCloseTo(to, 4);
  });

  test('a blur and a sharp pair halve the uncertainty', () => {
    for (const reading of ['blur', 'sharp-closed'] as const) {
      const { earliest, latest } = contactInterval(reading, FPS_24, HALF_TURN);
      expect(formatRational(subtract(latest, earliest))).toBe('1/48');
    }
  });
});

test('where the shutter is unknown the interval holds that of every shutter', () => {
  for (const reading of FRAME_READINGS) {
    const wide = contactInterval(reading, FPS_24, null);
    for (const degrees of [1, 45, 90, 172, 180, 270, 360]) {
      const narrow = contactInterval(reading, FPS_24, rational(degrees));
      expect(compare(wide.earliest, narrow.earliest)).toBeLessThanOrEqual(0);
      expect(compare(wide.latest, narrow.latest)).toBeGreaterThanOrEqual(0);
    }
  }
});

test('a shutter angle lies above 0 and reaches 360 degrees', () => {
  expect([rational(0), rational(-90), rational(361)].some(isShutterAngle)).toBe(false);
  expect([rational(1, 10), rational(864, 5), rational(360)].every(isShutterAngle)).toBe(true);
});

describe('placing the sound', () => {
  const rate = rational(24000, 1001);
  const sampleRate = rational(48000);

  // The report's map: the start of `frame` is the instant of `sample`. A clap at picture time c lies at sample `edge` in truth.
  test.each(FRAME_READINGS)('%s: it lags by no more than the interval, and never leads', (reading) => {
    const interval = contactInterval(reading, rate, HALF_TURN);
    const frame = rational(132);
    const edge = rational(1_234_567);
    const placement = placeClap(frame, interval, rate, edge, ZERO);
    for (const share of [0, 1, 2, 3, 4]) {
      const within = add(interval.earliest, multiply(subtract(interval.latest, interval.earliest), rational(share, 4)));
      const contact = add(divide(frame, rate), within);
      // s(p) by the report at the instant of contact, against where the clap truly is.
      const mapped = add(divide(placement.sample, sampleRate), subtract(contact, divide(placement.frame, rate)));
      const lag = subtract(divide(edge, sampleRate), mapped);
      expect(compare(lag, ZERO)).toBeGreaterThanOrEqual(0);
      expect(compare(lag, placement.uncertaintyLate)).toBeLessThanOrEqual(0);
    }
    expect(formatRational(placement.uncertaintyEarly)).toBe('0');
  });

  test('the plain reading puts the edge on the end of the frame, good to one frame', () => {
    const placement = placeClap(
      rational(45),
      contactInterval('contact', rational(25), null),
      rational(25),
      rational(127_785),
      ZERO,
    );
    expect(formatRational(placement.frame)).toBe('46');
    expect(formatRational(placement.sample)).toBe('127785');
    expect(formatRational(placement.uncertaintyLate)).toBe('1/25');
  });

  test('the edge adds its own uncertainty on both sides', () => {
    const placement = placeClap(
      rational(0),
      contactInterval('blur', FPS_24, HALF_TURN),
      FPS_24,
      rational(100),
      rational(1, 4800),
    );
    expect(formatRational(placement.uncertaintyEarly)).toBe('1/4800');
    expect(formatRational(placement.uncertaintyLate)).toBe(formatRational(add(rational(1, 48), rational(1, 4800))));
  });
});
