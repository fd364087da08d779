import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { textOf } from '../../../server/src/core/text/span.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { frameToSampleStamp } from '../../../server/src/core/time/stamp.ts';
import { readSampleWith, SAMPLE_REPORT, sampleWith } from './sampleReport.ts';

const report = readReport('day1.alignment.json', SAMPLE_REPORT);

describe('a good report', () => {
  it('has no problems', () => {
    expect(report.problems).toEqual([]);
  });

  it('gives its picture with exact numbers', () => {
    const [picture] = report.pictures;
    expect(picture?.key).toBe('cam-a-07');
    expect(picture?.names.map((name) => name.text)).toEqual(['CAM_A_0007.mov']);
    expect(picture && formatRational(picture.rate)).toBe('24000/1001');
    // (14 x 3600 + 3 x 60 + 20) labelled seconds of 24 frames (SMPTE ST 12-1, counting without drop-frame).
    expect(picture?.startFrame).toEqual({ numerator: 50600 * 24, denominator: 1 });
    expect(picture?.frameCount).toEqual({ numerator: 4316, denominator: 1 });
    expect(picture?.isDropFrame).toBe(false);
  });

  it('gives its sound with exact numbers', () => {
    const [sound] = report.sounds;
    expect(sound && formatRational(sound.sampleRate)).toBe('48000');
    expect(sound?.startSample).toEqual({ numerator: 2430602400, denominator: 1 });
    expect(sound?.sampleCount).toEqual({ numerator: 9600000, denominator: 1 });
    expect(sound?.claps.map(formatRational)).toEqual(['1234567', '1675000']);
  });

  it('takes decimals as exactly the decimal written', () => {
    const [pair] = report.pairs;
    expect(pair && formatRational(pair.sample)).toBe('4938269/4');
    expect(pair && formatRational(pair.uncertaintyEarly)).toBe('209/10000');
    const fine = readSampleWith('"frame": 132, "sample": 1234567.25', '"frame": 132.1, "sample": 1234567.000000000001').pairs[0];
    expect(fine && formatRational(fine.frame)).toBe('1321/10');
    expect(fine && formatRational(fine.sample)).toBe('1234567000000000001/1000000000000');
  });

  it('keeps the characters of everything a finding may point at', () => {
    const [picture] = report.pictures;
    const [sound] = report.sounds;
    const [pair] = report.pairs;
    const at = (place: { start: number; end: number } | null | undefined): string => (place ? textOf(SAMPLE_REPORT, place) : '');
    expect(at(picture?.keySpan)).toBe('"cam-a-07"');
    expect(at(picture?.rateSpan)).toBe('"24000/1001"');
    expect(at(picture?.startSpan)).toBe('"14:03:20:00"');
    expect(at(picture?.names[0]?.span)).toBe('"CAM_A_0007.mov"');
    expect(at(picture?.span)).toMatch(/^"cam-a-07": \{.*4316 \}$/);
    expect(at(sound?.sampleRateSpan)).toBe('48000');
    expect(at(pair?.pictureSpan)).toBe('"cam-a-07"');
    expect(at(pair?.soundSpan)).toBe('"deck-12"');
    expect(at(pair?.atSpan)).toBe('{ "frame": 132, "sample": 1234567.25 }');
  });

  it('asks for nothing but rates, pairs and their instants', () => {
    const text =
      '{"alignment":1,"pictures":{"a":{"rate":25}},"sounds":{"b":{"sampleRate":44100}},"pairs":[{"picture":"a","sound":"b","at":{"frame":0,"sample":0}}]}';
    const least = readReport('least.alignment.json', text);
    expect(least.problems).toEqual([]);
    expect(least.pairs).toHaveLength(1);
    expect(least.pictures[0]).toMatchObject({ startFrame: null, frameCount: null, names: [] });
    expect(least.pairs[0]).toMatchObject({ by: null, clap: null, note: '' });
  });

  it('ignores members it does not know', () => {
    const own = readSampleWith('"alignment": 1,', '"alignment": 1, "shoot": { "day": 1 }, "$schema": "urn:x",');
    expect(own.problems).toEqual([]);
    expect(own.pairs).toHaveLength(1);
  });
});

