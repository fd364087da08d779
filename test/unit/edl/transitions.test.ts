import { describe, expect, it } from 'vitest';
import type { Timeline } from '../../../server/src/core/timeline/model.ts';
import { describeClips, describeObservations, frames, list, messagesOf, readList } from './lists.ts';

function transitionsOf(timeline: Timeline): readonly string[] {
  const at = (seconds: Timeline['duration']): string => frames(seconds, timeline.rate);
  return timeline.transitions.map(
    ({ track, name, at: cut, before, after }) =>
      `${timeline.tracks[track]?.name} ${name} at ${at(cut)}, ${at(before)} before, ${at(after)} after`,
  );
}

/** A clip of two seconds, then a dissolve of ten frames to another. */
const DISSOLVE = [
  '001  CAM_A V C        01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00',
  '* FROM CLIP NAME:  OUT',
  '002  CAM_A V C        01:00:02:00 01:00:02:00 00:00:02:00 00:00:02:00',
  '002  CAM_B V D    010 02:00:00:00 02:00:01:00 00:00:02:00 00:00:03:00',
  '* FROM CLIP NAME:  OUT',
  '* TO CLIP NAME:  IN',
];

describe('a dissolve', () => {
  // Two lines of one event: the outgoing one lasts no frames, the incoming one starts at the cut, and the length after the type says
  // for how many frames both are seen (common practice; the public adapter for such lists models it alike).
  const text = list(...DISSOLVE);
  const timeline = readList(text);

  it('is the incoming clip, under which the outgoing one goes on', () => {
    expect(describeClips(timeline)).toEqual(['V OUT record 0-48 source 86400 tail 10', 'V IN record 48-72 source 172800']);
    expect(transitionsOf(timeline)).toEqual(['V Dissolve at 48, 0 before, 10 after']);
    expect(timeline.observations).toEqual([]);
  });

  it('spans both of its lines and what belongs to them', () => {
    const place = timeline.transitions[0]?.span;
    expect(text.slice(place?.start, place?.end)).toBe(DISSOLVE.slice(2).join('\n'));
  });

  it('may have an FCM line or comments between its lines', () => {
    const lines = [...DISSOLVE.slice(0, 3), 'FCM: NON-DROP FRAME', '* a word', ...DISSOLVE.slice(3)];
    expect(describeClips(readList(list(...lines)))).toEqual(describeClips(timeline));
  });

  it('may number its first line one too low', () => {
    const lines = DISSOLVE.with(2, (DISSOLVE[2] as string).replace('002', '001'));
    expect(describeClips(readList(list(...lines)))).toEqual(describeClips(timeline));
  });

  it('may have no outgoing line at all', () => {
    const lines = DISSOLVE.filter((_, index) => index !== 2);
    const without = readList(list(...lines));
    expect(describeClips(without)).toEqual(describeClips(timeline));
    expect(without.observations).toEqual([]);
  });

  it('runs on every channel of its line', () => {
    const onThree = readList(list(...DISSOLVE.map((line) => line.replace(' V ', ' AA/V '))));
    expect(transitionsOf(onThree)).toEqual(['V', 'A1', 'A2'].map((track) => `${track} Dissolve at 48, 0 before, 10 after`));
    expect(describeClips(onThree).filter((clip) => clip.endsWith('tail 10'))).toHaveLength(3);
  });

  it('finds its outgoing clip in a list that is not in record order', () => {
    const lines = [...DISSOLVE.slice(2), ...DISSOLVE.slice(0, 2)];
    expect(describeClips(readList(list(...lines)))).toEqual([
      'V IN record 48-72 source 172800',
      'V OUT record 0-48 source 86400 tail 10',
    ]);
  });

  it('is as long as its own field says, not as the clip beside it (a public adapter once confused the two)', () => {
    const lines = DISSOLVE.with(3, (DISSOLVE[3] as string).replace('010', '030'));
    expect(transitionsOf(readList(list(...lines)))).toEqual(['V Dissolve at 48, 0 before, 30 after']);
  });

  it('without a length is said and read as a cut', () => {
    const broken = list(...DISSOLVE.with(3, (DISSOLVE[3] as string).replace('D    010', 'D       ')));
    expect(describeObservations(broken, readList(broken))).toEqual(["unreadable 'D'"]);
    expect(transitionsOf(readList(broken))).toEqual(['V Dissolve at 48, 0 before, 0 after']);
  });

  it('from black needs nothing before it', () => {
    const fade = readList(
      list(
        '001  BL    V C        00:00:00:00 00:00:00:00 00:00:00:00 00:00:00:00',
        '001  CAM_B V D    012 02:00:00:00 02:00:01:00 00:00:00:00 00:00:01:00',
        '* FROM CLIP NAME:  IN',
      ),
    );
    expect(describeClips(fade)).toEqual(['V IN record 0-24 source 172800']);
    expect(fade.observations).toEqual([]);
  });

  it('to black lets the picture go on under the fade', () => {
    const fade = readList(
      list(
        '001  CAM_A V C        01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00',
        '002  CAM_A V C        01:00:02:00 01:00:02:00 00:00:02:00 00:00:02:00',
        '002  BL    V D    012 00:00:00:00 00:00:01:00 00:00:02:00 00:00:03:00',
      ),
    );
    expect(describeClips(fade)).toEqual(['V CAM_A record 0-48 source 86400 tail 12', 'V BL record 48-72 source 0']);
    expect(fade.clips[1]?.media.kind).toBe('generator');
  });

  it.each([
    ['another reel', ['CAM_A V C        01:00:02:00 01:00:02:00', 'CAM_C V C        01:00:02:00 01:00:02:00']],
    ['another time', ['CAM_A V C        01:00:02:00 01:00:02:00', 'CAM_A V C        01:00:05:00 01:00:05:00']],
  ])('whose outgoing line shows %s than the clip before is said; that clip goes on all the same', (_, [from, to]) => {
    const broken = readList(list(...DISSOLVE).replace(from as string, to as string));
    expect(describeClips(broken)).toEqual(describeClips(timeline));
    expect(messagesOf(broken, 'note')).toEqual([expect.stringContaining('is taken to go on under the transition')]);
  });

  it('with nothing before it is said', () => {
    const broken = readList(
      list(...DISSOLVE)
        .replace('00:00:00:00 00:00:02:00', '00:00:00:00 00:00:01:12')
        .replace('01:00:02:00 00', '01:00:01:12 00'),
    );
    expect(describeClips(broken)).toEqual(['V OUT record 0-36 source 86400', 'V IN record 48-72 source 172800']);
    expect(messagesOf(broken, 'note')).toEqual([expect.stringContaining('No clip ends where this transition begins')]);
  });
});

