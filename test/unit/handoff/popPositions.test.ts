/**
 * Where sync pops belong, against worked values: common practice for the rule, SMPTE ST 12-1 for the counting of labels.
 */

import { describe, expect, test } from 'vitest';
import { handleLength } from '../../../server/src/core/handoff/handleLength.ts';
import { feetAndFrames, popPositions, popSamples } from '../../../server/src/core/handoff/popPositions.ts';
import { formatRational, multiply, parseRational, rational, toNumber } from '../../../server/src/core/time/rational.ts';
import { formatTimecode, labelToFrame, parseTimecode, type TimecodeLabel } from '../../../server/src/core/time/timecode.ts';
import { sharedChecks } from '../time/sharedChecks.ts';

const RATE_23976 = rational(24000, 1001);
const RATE_2997 = rational(30000, 1001);
const RATE_5994 = rational(60000, 1001);

function frameOf(label: string, rate: ReturnType<typeof rational>, isDropFrame: boolean): number {
  const counted = labelToFrame(parseTimecode(label) as TimecodeLabel, rate, isDropFrame);
  if (!counted.ok) throw new Error(`there is no ${label}`);
  return counted.frame;
}

describe('the head pop: one frame of tone, two seconds of timecode before the first frame (common practice)', () => {
  test.each([
    // first frame, rate, drop-frame, pop, frames before, seconds before
    ['01:00:00:00', rational(24), false, '00:59:58:00', 48, '2'],
    ['01:00:00:00', RATE_23976, false, '00:59:58:00', 48, '1001/500'],
    ['01:00:00;00', RATE_2997, true, '00:59:58;00', 60, '1001/500'],
    ['10:00:00:00', rational(25), false, '09:59:58:00', 50, '2'],
    // Just after a dropped minute: frames are counted, never digits (which would give 10:00:58;02, 58 frames).
    ['10:01:00;02', RATE_2997, true, '10:00:58;00', 60, '1001/500'],
    // Inside the minute after it, where digits happen to be right again.
    ['10:01:02;02', RATE_2997, true, '10:01:00;02', 60, '1001/500'],
    // Minutes 00, 10, 20 ... drop nothing.
    ['10:10:00;00', RATE_2997, true, '10:09:58;00', 60, '1001/500'],
    // 59.94 drops four labels: 01:01:00;04 follows 01:00:59;59.
    ['01:01:00;04', RATE_5994, true, '01:00:58;00', 120, '1001/500'],
    ['01:00:00:00', rational(60), false, '00:59:58:00', 120, '2'],
    // A programme that starts at midnight has its pop on the day before.
    ['00:00:00:00', rational(25), false, '23:59:58:00', 50, '2'],
  ])('%s: first frame', (first, rate, isDropFrame, pop, frames, seconds) => {
    const firstFrame = frameOf(first, rate, isDropFrame);
    const found = popPositions(firstFrame, firstFrame + 1000, rate);
    expect(formatTimecode(found.head, rate, isDropFrame)).toBe(pop);
    expect(found.distanceFrames).toBe(frames);
    expect(formatRational(found.distanceSeconds)).toBe(seconds);
  });
});

describe('the tail pop: two seconds after the start of the last frame (common practice; a worked example of editorial references)', () => {
  test.each([
    ['03:21:22:15', rational(24), false, '03:21:24:15'],
    ['01:00:58;00', RATE_2997, true, '01:01:00;02'],
    ['01:00:59;29', RATE_2997, true, '01:01:02;01'],
    ['01:09:58;10', RATE_2997, true, '01:10:00;10'],
    ['23:59:58:10', rational(25), false, '00:00:00:10'],
  ])('%s: last frame', (last, rate, isDropFrame, pop) => {
    const lastFrame = frameOf(last, rate, isDropFrame);
    expect(formatTimecode(popPositions(0, lastFrame, rate).tail, rate, isDropFrame)).toBe(pop);
  });

  test('pop and pop lie the programme and four seconds apart, less one frame', () => {
    const { head, tail } = popPositions(86400, 86400 + 24 * 60 - 1, RATE_23976);
    expect(tail - head).toBe(24 * 60 + 4 * 24 - 1);
  });
});

