import { describe, expect, it } from 'vitest';
import { countToSeconds, type Rate } from '../../../server/src/core/time/rate.ts';
import { formatRational, multiply, rational } from '../../../server/src/core/time/rational.ts';
import {
  countLabel,
  formatLabel,
  formatTimecode,
  framesPerDay,
  frameToLabel,
  isSkippedLabel,
  labelCounting,
  labelToFrame,
  parseTimecode,
  type TimecodeLabel,
} from '../../../server/src/core/time/timecode.ts';
import { ratePair, sharedChecks } from './sharedChecks.ts';

const NTSC = rational(30000, 1001);
const TWICE_NTSC = rational(60000, 1001);
const FILM_NTSC = rational(24000, 1001);

/**
 * Label, rate, drop-frame, frame, exact seconds, exact samples at 48 kHz.
 *
 * Source of the frame numbers: the counting rule of SMPTE ST 12-1 (labels ;00 and ;01, at 59.94 ;00 to ;03, skipped at the
 * start of every minute but each tenth; 17,982 labels in ten minutes and 107,892 in an hour are quoted from it), worked out
 * with fractions. Seconds and samples follow from 30000/1001 exactly.
 */
const CONVERSIONS: readonly (readonly [string, Rate, boolean, number, string, string])[] = [
  ['00:00:59;29', NTSC, true, 1799, '1800799/30000', '14406392/5'],
  ['00:01:00;02', NTSC, true, 1800, '3003/50', '2882880'],
  ['00:02:00;02', NTSC, true, 3598, '1800799/15000', '28812784/5'],
  ['00:09:59;29', NTSC, true, 17981, '17998981/30000', '143991848/5'],
  ['00:10:00;00', NTSC, true, 17982, '2999997/5000', '143999856/5'],
  ['00:11:00;02', NTSC, true, 19782, '3300297/5000', '158414256/5'],
  ['00:30:00;00', NTSC, true, 53946, '8999991/5000', '431999568/5'],
  ['00:59:58;00', NTSC, true, 107832, '4497493/1250', '863518656/5'],
  ['00:59:59;29', NTSC, true, 107891, '107998891/30000', '863991128/5'],
  ['01:00:00;00', NTSC, true, 107892, '8999991/2500', '863999136/5'],
  ['01:23:45;06', NTSC, true, 150606, '25126101/5000', '1206052848/5'],
  ['09:16:06;22', NTSC, true, 1000000, '100100/3', '1601600000'],
  ['10:00:00;00', NTSC, true, 1078920, '8999991/250', '1727998272'],
  // 12:38:59;29 then 12:39:00;02 is a worked example of the rule in print.
  ['12:38:59;29', NTSC, true, 1364833, '1366197833/30000', '10929582664/5'],
  ['12:39:00;02', NTSC, true, 1364834, '683099417/15000', '10929590672/5'],
  ['23:59:59;29', NTSC, true, 2589407, '2591996407/30000', '20735971256/5'],
  ['00:00:59;59', TWICE_NTSC, true, 3599, '3602599/60000', '14410396/5'],
  ['00:01:00;04', TWICE_NTSC, true, 3600, '3003/50', '2882880'],
  ['00:10:00;00', TWICE_NTSC, true, 35964, '2999997/5000', '143999856/5'],
  ['01:00:00;00', TWICE_NTSC, true, 215784, '8999991/2500', '863999136/5'],
  ['23:59:59;59', TWICE_NTSC, true, 5178815, '1036798763/12000', '4147195052'],
  ['01:00:00:00', NTSC, false, 108000, '18018/5', '172972800'],
  ['10:00:00:00', NTSC, false, 1080000, '36036', '1729728000'],
  ['01:00:00:00', FILM_NTSC, false, 86400, '18018/5', '172972800'],
  ['01:23:45:06', FILM_NTSC, false, 120606, '20121101/4000', '241453212'],
  ['10:00:00:00', FILM_NTSC, false, 864000, '36036', '1729728000'],
  ['01:00:00:00', rational(24), false, 86400, '3600', '172800000'],
  ['03:21:22:15', rational(24), false, 289983, '96661/8', '579966000'],
  ['01:00:00:00', rational(25), false, 90000, '3600', '172800000'],
  ['12:34:56:12', rational(25), false, 1132412, '1132412/25', '2174231040'],
  ['01:00:00:00', rational(30), false, 108000, '3600', '172800000'],
  ['01:00:00:00', rational(50), false, 180000, '3600', '172800000'],
  ['01:00:00:00', TWICE_NTSC, false, 216000, '18018/5', '172972800'],
  ['01:00:00:00', rational(60), false, 216000, '3600', '172800000'],
];

function label(text: string): TimecodeLabel {
  const parsed = parseTimecode(text);
  if (parsed === null) throw new Error(`${text} is no timecode`);
  return parsed;
}

