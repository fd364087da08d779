/**
 * What is taken from the JSON that ffprobe prints: rate, stamp, length, and the way between first frame and first sample.
 *
 * The objects are cut down from what ffprobe 5.1 prints for files made with ffmpeg of the same version.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatRational, subtract } from '../../../server/src/core/time/rational.ts';
import { type CameraFacts, readCameraFacts } from '../../../server/src/project/measure/cameraFacts.ts';

const VIDEO = {
  index: 0,
  codec_type: 'video',
  r_frame_rate: '25/1',
  avg_frame_rate: '25/1',
  time_base: '1/12800',
  start_pts: 0,
  nb_frames: '150',
  duration: '6.000000',
};
const AUDIO = {
  index: 1,
  codec_type: 'audio',
  codec_name: 'aac',
  sample_rate: '48000',
  channels: 2,
  time_base: '1/48000',
  start_pts: 0,
  duration: '6.000000',
};
const MOV = { format_name: 'mov,mp4,m4a,3gp,3g2,mj2' };

function facts(streams: readonly object[], format: object = MOV, firstTick: number | null = null): CameraFacts {
  const reading = readCameraFacts({ streams, format }, firstTick);
  if (!reading.ok) throw new Error(reading.reason);
  return reading.facts;
}

describe('the frame rate', () => {
  test.each([
    ['24000/1001', '24000/1001'],
    ['2997/125', '24000/1001'],
    ['30000/1001', '30000/1001'],
    ['25/1', '25'],
    ['19001/317', '60000/1001'],
  ])('%s is %s', (written, rate) => {
    expect(formatRational(facts([{ ...VIDEO, r_frame_rate: written, avg_frame_rate: written }]).rate)).toBe(rate);
  });

  test('of frames that come unevenly is told as doubtful', () => {
    const uneven = facts([{ ...VIDEO, r_frame_rate: '30/1', avg_frame_rate: '103/4' }]);
    expect(uneven.remarks.join()).toContain('do not come evenly');
  });

  test('of interlaced sound, which may count fields, is not', () => {
    expect(facts([{ ...VIDEO, r_frame_rate: '50/1', avg_frame_rate: '25/1' }]).remarks).toEqual([]);
  });

  test('is needed', () => {
    expect(readCameraFacts({ streams: [{ ...VIDEO, r_frame_rate: '0/0', avg_frame_rate: '0/0' }] })).toEqual({
      ok: false,
      reason: 'does not say its frame rate',
    });
  });
});

describe('the time stamp', () => {
  const NTSC = { ...VIDEO, r_frame_rate: '30000/1001', avg_frame_rate: '30000/1001' };

  test('stands with the picture, a time-code track or the file', () => {
    const tag = { tags: { timecode: '14:03:20:00' } };
    // 14:03:20:00 at 25 is ((14 x 60 + 3) x 60 + 20) x 25 frames (SMPTE ST 12-1; arithmetic).
    const frame = ((14 * 60 + 3) * 60 + 20) * 25;
    expect(facts([{ ...VIDEO, ...tag }]).startFrame).toBe(frame);
    expect(facts([VIDEO, { codec_type: 'data', ...tag }]).startFrame).toBe(frame);
    expect(facts([VIDEO], { format_name: 'mxf', ...tag }).startFrame).toBe(frame);
    expect(facts([VIDEO]).startFrame).toBeNull();
  });

  test('with a semicolon counts drop-frame where that exists', () => {
    // 01:00:00;00 is frame 107892 (SMPTE ST 12-1 drop-frame counting: 108 labels are skipped in an hour).
    const stamped = facts([{ ...NTSC, tags: { timecode: '01:00:00;00' } }]);
    expect([stamped.startFrame, stamped.isDropFrame]).toEqual([107892, true]);
    const at25 = facts([{ ...VIDEO, tags: { timecode: '01:00:00;00' } }]);
    expect([at25.startFrame, at25.isDropFrame]).toEqual([90000, false]);
  });

  test('that does not exist is left out and told', () => {
    const skipped = facts([{ ...NTSC, tags: { timecode: '00:01:00;00' } }]);
    expect(skipped.startFrame).toBeNull();
    expect(skipped.remarks.join()).toContain('does not exist at 29.97');
    expect(facts([{ ...VIDEO, tags: { timecode: 'soon' } }]).remarks.join()).toContain('is no timecode');
  });
});

describe('the number of frames', () => {
  const { nb_frames: _, ...uncounted } = VIDEO;

  test('is what the header counts, else a length of whole frames, else unknown', () => {
    expect(facts([VIDEO]).frameCount).toBe(150);
    expect(facts([{ ...uncounted, time_base: '1/25', duration_ts: 150 }]).frameCount).toBe(150);
    expect(facts([{ ...uncounted, time_base: '1/1000', duration_ts: 5990 }]).frameCount).toBeNull();
    expect(facts([uncounted]).frameCount).toBeNull();
  });
});

describe("the camera's own sound", () => {
  const between = ({ scratch, pictureStart }: CameraFacts): string =>
    scratch === null ? 'none' : formatRational(subtract(scratch.start, pictureStart));

  test('begins with the picture, or before or after it, as the container says', () => {
    expect(between(facts([VIDEO, AUDIO]))).toBe('0');
    expect(between(facts([VIDEO, { ...AUDIO, start_pts: 4800 }]))).toBe('1/10');
    expect(between(facts([{ ...VIDEO, time_base: '1/1000', start_pts: 21 }, AUDIO]))).toBe('-21/1000');
    expect(between(facts([VIDEO]))).toBe('none');
  });

  test('begins where the first decoded block does, when that is known', () => {
    // AAC puts 1024 samples or more before the sound (published notes on AAC priming); decoders drop them or stamp them.
    expect(between(facts([VIDEO, { ...AUDIO, start_pts: -1024 }], MOV, 0))).toBe('0');
    expect(between(facts([VIDEO, AUDIO], MOV, 1024))).toBe('8/375');
  });

  test('is as uncertain as the container counts coarsely', () => {
    const uncertainty = (reading: CameraFacts): string =>
      formatRational(reading.scratch?.startUncertainty ?? { numerator: -1, denominator: 1 });
    expect(uncertainty(facts([VIDEO, AUDIO]))).toBe('0');
    expect(uncertainty(facts([VIDEO, { ...AUDIO, start_pts: 3744 }]))).toBe('1/1000');
    const matroska = { time_base: '1/1000' };
    expect(
      uncertainty(
        facts(
          [
            { ...VIDEO, ...matroska },
            { ...AUDIO, ...matroska },
          ],
          { format_name: 'matroska,webm' },
        ),
      ),
    ).toBe('1/1000');
  });

  test('of several streams that run alike is read side by side', () => {
    const mono = { ...AUDIO, codec_name: 'pcm_s24le', channels: 1 };
    const four = facts([VIDEO, mono, { ...mono, index: 2 }, { ...mono, index: 3 }, { ...mono, index: 4, sample_rate: '44100' }]);
    expect([four.scratch?.streams, four.scratch?.channelCount]).toEqual([[1, 2, 3], 3]);
    expect(four.remarks.join()).toContain('Of its 4 sound streams 3 were heard');
  });
});

test('a cover picture is no moving picture', () => {
  expect(readCameraFacts({ streams: [{ ...VIDEO, disposition: { attached_pic: 1 } }, AUDIO] })).toEqual({
    ok: false,
    reason: 'holds no moving picture',
  });
});

test('whatever a program prints is answered, never thrown at', () => {
  const key = fc.constantFrom(
    'streams',
    'format',
    'codec_type',
    'video',
    'audio',
    'r_frame_rate',
    'tags',
    'time_base',
    'start_pts',
  );
  fc.assert(
    fc.property(
      fc.jsonValue(),
      fc.dictionary(key, fc.jsonValue()),
      fc.array(fc.dictionary(key, fc.jsonValue())),
      (any, format, streams) => {
        expect(readCameraFacts(any)).toHaveProperty('ok');
        expect(readCameraFacts({ format, streams: streams.map((stream) => ({ ...VIDEO, ...stream })) })).toHaveProperty('ok');
      },
    ),
  );
});

describe('coded sound in a file that holds no start times', () => {
  const AVI = { format_name: 'avi' };

  test.each(['mp3', 'ac3', 'aac'])('is uncertain by 50 ms and says so: %s', (codec) => {
    const { scratch, remarks } = facts([VIDEO, { ...AUDIO, codec_name: codec }], AVI);
    expect(scratch?.startUncertainty).toEqual({ numerator: 1, denominator: 20 });
    expect(remarks.join()).toContain('does not say by how much');
  });

  test('is certain where it is plain samples, or where the container knows', () => {
    expect(facts([VIDEO, { ...AUDIO, codec_name: 'pcm_s16le' }], AVI).remarks).toEqual([]);
    expect(facts([VIDEO, { ...AUDIO, codec_name: 'ac3' }]).remarks).toEqual([]);
  });
});
