import { describe, expect, it } from 'vitest';
import { floor, formatRational, rational, subtract } from '../../../server/src/core/time/rational.ts';
import {
  frameStampSeconds,
  frameToSampleStamp,
  sampleStampSeconds,
  sampleStampToFrame,
} from '../../../server/src/core/time/stamp.ts';
import { formatTimecode, labelToFrame, parseTimecode } from '../../../server/src/core/time/timecode.ts';
import { ratePair, sharedChecks } from './sharedChecks.ts';

const FILM_NTSC = rational(24000, 1001);
const NTSC = rational(30000, 1001);
const SOUND = rational(48000);

function frameOf(text: string, rate: ReturnType<typeof rational>, isDrop: boolean): number {
  const label = parseTimecode(text);
  if (label === null) throw new Error(`${text} is no timecode`);
  return labelToFrame(label, rate, isDrop).frame;
}

describe('a BWF time stamp against timecode', () => {
  // TimeReference counts samples since midnight (EBU Tech 3285, bext chunk); timecode seconds are frame number / exact rate.
  it.each([
    ['01:00:00:00', FILM_NTSC, false, 48000, '172972800'],
    ['01:00:00:00', rational(24), false, 48000, '172800000'],
    ['01:00:00:00', rational(25), false, 48000, '172800000'],
    ['01:00:00:00', rational(30), false, 48000, '172800000'],
    ['01:00:00:00', NTSC, false, 48000, '172972800'],
    ['01:00:00;00', NTSC, true, 48000, '863999136/5'],
    ['10:20:30:15', FILM_NTSC, false, 48000, '1788857070'],
    ['10:20:30;15', NTSC, true, 48000, '8935318392/5'],
    ['10:20:30:15', rational(25), false, 96000, '3574137600'],
    ['23:59:59:23', FILM_NTSC, false, 48000, '4151345198'],
  ])('%s at %o, drop-frame %s, is %i Hz sample %s', (text, rate, isDrop, sampleRate, samples) => {
    const stamp = frameToSampleStamp(frameOf(text, rate, isDrop), rate, rational(sampleRate));
    expect(formatRational(stamp)).toBe(samples);
    expect(formatTimecode(Number(floor(sampleStampToFrame(stamp, rational(sampleRate), rate))), rate, isDrop)).toBe(text);
  });

  it('read at 24 instead of 24000/1001, one hour comes out 3.6 s late, at 01:00:03:14', () => {
    const stamp = frameToSampleStamp(86_400, FILM_NTSC, SOUND);
    const wrong = sampleStampToFrame(stamp, SOUND, rational(24));
    expect(formatRational(wrong)).toBe('432432/5');
    expect(formatTimecode(86_486, rational(24), false)).toBe('01:00:03:14');
    expect(
      formatRational(subtract(frameStampSeconds(rational(86_400), FILM_NTSC), frameStampSeconds(rational(86_400), rational(24)))),
    ).toBe('18/5');
  });

  it('a late label at 24000/1001 lies past 24 hours of samples', () => {
    const day = 24 * 3600 * 48000;
    expect(Number(frameToSampleStamp(frameOf('23:59:59:23', FILM_NTSC, false), FILM_NTSC, SOUND).numerator)).toBeGreaterThan(day);
  });

  it('counts seconds exactly on both sides', () => {
    expect(formatRational(sampleStampSeconds(rational(172_972_800), SOUND))).toBe('18018/5');
    expect(formatRational(frameStampSeconds(rational(86_400), FILM_NTSC))).toBe('18018/5');
  });

  it('holds for every check value beside the repository', () => {
    for (const { id, input, expected } of sharedChecks('bwf', 'tc_to_time_reference')) {
      const rate = rational(...ratePair(String(input['rate'])));
      const frame = frameOf(String(input['tc']), rate, input['drop_frame'] === true);
      const stamp = frameToSampleStamp(frame, rate, rational(Number(input['sample_rate'])));
      expect(formatRational(stamp), id).toBe(expected['samples_exact']);
    }
    for (const { id, input, expected } of sharedChecks('bwf', 'stamp_convention_difference')) {
      const rate = rational(...ratePair(String(input['rate'])));
      const stamp = frameToSampleStamp(frameOf(String(input['tc']), rate, false), rate, rational(Number(input['sample_rate'])));
      expect(Number(stamp.numerator) / Number(stamp.denominator), id).toBe(expected['true_samples']);
    }
  });
});
