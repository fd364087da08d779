/**
 * Whether a cut has its sync pops: read from small edit decision lists, drop-frame ones too, as a person would lay them.
 */

import { describe, expect, test } from 'vitest';
import { formatFor } from '../../../server/src/core/formats/formatFor.ts';
import { popReport } from '../../../server/src/core/handoff/popWords.ts';
import { findProgramme } from '../../../server/src/core/handoff/programme.ts';
import type { Rate } from '../../../server/src/core/time/rate.ts';
import { rational } from '../../../server/src/core/time/rational.ts';
import type { Timeline } from '../../../server/src/core/timeline/model.ts';

type Event = readonly [channel: string, recordIn: string, recordOut: string, name: string];

/** An edit decision list whose sources run as their records do. */
function read(events: readonly Event[], rate: Rate, isDropFrame = false): Timeline {
  const lines = events.map(
    ([channel, start, end, name], index) =>
      `${String(index + 1).padStart(3, '0')}  TAPE1    ${channel.padEnd(5)} C        ${start} ${end} ${start} ${end}\n* FROM CLIP NAME: ${name}\n`,
  );
  const text = `TITLE: POPS\nFCM: ${isDropFrame ? 'DROP FRAME' : 'NON-DROP FRAME'}\n${lines.join('')}`;
  return formatFor('edl').read(text, { edlRate: rate, sharedPictureRate: null });
}

const FILM = rational(24);
const NTSC = rational(30000, 1001);
const LEADER: Event = ['V', '00:59:52:00', '01:00:00:00', 'leader'];
const SHOT: Event = ['V', '01:00:00:00', '01:10:00:00', 'first shot'];

function words(
  events: readonly Event[],
  rate: Rate = FILM,
  isDropFrame = false,
): { head: string; tail: string; programme: string } {
  const report = popReport(read(events, rate, isDropFrame), null, rational(48000));
  if (report === null) throw new Error('there is a picture, so there is a report');
  return report;
}

describe('the programme', () => {
  test('begins two seconds after a pop', () => {
    const { programme } = words([LEADER, SHOT, ['A', '00:59:58:00', '00:59:58:01', 'pop']]);
    expect(programme).toBe(
      '01:00:00:00 (a clip as short as a pop stands two seconds before it) to 01:09:59:23 (the last picture ends there), first and last frame',
    );
  });

  test('begins on the hour after a leader without a pop of its own', () => {
    expect(words([LEADER, SHOT]).programme).toContain('01:00:00:00 (a picture begins there, on the hour)');
  });

  test('begins with the first picture where nothing else tells', () => {
    expect(words([['V', '01:00:10:00', '01:00:20:00', 'shot']]).programme).toContain(
      '01:00:10:00 (the first picture begins there)',
    );
  });

  test('of a reel counted in feet begins eight seconds in, its pop at nine feet', () => {
    const { programme, head } = words([
      ['V', '01:00:00:00', '01:00:08:00', 'leader'],
      ['V', '01:00:08:00', '01:05:00:00', 'shot'],
      ['A', '01:00:06:00', '01:00:06:01', 'pop'],
    ]);
    expect(programme).toContain('01:00:08:00 (a clip as short as a pop');
    expect(head).toMatch(
      /^01:00:06:00: 48 frames, 2 s before the first frame, 9\+00 feet and frames into the reel with the first frame at 12\+00\./,
    );
  });

  test('ends where a tail pop says, not with the flash itself', () => {
    const { programme } = words([SHOT, ['V', '01:10:01:23', '01:10:02:00', 'flash'], ['A', '01:10:01:23', '01:10:02:00', 'pop']]);
    expect(programme).toContain('to 01:09:59:23 (a clip as short as a pop stands two seconds after it)');
  });

  test('begins where somebody says it does', () => {
    const timeline = read([LEADER, SHOT], FILM);
    expect(findProgramme(timeline, 300)).toMatchObject({ firstFrame: 300, startReason: 'as stated' });
  });

  test('is not known without a picture', () => {
    expect(popReport(read([['A', '01:00:00:00', '01:00:10:00', 'sound']], FILM), null, rational(48000))).toBeNull();
  });
});