describe('rates', () => {
  // The spellings and what they stand for: formats of public timelines, see the rule in time/rate.ts.
  it.each([
    ['"24000/1001"', '24000/1001'],
    ['23.976', '24000/1001'],
    ['23.98', '24000/1001'],
    ['"23.976"', '24000/1001'],
    ['29.97', '30000/1001'],
    ['24', '24'],
    ['24.0', '24'],
    ['"25"', '25'],
    ['"25/1"', '25'],
    ['59.94', '60000/1001'],
  ])('%s is %s', (written, rate) => {
    const picture = readSampleWith('"24000/1001", "start": "14:03:20:00"', written).pictures[0];
    expect(picture && formatRational(picture.rate)).toBe(rate);
  });

  it('reads a pulled sample rate exactly', () => {
    const sound = readSampleWith('"sampleRate": 48000', '"sampleRate": "48000000/1001"').sounds[0];
    expect(sound && formatRational(sound.sampleRate)).toBe('48000000/1001');
  });
});

describe('time stamps', () => {
  it('meet timecode through real seconds: 01:00:00:00 at 24000/1001 is 172,972,800 samples', () => {
    // Computed from the definitions of SMPTE ST 12-1 and EBU Tech 3285 TimeReference; the label's seconds times 48000 would
    // be 172,800,000, which is 3.6 s away.
    const picture = readSampleWith('14:03:20:00', '01:00:00:00').pictures[0];
    expect(picture?.startFrame).toEqual({ numerator: 86400, denominator: 1 });
    expect(picture && formatRational(frameToSampleStamp(86400, picture.rate, { numerator: 48000, denominator: 1 }))).toBe(
      '172972800',
    );
  });

  it('accept samples past a real day: 23:59:59:23 at 24000/1001 is 4,151,345,198', () => {
    // Labels at 24000/1001 run 0.1 % slow, so a late-evening stamp lies past 24 x 3600 x 48000 (computed).
    const late = readReport('late.alignment.json', sampleWith('2430602400', '4151345198'));
    expect(late.problems).toEqual([]);
    expect(late.sounds[0]?.startSample).toEqual({ numerator: 4151345198, denominator: 1 });
  });

  it('count drop-frame when the separator or the member says so', () => {
    // 01:00:00;00 is frame 107,892 in drop-frame, 108,000 without (SMPTE ST 12-1, drop-frame counting).
    const rate = '"rate": "30000/1001", "start": "01:00:00';
    const old = '"rate": "24000/1001", "start": "14:03:20';
    expect(readSampleWith(`${old}:00"`, `${rate};00"`).pictures[0]).toMatchObject({
      isDropFrame: true,
      startFrame: { numerator: 107892 },
    });
    expect(readSampleWith(`${old}:00"`, `${rate}:00", "dropFrame": true`).pictures[0]).toMatchObject({
      isDropFrame: true,
      startFrame: { numerator: 107892 },
    });
    expect(readSampleWith(`${old}:00"`, `${rate}:00"`).pictures[0]).toMatchObject({
      isDropFrame: false,
      startFrame: { numerator: 108000 },
    });
  });
});

describe('a broken report', () => {
  it('never throws and never points outside, cut at every fiftieth', () => {
    for (let part = 0; part <= 50; part += 1) {
      const text = SAMPLE_REPORT.slice(0, Math.floor((SAMPLE_REPORT.length * part) / 50));
      const cut = readReport('cut.alignment.json', text);
      for (const problem of cut.problems) {
        expect(problem.span.start).toBeGreaterThanOrEqual(0);
        expect(problem.span.end).toBeLessThanOrEqual(text.length);
        expect(problem.span.start).toBeLessThanOrEqual(problem.span.end);
      }
      const isWhole = text.trimEnd() === SAMPLE_REPORT.trimEnd();
      expect(cut.problems.some((problem) => problem.severity === 'error')).toBe(!isWhole);
    }
  });

  it.each([
    ['an empty file', ''],
    ['blanks', ' \n\t'],
    ['no JSON', 'TITLE: REEL 1\nFCM: NON-DROP FRAME\n'],
    ['a list', '[]'],
    ['a number', '1'],
    ['null', 'null'],
    ['zero bytes', '\0\0\0\0'],
    ['100,000 brackets', '['.repeat(100_000)],
    ['100,000 braces', '{"a":'.repeat(100_000)],
  ])('%s is told and gives nothing', (_name, text) => {
    const broken = readReport('broken.alignment.json', text);
    expect(broken.problems.length).toBeGreaterThan(0);
    expect(broken.pairs).toEqual([]);
  });

  it('keeps the rest when one entry is broken', () => {
    const text = sampleWith('"pictures": {', '"pictures": {\n    "cam-b-02": { "rate": "fast" },');
    const broken = readReport('broken.alignment.json', text);
    expect(broken.pictures.map((picture) => picture.key)).toEqual(['cam-a-07']);
    expect(broken.pairs).toHaveLength(1);
    expect(broken.problems).toHaveLength(1);
  });
});
