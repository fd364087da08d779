/**
 * Where a list cannot hold a position, sound is never moved ahead of its picture, and never by two frames or more behind it.
 *
 * Common practice: if it cannot be exact, let sound lag. A sound lies up to a frame later, and so does a picture whose own start
 * lies between frames, which makes its sound lag as much again.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { formatRational, parseRational } from '../../server/src/core/time/rational.ts';
import { auditText } from '../support/auditText.ts';
import { type Fraction, fraction, less, minus } from '../support/fraction.ts';
import { type TestReport, writeTestReport } from '../support/report.ts';
import { convert, kindsOf } from '../unit/convert/conversions.ts';

const REPORT: TestReport = {
  pictures: { cam: { names: ['CAM.mov'], rate: 24, start: '01:00:00:00', frames: 100_000 } },
  sounds: { deck: { names: ['DECK.wav'], sampleRate: 48_000, startSample: 172_800_000, samples: 200_000_000 } },
  pairs: [{ picture: 'cam', sound: 'deck', frame: 0, sample: 0 }],
};

function otio(pictureStart: number, soundStart: number, lengthFrames: number): string {
  const time = (value: number, rate: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', value, rate });
  const clip = (file: string, start: number, length: number, rate: number): object => ({
    OTIO_SCHEMA: 'Clip.2',
    name: file,
    source_range: { OTIO_SCHEMA: 'TimeRange.1', start_time: time(start, rate), duration: time(length, rate) },
    media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: file } },
    active_media_reference_key: 'DEFAULT_MEDIA',
  });
  const tracks = [
    { OTIO_SCHEMA: 'Track.1', kind: 'Video', name: 'V1', children: [clip('CAM.mov', pictureStart, lengthFrames, 24)] },
    { OTIO_SCHEMA: 'Track.1', kind: 'Audio', name: 'A1', children: [clip('DECK.wav', soundStart, lengthFrames * 2000, 48_000)] },
  ];
  return JSON.stringify({
    OTIO_SCHEMA: 'Timeline.1',
    name: 'cut',
    global_start_time: time(86_400, 24),
    tracks: { OTIO_SCHEMA: 'Stack.1', name: 'tracks', children: tracks },
  });
}

describe('positions between frames in an edit list', () => {
  it('let sound lag and never lead', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1000 }),
        fc.integer({ min: 0, max: 9 }),
        fc.integer({ min: 0, max: 2_000_000 }),
        fc.integer({ min: 10, max: 400 }),
        fc.constantFrom(0, 0.3, 0.5, 0.75),
        (frame, tenth, sample, length, lengthPart) => {
          const text = otio(86_400 + frame + tenth / 10, 172_800_000 + sample, length + lengthPart);
          const converted = convert('otio', text, 'edl', {
            reports: [readReport('day1.alignment.json', writeTestReport(REPORT))],
          });
          const [before] = auditText('otio', text, REPORT).comparisons;
          const [after] = auditText('edl', converted.text, REPORT).comparisons;
          const moved = minus(asFraction(after?.lag.head), asFraction(before?.lag.head));
          const isExact = tenth === 0 && sample % 2000 === 0 && lengthPart === 0;
          expect(less(moved, fraction(0)), `sound is heard ${moved.join('/')} s earlier`).toBe(false);
          expect(less(moved, fraction(2, 24)), 'two frames or more').toBe(true);
          expect(kindsOf(converted.losses).includes('sub-frame')).toBe(!isExact);
          if (isExact) expect(moved).toEqual(fraction(0));
        },
      ),
      { numRuns: 150 },
    );
  });
});

function asFraction(value: Parameters<typeof formatRational>[0] | undefined): Fraction {
  const parsed = value === undefined ? null : parseRational(formatRational(value));
  if (parsed === null) throw new Error('no comparison');
  return fraction(BigInt(parsed.numerator), BigInt(parsed.denominator));
}
