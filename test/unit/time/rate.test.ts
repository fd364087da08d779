import { describe, expect, it } from 'vitest';
import {
  countToSeconds,
  droppedLabelsPerMinute,
  isSampleRate,
  isTimecodeRate,
  nominalFramesPerSecond,
  rateLabel,
  secondsToCount,
  snapRate,
  TIMECODE_RATES,
} from '../../../server/src/core/time/rate.ts';
import {
  absolute,
  compare,
  formatRational,
  multiply,
  parseDecimal,
  type Rational,
  rational,
  subtract,
} from '../../../server/src/core/time/rational.ts';
import { ratePair, sharedChecks } from './sharedChecks.ts';

function snapped(text: string): string {
  const written = parseDecimal(text);
  if (written === null) throw new Error(`${text} is no decimal`);
  const result = snapRate(written);
  return result === null ? 'refused' : `${formatRational(result.rate)}${result.isUsual ? '' : ' unusual'}`;
}

describe('a written rate stands for a ratio', () => {
  // The spellings met in public OpenTimelineIO files and threads (its issues 322, 830 and 1822 among them), the doubles
  // nearest to N x 1000/1001, and the 32-bit ones.
  it.each([
    ['23.976', '24000/1001'],
    ['23.98', '24000/1001'],
    ['23.97', '24000/1001'],
    ['23.976023976023979', '24000/1001'],
    ['23.97602397602398', '24000/1001'],
    ['23.976024627685547', '24000/1001'],
    ['29.97', '30000/1001'],
    ['29.97002997', '30000/1001'],
    ['29.97002997002997', '30000/1001'],
    ['29.970029830932617', '30000/1001'],
    ['47.952', '48000/1001'],
    ['59.94', '60000/1001'],
    ['119.88', '120000/1001'],
    ['24', '24'],
    ['24.0', '24'],
    ['25', '25'],
    ['30', '30'],
    ['50', '50'],
    ['60', '60'],
    ['600', '600'],
    ['1', '1'],
    ['48000', '48000'],
    ['44100', '44100'],
    ['24.0004', '24'],
  ])('%s is %s', (text, ratio) => {
    expect(snapped(text)).toBe(ratio);
  });

  it('keeps the pulled sample rates apart from the usual ones', () => {
    // 48000 x 1000/1001 and 48000 x 1001/1000 (Rumsey and Watkinson, Digital Interface Handbook, 6.6.1, for the factor).
    expect(snapped('47952.047952047952')).toBe('48000000/1001 unusual');
    expect(snapped('48048')).toBe('48048');
  });

  it('says when a rate is none of the usual ones', () => {
    expect(snapped('12.5')).toBe('25/2 unusual');
    expect(snapped('23.5')).toBe('47/2 unusual');
  });

  it.each(['0', '-24', '0.0'])('%s is no rate', (text) => {
    expect(snapped(text)).toBe('refused');
  });

  it('never answers zero, however small the rate', () => {
    expect(snapped('0.0000001')).toBe('1/1001 unusual');
  });

  it('cannot mistake one usual rate for another', () => {
    for (const left of TIMECODE_RATES) {
      expect(formatRational(snapRate(left)?.rate ?? rational(0))).toBe(formatRational(left));
      for (const right of TIMECODE_RATES) {
        if (left === right) continue;
        expect(compare(absolute(subtract(left, right)), rational(13, 1000))).toBe(1);
      }
    }
  });
});

describe('labels per second', () => {
  it.each([
    [rational(24000, 1001), 24, 0],
    [rational(24), 24, 0],
    [rational(25), 25, 0],
    [rational(30000, 1001), 30, 2],
    [rational(30), 30, 0],
    [rational(60000, 1001), 60, 4],
    [rational(60), 60, 0],
    [rational(25, 2), 13, 0],
    [rational(60000n, 1001n), 60, 4],
    [rational(2n ** 70n, 2n ** 69n), 2, 0],
  ])('at %o: %i, of which %i are skipped a minute', (rate, nominal, dropped) => {
    expect(nominalFramesPerSecond(rate)).toBe(nominal);
    expect(droppedLabelsPerMinute(rate)).toBe(dropped);
  });

  // SMPTE ST 12-1:2008, abstract: 60, 59.94, 50, 30, 29.97, 25, 24, 23.98; 48 and 47.95 came with its later parts (from memory).
  it('timecode exists at ten rates', () => {
    expect(TIMECODE_RATES.map(formatRational)).toEqual([
      '24000/1001',
      '24',
      '25',
      '30000/1001',
      '30',
      '48000/1001',
      '48',
      '50',
      '60000/1001',
      '60',
    ]);
    expect(isTimecodeRate(rational(48000, 2002))).toBe(true);
    expect(isTimecodeRate(rational(12))).toBe(false);
  });

  it('names rates as the trade does', () => {
    expect(
      [rational(24000, 1001), rational(60000, 2002), rational(25), rational(120000, 1001), rational(25, 2)].map(rateLabel),
    ).toEqual(['23.976', '29.97', '25', '119.88', '25/2']);
  });

  it('tells samples from frames', () => {
    expect([rational(8000), rational(48000000, 1001), rational(120)].map(isSampleRate)).toEqual([true, true, false]);
  });
});