describe('labels to frames, seconds and samples', () => {
  it.each(CONVERSIONS)('%s at %o, drop-frame %s, is frame %i', (text, rate, isDrop, frame, seconds, samples) => {
    expect(labelToFrame(label(text), rate, isDrop)).toEqual({ ok: true, frame });
    expect(formatRational(countToSeconds(rational(frame), rate))).toBe(seconds);
    expect(formatRational(multiply(countToSeconds(rational(frame), rate), rational(48000)))).toBe(samples);
  });

  it.each(CONVERSIONS)('and back: %s', (text, rate, isDrop, frame) => {
    expect(formatTimecode(frame, rate, isDrop)).toBe(text);
  });
});

describe('labels that do not exist', () => {
  // SMPTE ST 12-1, drop-frame counting: ;00 and ;01 (;00 to ;03 at 59.94) of every minute but each tenth.
  it.each([
    ['00:01:00;00', NTSC, '00:01:00;02'],
    ['00:01:00;01', NTSC, '00:01:00;02'],
    ['23:59:00;01', NTSC, '23:59:00;02'],
    ['00:01:00;03', TWICE_NTSC, '00:01:00;04'],
  ])('%s is skipped; the next is %s', (text, rate, next) => {
    const result = labelToFrame(label(text), rate, true);
    expect(result.ok).toBe(false);
    if (result.ok || result.problem.kind !== 'skipped') throw new Error('expected a skipped label');
    expect(formatLabel(result.problem.next)).toBe(next);
  });

  it.each([
    ['00:01:00;02', NTSC],
    ['00:10:00;00', NTSC],
    ['00:10:00;01', NTSC],
    ['00:01:00;04', TWICE_NTSC],
    ['00:20:00;00', TWICE_NTSC],
  ])('%s exists', (text, rate) => {
    expect(labelToFrame(label(text), rate, true).ok).toBe(true);
  });

  it('a skipped label is an ordinary one where counting is non-drop', () => {
    expect(labelToFrame(label('00:01:00:00'), NTSC, false)).toEqual({ ok: true, frame: 1800 });
  });

  it('a frame field must be below the nominal rate', () => {
    expect(labelToFrame(label('01:00:00:24'), rational(24), false)).toMatchObject({
      ok: false,
      problem: { kind: 'frame-field', largest: 23 },
    });
    expect(labelToFrame(label('01:00:00:23'), FILM_NTSC, false).ok).toBe(true);
  });

  it.each([
    ['24:00:00:00', 'hours'],
    ['00:60:00:00', 'minutes'],
    ['00:00:60:00', 'seconds'],
  ] as const)('%s has %s past the clock', (text, field) => {
    expect(labelToFrame(label(text), rational(25), false)).toMatchObject({ ok: false, problem: { kind: 'clock-field', field } });
  });

  // SMPTE ST 12-1 defines drop-frame for 29.97 and 59.94 only; 23.976 has none.
  it.each([FILM_NTSC, rational(24), rational(25), rational(30), rational(50), rational(48000, 1001)])(
    'drop-frame counting does not exist at %o',
    (rate) => {
      expect(labelToFrame(label('01:00:00;00'), rate, true)).toMatchObject({
        ok: false,
        problem: { kind: 'no-drop-frame-at-rate' },
      });
    },
  );
});

describe('a day of labels', () => {
  // SMPTE ST 12-1: 2,589,408 at 29.97 drop-frame; non-drop is 24 x 3600 x 30 labels, not the frames of a real day.
  it.each([
    [NTSC, true, 2_589_408],
    [NTSC, false, 2_592_000],
    [TWICE_NTSC, true, 5_178_816],
    [rational(25), false, 2_160_000],
    [FILM_NTSC, false, 2_073_600],
  ])('at %o, drop-frame %s, has %i labels', (rate, isDrop, frames) => {
    expect(framesPerDay(rate, isDrop)).toBe(frames);
    expect(formatTimecode(frames, rate, isDrop)).toBe(formatTimecode(0, rate, isDrop));
    expect(formatTimecode(-1, rate, isDrop)).toBe(formatTimecode(frames - 1, rate, isDrop));
  });

  // Label 107892 is 01:00:00;00 and 00:59:56:12: 108 labels an hour (SMPTE ST 12-1, introduction to drop-frame).
  it('names one frame differently in the two modes', () => {
    expect(formatTimecode(107_892, NTSC, true)).toBe('01:00:00;00');
    expect(formatTimecode(107_892, NTSC, false)).toBe('00:59:56:12');
  });

  it('counts 4 frames from 00:00:59;28 to 00:01:00;04, where subtracting digits gives 6', () => {
    const from = labelToFrame(label('00:00:59;28'), NTSC, true).frame;
    const to = labelToFrame(label('00:01:00;04'), NTSC, true).frame;
    expect(to - from).toBe(4);
  });

  it('finds 58 frames, not 60, from 10:00:58;02 to 10:01:00;02', () => {
    expect(formatTimecode(labelToFrame(label('10:01:00;02'), NTSC, true).frame - 60, NTSC, true)).toBe('10:00:58;00');
  });

  // 01:04:59;29 then 01:05:00;02: a worked example of the rule in print.
  it.each([
    ['01:04:59;29', '01:05:00;02'],
    ['12:38:59;29', '12:39:00;02'],
    ['00:09:59;29', '00:10:00;00'],
  ])('goes on from %s with %s', (text, next) => {
    expect(formatTimecode(labelToFrame(label(text), NTSC, true).frame + 1, NTSC, true)).toBe(next);
  });
});