describe('one frame of tone in samples (computed from the rates)', () => {
  test.each([
    [rational(24), '2000'],
    [RATE_23976, '2002'],
    [RATE_2997, '8008/5'],
    [rational(25), '1920'],
  ])('%j', (rate, samples) => expect(formatRational(popSamples(rate, rational(48000)))).toBe(samples));
});

test('a reel counted in feet: leader from the hour, pop at 9+00, first frame at 12+00 (common practice, 16 frames in a foot)', () => {
  const hour = frameOf('01:00:00:00', rational(24), false);
  const first = frameOf('01:00:08:00', rational(24), false);
  const { head } = popPositions(first, first + 100, rational(24));
  expect(formatTimecode(head, rational(24), false)).toBe('01:00:06:00');
  expect([feetAndFrames(head - hour), feetAndFrames(first - hour), feetAndFrames(193)]).toEqual(['9+00', '12+00', '12+01']);
});

describe('handles in seconds are seconds of timecode (common practice, facility delivery sheets)', () => {
  test.each([
    ['s', 5, rational(25), 125],
    ['s', 5, RATE_23976, 120],
    ['s', 5, RATE_2997, 150],
    ['ms', 1500, rational(25), 38],
    ['f', 12, rational(25), 12],
    ['smp', 48001, rational(25), 26],
  ] as const)('%s %d at %j', (unit, value, rate, frames) => {
    const length = handleLength({ unit, value: rational(value) }, rate);
    expect(length.frames).toBe(frames);
    expect(formatRational(multiply(length.seconds, rate))).toBe(String(frames));
  });
});

describe('the check values kept beside the repository', () => {
  test('two-pops', () => {
    for (const { id, input, expected } of sharedChecks('handoff', 'two_pop')) {
      const rate = parseRational(String(input['rate'])) as ReturnType<typeof rational>;
      const isDropFrame = input['drop_frame'] === true;
      const firstFrame = frameOf(String(input['ffoa']), rate, isDropFrame);
      const found = popPositions(firstFrame, firstFrame, rate);
      expect(formatTimecode(found.head, rate, isDropFrame), id).toBe(expected['pop_tc']);
      if (expected['frames_before'] !== undefined) expect(found.distanceFrames, id).toBe(expected['frames_before']);
      if (expected['pop_samples_48k'] !== undefined) {
        expect(formatRational(popSamples(rate, rational(48000))), id).toBe(expected['pop_samples_48k']);
      }
    }
  });

  test('tail pops, film leaders, handles, cycles of one frame of tone', () => {
    for (const { id, input, expected } of sharedChecks('handoff', 'tail_pop')) {
      const rate = parseRational(String(input['rate'])) as ReturnType<typeof rational>;
      const { tail, distanceFrames } = popPositions(0, frameOf(String(input['lfoa']), rate, false), rate);
      expect([formatTimecode(tail, rate, false), distanceFrames], id).toEqual([expected['pop_tc'], expected['frames_after']]);
    }
    for (const { id, input, expected } of sharedChecks('handoff', 'film_leader')) {
      const rate = rational(Number(input['fps']));
      const start = frameOf(String(input['reel_start']), rate, false);
      const first = frameOf(String(expected['ffoa_tc']), rate, false);
      const { head } = popPositions(first, first, rate);
      expect(formatTimecode(head, rate, false), id).toBe(expected['head_pop_tc']);
      expect([feetAndFrames(head - start), feetAndFrames(first - start)], id).toEqual([
        expected['head_pop_feet'],
        expected['ffoa_feet'],
      ]);
    }
    for (const { id, input, expected } of sharedChecks('handoff', 'handles')) {
      const rate = parseRational(String(input['rate'])) as ReturnType<typeof rational>;
      expect(handleLength({ unit: 's', value: rational(Number(input['seconds_label'])) }, rate).frames, id).toBe(
        expected['frames'],
      );
    }
    for (const { id, input, expected, tolerance } of sharedChecks('handoff', 'pop_cycles_1khz')) {
      const rate = parseRational(String(input['rate'])) as ReturnType<typeof rational>;
      const cycles = toNumber(popSamples(rate, rational(48000))) / 48;
      expect(Math.abs(cycles - Number(expected['cycles'])), id).toBeLessThanOrEqual(tolerance ?? 0);
    }
  });
});