describe('wipes', () => {
  it('are read like dissolves, under their code or the name of the effect', () => {
    const wipe = list(...DISSOLVE).replace('D    010', 'W001 010');
    expect(transitionsOf(readList(wipe))).toEqual(['V Wipe 001 at 48, 0 before, 10 after']);
    expect(transitionsOf(readList(`${wipe}* EFFECTS NAME IS SOFT EDGE\n`))).toEqual(['V SOFT EDGE at 48, 0 before, 10 after']);
  });
});

describe('keys', () => {
  const text = list(
    '001  CAM_A V K B      01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00',
    '001  TITLE V K    012 00:00:10:00 00:00:12:00 00:00:00:00 00:00:02:00',
    '* KEY CLIP NAME:  NAMES',
  );
  const timeline = readList(text);

  it('are a cut of the foreground, with the background on a track of its own', () => {
    expect(describeClips(timeline)).toEqual([
      'V key background CAM_A record 0-48 source 86400',
      'V NAMES record 0-48 source 240',
    ]);
    expect(timeline.tracks.map(({ name, kind }) => [name, kind])).toEqual([
      ['V', 'picture'],
      ['V key background', 'picture'],
    ]);
    expect(timeline.transitions).toEqual([]);
  });

  it('are said', () => {
    expect(describeObservations(text, timeline)).toEqual(["note 'K B'", "note 'K'"]);
  });
});

describe('unknown edit types', () => {
  it('are read as cuts and said', () => {
    const text = list(
      '001  CAM_A V X 01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00',
      '002  CAM_A V 01:00:00:00 01:00:02:00 00:00:02:00 00:00:04:00',
    );
    const timeline = readList(text);
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-48 source 86400', 'V CAM_A record 48-96 source 86400']);
    expect(messagesOf(timeline, 'unreadable')).toEqual([
      expect.stringContaining("'X' is no edit type"),
      expect.stringContaining('This event has no edit type'),
    ]);
  });
});