describe('the pop is', () => {
  const pop = (start: string, end: string): readonly Event[] => [LEADER, SHOT, ['A', start, end, 'pop']];

  test('there, heard and seen', () => {
    const { head } = words([
      ['V', '00:59:52:00', '00:59:58:00', 'leader'],
      ['V', '00:59:58:00', '00:59:58:01', 'flash'],
      SHOT,
      ['A', '00:59:58:00', '00:59:58:01', 'pop'],
    ]);
    expect(head).toBe(
      "00:59:58:00: 48 frames, 2 s before the first frame. One frame of tone is 2000 samples at 48000 Hz. To hear: 'pop' on A1 stands there, 1 frame long. To see: 'flash' on V stands there, 1 frame long.",
    );
  });

  test('off by frames', () => {
    expect(words(pop('00:59:58:03', '00:59:58:04')).head).toContain("'pop' on A1 stands 3 frames late");
    expect(words(pop('00:59:57:12', '00:59:57:14')).head).toContain("'pop' on A1 stands 12 frames early");
  });

  test('perhaps in a leader that covers its place', () => {
    expect(words([LEADER, SHOT, ['A', '00:59:52:00', '01:00:00:00', 'leader']]).head).toContain(
      "To hear: 'leader' on A1 covers it; whether a pop is in it, only listening tells. To see: 'leader' on V covers it; whether a pop is in it, only looking tells.",
    );
  });

  test('missing where there is room for it', () => {
    expect(words([LEADER, SHOT]).head).toContain('To hear: nothing.');
  });

  test('impossible where the timeline begins with the programme', () => {
    expect(words([SHOT]).head).toContain('The timeline begins after it, so it has none.');
    expect(words([SHOT]).tail).toContain('The timeline ends before it, so it has none.');
  });
});

describe('across drop-frame minutes frames are counted, not digits (SMPTE ST 12-1; worked values of the counting rule)', () => {
  test('a programme that begins at 10:01:00;02 has its pop at 10:00:58;00', () => {
    const shot: Event = ['V', '10:01:00;02', '10:05:00;02', 'shot'];
    const right = words(
      [['V', '10:00:50;00', '10:01:00;02', 'leader'], shot, ['A', '10:00:58;00', '10:00:58;01', 'pop']],
      NTSC,
      true,
    );
    expect(right.programme).toContain('10:01:00;02 (a clip as short as a pop');
    expect(right.head).toContain('10:00:58;00: 60 frames, 2.002 s before the first frame. One frame of tone is 1601.6 samples');
    expect(right.head).toContain("'pop' on A1 stands there");
  });

  test('a pop laid by digits, at 10:00:58;02, is two frames late', () => {
    const timeline = read(
      [
        ['V', '10:00:50;00', '10:01:00;02', 'leader'],
        ['V', '10:01:00;02', '10:05:00;02', 'shot'],
        ['A', '10:00:58;02', '10:00:58;03', 'pop'],
      ],
      NTSC,
      true,
    );
    // The programme has to be stated: by its digits the pop points elsewhere.
    const report = popReport(timeline, 300, rational(48000));
    expect(report?.head).toContain("'pop' on A1 stands 2 frames late");
    expect(report?.hasHead).toBe(false);
  });

  test('a tail pop beyond a dropped minute', () => {
    // Last frame 10:00:58;00, 60 frames on is 10:01:00;02.
    const { tail, programme } = words(
      [
        ['V', '10:00:00;00', '10:00:58;01', 'shot'],
        ['A', '10:01:00;02', '10:01:00;03', 'pop'],
      ],
      NTSC,
      true,
    );
    expect(programme).toContain('to 10:00:58;00 (a clip as short as a pop stands two seconds after it)');
    expect(tail).toContain(
      "10:01:00;02: 60 frames, 2.002 s after the start of the last frame. To hear: 'pop' on A1 stands there",
    );
  });
});
