/**
 * The report's arithmetic against a collection of published and computed values that is not part of this repository.
 *
 * Values that must hold without it stand inline in the other tests of this folder, with their sources.
 */

import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { mapPictureToSound } from '../../../server/src/core/alignment/pairLine.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { parseTolerance, toleranceInSeconds } from '../../../server/src/core/alignment/tolerance.ts';
import { compare, formatRational, negate, parseDecimal, rational, subtract } from '../../../server/src/core/time/rational.ts';
import { frameStampSeconds, frameToSampleStamp, sampleStampSeconds } from '../../../server/src/core/time/stamp.ts';

const file = resolve(import.meta.dirname, '../../../../shared/reference/checks.json');
const hasChecks = existsSync(file);
if (!hasChecks) console.log('skipped: the collection of published values is not beside the repository');

// biome-ignore lint/suspicious/noExplicitAny: each operation has a shape of its own.
type Check = { readonly id: string; readonly input: any; readonly expected: any };
const checks: readonly Check[] = hasChecks ? JSON.parse(readFileSync(file, 'utf8')) : [];
const checksOf = (operation: string): readonly Check[] => checks.filter(({ input }) => input.op === operation);

function reportWith(picture: object, sound: object, driftPpm = 0): ReturnType<typeof readReport> {
  const pairs = [{ picture: 'p', sound: 's', at: { frame: 0, sample: 0 }, driftPpm }];
  return readReport('r', JSON.stringify({ alignment: 1, pictures: { p: picture }, sounds: { s: sound }, pairs }));
}

describe.skipIf(!hasChecks)('published values', () => {
  it('a timecode as a time stamp in samples', () => {
    const all = checksOf('tc_to_time_reference');
    expect(all.length).toBe(8);
    for (const { id, input, expected } of all) {
      const report = reportWith(
        { rate: input.rate, start: input.tc, dropFrame: input.drop_frame },
        { sampleRate: input.sample_rate },
      );
      const [picture] = report.pictures;
      const [sound] = report.sounds;
      if (!picture?.startFrame || !sound) throw new Error(`${id} was not read`);
      const samples = frameToSampleStamp(Number(picture.startFrame.numerator), picture.rate, sound.sampleRate);
      expect(formatRational(samples), id).toBe(expected.samples_exact);
      // A report that says both agrees with itself to the last sample.
      const apart = subtract(frameStampSeconds(picture.startFrame, picture.rate), sampleStampSeconds(samples, sound.sampleRate));
      expect(formatRational(apart), id).toBe('0');
    }
  });

  it('the two readings of one label, 3.6 s per hour apart', () => {
    const all = checksOf('stamp_convention_difference');
    expect(all.length).toBe(1);
    for (const { input, expected } of all) {
      const [picture] = reportWith({ rate: input.rate, start: input.tc }, { sampleRate: input.sample_rate }).pictures;
      if (!picture?.startFrame) throw new Error('the picture was not read');
      const samples = frameToSampleStamp(Number(picture.startFrame.numerator), picture.rate, rational(input.sample_rate));
      expect(formatRational(subtract(samples, rational(expected.label_seconds_times_rate)))).toBe(
        String(expected.difference_samples),
      );
    }
  });

  it('what a drift makes of hours', () => {
    const all = checksOf('drift');
    expect(all.length).toBe(5);
    for (const { id, input, expected } of all) {
      const [pair] = reportWith({ rate: 24 }, { sampleRate: 48000 }, input.ppm).pairs;
      if (!pair) throw new Error(`${id} was not read`);
      const hours = rational(3600 * input.hours);
      const milliseconds = parseDecimal(String(expected.ms));
      const gained = subtract(mapPictureToSound(pair, hours), hours);
      expect(milliseconds && formatRational(gained), id).toBe(
        milliseconds &&
          formatRational({ numerator: BigInt(milliseconds.numerator), denominator: BigInt(milliseconds.denominator) * 1000n }),
      );
    }
  });

  it('offsets inside and outside the named tolerances, limits included', () => {
    // The collection counts early sound positive, as ITU-R BT.1359-1 does; a lag is the opposite.
    const tolerances: Record<string, string> = {
      'EBU R37 output': 'ebu-r37',
      'EBU R37 each stage': '5ms/15ms',
      'ITU-R BT.1359-1 detectability': 'itu-bt1359-detectable',
      'ITU-R BT.1359-1 acceptability': 'itu-bt1359-acceptable',
    };
    const all = checksOf('classify_offset');
    expect(all.length).toBe(12);
    for (const { id, input, expected } of all) {
      const parsed = parseTolerance(tolerances[input.rule] ?? '');
      const early = parseDecimal(String(input.offset_ms));
      if (!parsed.ok || early === null) throw new Error(`${id} was not understood`);
      const { lead, lag } = toleranceInSeconds(parsed.tolerance, rational(24), rational(48000));
      const lateSeconds = negate({ numerator: BigInt(early.numerator), denominator: BigInt(early.denominator) * 1000n });
      expect(compare(lateSeconds, negate(lead)) >= 0 && compare(lateSeconds, lag) <= 0, id).toBe(expected.within);
    }
  });
});
