/**
 * Frames as people type them. Timecode by SMPTE ST 12-1: at 24000/1001 there are 24 labels a second, and drop-frame counting skips
 * ;00 and ;01 at the start of nine minutes in ten.
 */

import { describe, expect, it } from 'vitest';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { type FrameCounting, frameLabelText, parseFrameEntry } from '../../../server/src/sound/desk/frameEntry.ts';

const STAMPED: FrameCounting = {
  rate: rational(24000, 1001),
  isDropFrame: false,
  startFrame: rational(((14 * 60 + 3) * 60 + 20) * 24),
  frameCount: rational(4316),
};

function entered(text: string, counting: FrameCounting = STAMPED): string {
  const entry = parseFrameEntry(text, counting);
  return entry.ok ? formatRational(entry.frame) : entry.words;
}

describe('a typed frame', () => {
  it.each([
    ['133', '133'],
    [' 0 ', '0'],
    ['14:03:20:00', '0'],
    ['14:03:25:13', '133'],
    ['14.03.25.13', '133'],
  ])('%s is frame %s', (text, frame) => {
    expect(entered(text)).toBe(frame);
  });

  it.each([
    ['', 'Type the number of a frame'],
    ['133.5', 'Type the number of a frame'],
    ['the clap', 'Type the number of a frame'],
    ['-1', 'before the first frame'],
    ['14:03:19:23', 'before the first frame'],
    ['4316', 'The file has 4316 frames, the last being 4315.'],
    ['14:03:20:24', 'There is no such timecode at 23.976 frames per second.'],
  ])('%s is refused', (text, words) => {
    expect(entered(text)).toContain(words);
  });

  it('that drop-frame counting skips is refused', () => {
    const dropping = { rate: rational(30000, 1001), isDropFrame: true, startFrame: rational(0), frameCount: null };
    expect(entered('00:01:00;02', dropping)).toBe('1800');
    expect(entered('00:01:00;00', dropping)).toContain('There is no such timecode at 29.97');
  });

  it('can be a timecode only where the report knows the stamp', () => {
    expect(entered('14:03:25:13', { ...STAMPED, startFrame: null })).toContain('The report has no "start" for this picture');
  });

  it('is shown as the timecode it was typed as', () => {
    expect(frameLabelText(133, STAMPED)).toBe('14:03:25:13');
    expect(frameLabelText(133, { ...STAMPED, startFrame: null })).toBeNull();
  });
});