describe('text forms', () => {
  // Custom, not part of ST 12-1: `;` or `,` before the frames marks drop-frame; `:` and `.` do not decide.
  it.each([
    ['01:02:03:04', false],
    ['01:02:03;04', true],
    ['01;02;03;04', true],
    ['01:02:03,04', true],
    ['01:02:03.04', false],
    [' 1:02:03:04 ', false],
  ])('%s is read, drop-frame mark %s', (text, isMarkedDrop) => {
    expect(parseTimecode(text)).toEqual({ hours: 1, minutes: 2, seconds: 3, frames: 4, isMarkedDrop });
  });

  it('three digits of frames are read: high rates need them', () => {
    expect(parseTimecode('00:00:00:119')?.frames).toBe(119);
  });

  it.each(['', '01:02:03', '1:2:3:4', '01:02:03:4', '01:02:03:0a', '-01:00:00:00', '001:00:00:00', '01:00:00:00:00'])(
    '%j is no timecode',
    (text) => {
      expect(parseTimecode(text)).toBeNull();
    },
  );
});

describe('counting many labels', () => {
  it('agrees with the checked conversion', () => {
    const counting = labelCounting(NTSC, true);
    expect(countLabel(counting, 60, 2)).toBe(1800);
    expect(isSkippedLabel(counting, 60, 1)).toBe(true);
    expect(isSkippedLabel(counting, 600, 1)).toBe(false);
    expect(countLabel(labelCounting(rational(24), true), 60, 2)).toBe(1442);
  });
});

describe('check values beside the repository', () => {
  it('holds for every label-to-frame value', () => {
    for (const { id, input, expected } of sharedChecks('timecode', 'tc_to_frame')) {
      const rate = rational(...ratePair(String(input['rate'])));
      const result = labelToFrame(label(String(input['tc'])), rate, input['drop_frame'] === true);
      expect(result, id).toEqual({ ok: true, frame: expected['frame'] });
      const seconds = countToSeconds(rational(result.frame), rate);
      expect(formatRational(seconds), id).toBe(expected['seconds']);
      expect(formatRational(multiply(seconds, rational(48000))), id).toBe(expected['samples_48k']);
    }
  });

  it('holds for every frame-to-label value', () => {
    for (const { id, input, expected } of sharedChecks('timecode', 'frame_to_tc')) {
      const rate = rational(...ratePair(String(input['rate'])));
      expect(formatTimecode(Number(input['frame']), rate, input['drop_frame'] === true), id).toBe(expected['tc']);
    }
  });

  it('holds for labels that exist and the next ones', () => {
    for (const { id, input, expected } of sharedChecks('timecode', 'label_exists')) {
      const rate = rational(...ratePair(String(input['rate'])));
      expect(labelToFrame(label(String(input['tc'])), rate, input['drop_frame'] === true).ok, id).toBe(expected['exists']);
    }
    for (const { id, input, expected } of sharedChecks('timecode', 'next_label')) {
      const rate = rational(...ratePair(String(input['rate'])));
      const frame = labelToFrame(label(String(input['tc'])), rate, true).frame;
      expect(formatLabel(frameToLabel(frame + 1, rate, true)), id).toBe(expected['tc']);
    }
    for (const { id, input, expected } of sharedChecks('timecode', 'day_frames')) {
      expect(framesPerDay(rational(...ratePair(String(input['rate']))), input['drop_frame'] === true), id).toBe(
        expected['frames'],
      );
    }
  });

  it('holds for how far drop-frame labels stray from the clock', () => {
    for (const { id, input, expected, tolerance } of sharedChecks('timecode', 'label_minus_real_extremes_in_10min')) {
      const rate = rational(...ratePair(String(input['rate'])));
      let most = { ms: Number.NEGATIVE_INFINITY, at: '' };
      let least = { ms: Number.POSITIVE_INFINITY, at: '' };
      for (let frame = 0; frame < 17_982; frame += 1) {
        const { minutes, seconds, frames } = frameToLabel(frame, rate, true);
        // The label taken as a clock (frames as thirtieths) less the real time of the frame.
        const ms = (minutes * 60 + seconds + frames / 30 - (frame * 1001) / 30000) * 1000;
        const at = formatTimecode(frame, rate, true);
        if (ms > most.ms) most = { ms, at };
        if (ms < least.ms) least = { ms, at };
      }
      expect(Math.abs(most.ms - Number(expected['max_ms'])), id).toBeLessThanOrEqual(Number(tolerance));
      expect(Math.abs(least.ms - Number(expected['min_ms'])), id).toBeLessThanOrEqual(Number(tolerance));
      expect([most.at, least.at], id).toEqual([expected['max_at'], expected['min_at']]);
    }
  });
});
