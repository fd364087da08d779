import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { decimalText, millisecondsText, type PairData } from '../../../server/src/core/alignment/reportText.ts';
import { type ReportData, reportData, writeReport } from '../../../server/src/core/alignment/writeReport.ts';
import { rational } from '../../../server/src/core/time/rational.ts';
import { SAMPLE_REPORT } from './sampleReport.ts';

const sample = reportData(readReport('day1.alignment.json', SAMPLE_REPORT));

describe('a new report', () => {
  it('is laid out as the format is documented, byte for byte', () => {
    expect(writeReport({ ...sample, pairs: sample.pairs.map((pair) => ({ ...pair, note: '' })) })).toBe(SAMPLE_REPORT);
  });

  it('does not depend on the order in which things were measured', () => {
    const pair = (picture: string, sound: string, frame: number): PairData => ({
      ...(sample.pairs[0] as PairData),
      picture,
      sound,
      frame: rational(frame),
    });
    const entries = (keys: readonly string[]): Pick<ReportData, 'pictures' | 'sounds'> => ({
      pictures: keys.map((key) => ({ ...(sample.pictures[0] as ReportData['pictures'][number]), key, names: [] })),
      sounds: keys.map((key) => ({ ...(sample.sounds[0] as ReportData['sounds'][number]), key, names: [] })),
    });
    const pairs = [
      pair('take 9', 'take 9', 1),
      pair('take 10', 'take 9', 1),
      pair('take 9', 'take 10', 1),
      pair('take 9', 'take 9', 0),
    ];
    const text = writeReport({ ...entries(['take 9', 'take 10']), pairs });
    expect(writeReport({ ...entries(['take 10', 'take 9']), pairs: pairs.toReversed() })).toBe(text);
    const read = readReport('r', text);
    // People count: 9 comes before 10.
    expect(read.pictures.map(({ key }) => key)).toEqual(['take 9', 'take 10']);
    expect(read.pairs.map(({ picture, sound, frame }) => `${picture.key}/${sound.key}/${frame.numerator}`)).toEqual([
      'take 9/take 9/0',
      'take 9/take 9/1',
      'take 9/take 10/1',
      'take 10/take 9/1',
    ]);
  });

  it('can be empty', () => {
    const text = writeReport({ pictures: [], sounds: [], pairs: [] });
    expect(text).toBe('{\n  "alignment": 1,\n  "pictures": {},\n  "sounds": {},\n  "pairs": []\n}\n');
    expect(readReport('r', text).problems).toEqual([]);
  });

  it('leaves out what is not known, and marks drop-frame', () => {
    const text = writeReport({
      pictures: [
        { key: 'a"b', names: [], rate: rational(30000, 1001), isDropFrame: true, startFrame: rational(107892), frameCount: null },
      ],
      sounds: [
        { key: 's', names: ['ü.wav'], sampleRate: rational(48000000, 1001), startSample: null, sampleCount: null, claps: [] },
      ],
      pairs: [
        {
          picture: 'a"b',
          sound: 's',
          frame: rational(1, 2),
          sample: rational(0),
          driftPpm: rational(-5, 2),
          uncertainty: null,
          by: null,
          clap: null,
          note: null,
        },
      ],
    });
    expect(text).toContain('"a\\"b": { "rate": "30000/1001", "start": "01:00:00;00", "dropFrame": true }');
    expect(text).toContain('"s": { "names": ["ü.wav"], "sampleRate": "48000000/1001" }');
    expect(text).toContain('"at": { "frame": 0.5, "sample": 0 },\n      "driftPpm": -2.5 }');
    expect(readReport('r', text).problems).toEqual([]);
  });
});

describe('numbers', () => {
  it('are the shortest decimal that is exactly the value', () => {
    expect(decimalText(rational(4938269, 4))).toBe('1234567.25');
    expect(decimalText(rational(-1, 2))).toBe('-0.5');
    expect(decimalText(rational(10, 5))).toBe('2');
    expect(decimalText(rational(1n, 10n ** 12n))).toBe('0.000000000001');
  });

  it('that have no short decimal are rounded to a millionth', () => {
    expect(decimalText(rational(1, 3))).toBe('0.333333');
    expect(decimalText(rational(-2, 3))).toBe('-0.666667');
    expect(decimalText(rational(1n, 2n ** 40n))).toBe('0');
  });

  it('never make an uncertainty smaller than it is', () => {
    // Half a frame at 24000/1001 is 1001/48000 s = 20.8541666... ms (computed).
    expect(millisecondsText(rational(1001, 48000))).toBe('20.855');
    expect(millisecondsText(rational(209, 10000))).toBe('20.9');
    expect(millisecondsText(rational(0))).toBe('0');
    expect(millisecondsText(rational(1, 1_000_000_000))).toBe('0.001');
  });
});