describe('samples in a frame', () => {
  // 1920 at 48 kHz and 25: Rumsey and Watkinson, Digital Interface Handbook, 3rd ed., 6.6.1; 8008 in five frames: SMPTE 272M;
  // the others are the same division.
  it.each([
    [48000, rational(24000, 1001), '2002'],
    [48000, rational(24), '2000'],
    [48000, rational(25), '1920'],
    [48000, rational(30000, 1001), '8008/5'],
    [48000, rational(30), '1600'],
    [48000, rational(50), '960'],
    [48000, rational(60000, 1001), '4004/5'],
    [48000, rational(60), '800'],
    [44100, rational(24000, 1001), '147147/80'],
    [44100, rational(24), '3675/2'],
    [44100, rational(25), '1764'],
    [44100, rational(30000, 1001), '147147/100'],
    [44100, rational(30), '1470'],
    [44100, rational(60000, 1001), '147147/200'],
  ])('%i Hz at %o: %s', (sampleRate, rate, samples) => {
    expect(formatRational(samplesPerFrame(sampleRate, rate))).toBe(samples);
  });

  // SMPTE ST 386 (D-10) gives the order 1602, 1601, 1602, 1601, 1602 at 29.97: each frame ends on the nearest whole sample.
  it('five frames at 29.97 hold 8008 samples in the published order', () => {
    const frame = samplesPerFrame(48000, rational(30000, 1001));
    const ends = [0, 1, 2, 3, 4, 5].map((count) => Math.round(Number(multiply(frame, rational(count)).numerator) / 5));
    expect(ends.slice(1).map((end, index) => end - (ends[index] as number))).toEqual([1602, 1601, 1602, 1601, 1602]);
    expect(formatRational(multiply(frame, rational(5)))).toBe('8008');
  });

  it('counts there and back', () => {
    const seconds = countToSeconds(rational(4316), rational(24000, 1001));
    expect(formatRational(seconds)).toBe('1080079/6000');
    expect(formatRational(secondsToCount(seconds, rational(24000, 1001)))).toBe('4316');
  });

  it('holds for every check value beside the repository', () => {
    for (const { id, input, expected } of sharedChecks('audio', 'samples_per_frame')) {
      const samples = samplesPerFrame(Number(input['sample_rate']), rational(...ratePair(String(input['rate']))));
      expect(formatRational(samples), id).toBe(expected['samples']);
      expect(Number(rational(samples.numerator, samples.denominator).denominator), id).toBe(
        Number(expected['integer_every_frames']),
      );
    }
    for (const { id, input, expected } of sharedChecks('audio', 'five_frame_total')) {
      const samples = samplesPerFrame(Number(input['sample_rate']), rational(...ratePair(String(input['rate']))));
      expect(formatRational(multiply(samples, rational(5))), id).toBe(String(expected['samples']));
    }
  });

  it('a decimal rate taken literally strays as published', () => {
    for (const { id, input, expected, tolerance } of sharedChecks('timecode', 'decimal_rate_error')) {
      const exact = rational(...ratePair(String(input['exact'])));
      const literal = parseDecimal(String(input['decimal'])) ?? rational(0);
      const ppm = multiply(
        subtract(multiply(literal, { numerator: exact.denominator, denominator: exact.numerator }), rational(1)),
        rational(10 ** 6),
      );
      expect(Math.abs(Number(ppm.numerator) / Number(ppm.denominator) - Number(expected['ppm'])), id).toBeLessThanOrEqual(
        Number(tolerance),
      );
    }
  });
});

function samplesPerFrame(sampleRate: number, rate: Rational): Rational {
  const samples = secondsToCount(countToSeconds(rational(1), rate), rational(sampleRate));
  const text = formatRational(samples);
  return rational(...ratePair(text));
}
