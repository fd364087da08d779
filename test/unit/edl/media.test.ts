import { describe, expect, it } from 'vitest';
import type { Clip } from '../../../server/src/core/timeline/model.ts';
import { list, readList } from './lists.ts';

const TIMES = '01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00';

/** Kind, name, reel and file of the media of the last clip, and what the clip is called. */
function mediaOf(...lines: readonly string[]): readonly (string | null)[] {
  const { name, media } = readList(list(...lines)).clips.at(-1) as Clip;
  return [media.kind, media.name, media.reel, media.url, name];
}

describe('which media an event shows', () => {
  it('the reel names it when nothing else does', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`)).toEqual(['file', null, 'CAM_A', null, 'CAM_A']);
  });

  it('the clip name is its name', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '* FROM CLIP NAME:  CAM_A_0007.mov')).toEqual([
      'file',
      'CAM_A_0007.mov',
      'CAM_A',
      null,
      'CAM_A_0007.mov',
    ]);
  });

  it.each([
    ['* SOURCE FILE: CAM_A_0007', 'CAM_A_0007'],
    ['* FROM FILE: CAM_A_0007.mov', 'CAM_A_0007.mov'],
    ['* FROM CLIP: /card/CAM_A_0007.mov', '/card/CAM_A_0007.mov'],
    ['* FROM CLIP: CAM_A_0007.mov', 'CAM_A_0007.mov'],
    ['* FROM CLIP: file:///card/CAM_A_0007', 'file:///card/CAM_A_0007'],
    ['* FROM CLIP: C:\\card\\CAM_A_0007.mov', 'C:\\card\\CAM_A_0007.mov'],
    ['* REEL CAM_A IS CAM_A_0007.mov', 'CAM_A_0007.mov'],
  ])('%s names the file', (comment, url) => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, comment)).toEqual(['file', null, 'CAM_A', url, 'CAM_A']);
  });

  it('a FROM CLIP that is no path is a name', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '* FROM CLIP: scene 4 take 2')).toEqual([
      'file',
      'scene 4 take 2',
      'CAM_A',
      null,
      'scene 4 take 2',
    ]);
  });

  it('SOURCE FILE goes before FROM FILE', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '* FROM FILE: a.mov', '* SOURCE FILE: b.mov')[3]).toBe('b.mov');
  });

  it('a comment for another reel says nothing', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '* REEL CAM_B IS x.mov')[3]).toBeNull();
  });

  it('an empty comment says nothing', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '* FROM CLIP NAME:', '* SOURCE FILE:')).toEqual([
      'file',
      null,
      'CAM_A',
      null,
      'CAM_A',
    ]);
  });

  it('the full name of a reel cut short stands in a comment', () => {
    expect(mediaOf(`001  CAMA0007 V C ${TIMES}`, '* OTIO TRUNCATED REEL NAME FROM: CAM_A_0007_LONG')).toEqual([
      'file',
      null,
      'CAM_A_0007_LONG',
      null,
      'CAM_A_0007_LONG',
    ]);
  });

  it.each(['BL', 'BLACK', 'BARS', 'bl'])('%s is made, not recorded, and no reel', (reel) => {
    expect(mediaOf(`001  ${reel} V C ${TIMES}`)).toEqual(['generator', null, null, null, reel]);
  });

  it('AX is never a reel', () => {
    expect(mediaOf(`001  AX V C ${TIMES}`)).toEqual(['missing', null, null, null, 'AX']);
    expect(mediaOf(`001  AX A C ${TIMES}`, '* FROM CLIP NAME: DECK_0012.wav')).toEqual([
      'file',
      'DECK_0012.wav',
      null,
      null,
      'DECK_0012.wav',
    ]);
  });

  it('places are those of the words themselves', () => {
    const text = list(`001  CAM_A V C ${TIMES}`, '* FROM CLIP NAME:  SHOT 1  ', '* SOURCE FILE: a.mov');
    const { media } = readList(text).clips[0] as Clip;
    expect([media.nameSpan, media.urlSpan, media.reelSpan].map((place) => text.slice(place?.start, place?.end))).toEqual([
      'SHOT 1',
      'a.mov',
      'CAM_A',
    ]);
    expect([media.available, media.rate, media.rateSpan, media.sourceIsMediaTime]).toEqual([null, null, null, false]);
  });

  it('lines of one event share the comments below the last of them', () => {
    const timeline = readList(
      list(`001  AX V C ${TIMES}`, `001  AX AA C ${TIMES}`, '* FROM CLIP NAME: SHOT 1', `002  AX V C ${TIMES}`),
    );
    expect(timeline.clips.map((clip) => clip.name)).toEqual(['SHOT 1', 'SHOT 1', 'SHOT 1', 'AX']);
  });

  it('comments below a broken event are not those of the event above', () => {
    expect(mediaOf(`001  CAM_A V C ${TIMES}`, '002  CAM_B V C 01:00:00:00', '* FROM CLIP NAME: OTHER')[1]).toBeNull();
  });
});

describe('the incoming side of a dissolve', () => {
  const cut = '01:00:02:00 01:00:02:00 00:00:02:00 00:00:02:00';
  const over = '02:00:00:00 02:00:01:00 00:00:02:00 00:00:03:00';
  const before = '001  CAM_A V C 01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00';
  const lines = (between: readonly string[], after: readonly string[], out = 'CAM_A'): readonly string[] => [
    before,
    `002  ${out} V C     ${cut}`,
    ...between,
    `002  CAM_B V D 010 ${over}`,
    ...after,
  ];

  it.each([
    ['TO names it, FROM the outgoing one', lines([], ['* FROM CLIP NAME: OUT', '* TO CLIP NAME: IN']), ['IN', null]],
    ['FROM alone says nothing of it', lines([], ['* FROM CLIP NAME: OUT']), [null, null]],
    [
      'FROM names it when the outgoing line names itself',
      lines(['* FROM CLIP NAME: OUT'], ['* FROM CLIP NAME: IN']),
      ['IN', null],
    ],
    ['FROM names it when it comes out of black', lines([], ['* FROM CLIP NAME: IN'], 'BL'), ['IN', null]],
    ['TO FILE is its file', lines([], ['* FROM FILE: out.mov', '* TO FILE: in.mov']), [null, 'in.mov']],
    ['TO CLIP with a path is its file', lines([], ['* TO CLIP: /card/in.mov']), [null, '/card/in.mov']],
    ['TO CLIP without one is its name', lines([], ['* TO CLIP: take 3']), ['take 3', null]],
    ['the second SOURCE FILE is its own', lines([], ['* SOURCE FILE: out.mov', '* SOURCE FILE: in.mov']), [null, 'in.mov']],
    ['one SOURCE FILE is its own', lines([], ['* SOURCE FILE: CAM_B_0003.mov']), [null, 'CAM_B_0003.mov']],
    ['unless it begins with the outgoing reel', lines([], ['* SOURCE FILE: CAM_A_0007.mov']), [null, null]],
    [
      'a SOURCE FILE below each line',
      lines(['* SOURCE FILE: CAM_A_0007.mov'], ['* SOURCE FILE: CAM_B_0003.mov']),
      [null, 'CAM_B_0003.mov'],
    ],
  ])('%s', (_, text, [name, url]) => {
    expect(mediaOf(...text)).toEqual(['file', name, 'CAM_B', url, name ?? 'CAM_B']);
  });
});

describe('acceptances', () => {
  it('stand for the clips of the event above', () => {
    const text = list(
      `001  CAM_A AA C ${TIMES}`,
      '* AFTERCLAP ACCEPT sound-lags: heard from across the yard',
      `002  CAM_A V C ${TIMES}`,
    );
    const timeline = readList(text);
    expect(timeline.acceptances.map(({ code, reason, clips }) => ({ code, reason, clips }))).toEqual([
      { code: 'sound-lags', reason: 'heard from across the yard', clips: [0, 1] },
    ]);
    const place = timeline.acceptances[0]?.span;
    expect(text.slice(place?.start, place?.end)).toBe('* AFTERCLAP ACCEPT sound-lags: heard from across the yard');
  });

  it('between the lines of a dissolve stand for its incoming clip', () => {
    const timeline = readList(
      list(
        '001  CAM_A V C     01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00',
        '002  CAM_A V C     01:00:02:00 01:00:02:00 00:00:02:00 00:00:02:00',
        '* AFTERCLAP ACCEPT sound-lags: as agreed',
        '002  CAM_B V D 010 02:00:00:00 02:00:01:00 00:00:02:00 00:00:03:00',
      ),
    );
    expect(timeline.acceptances.map(({ clips }) => clips)).toEqual([[1]]);
  });

  it('above the first event stand for the whole list; without a reason they have none', () => {
    const timeline = readList(
      list('* AFTERCLAP ACCEPT unmeasured: wild lines', '* afterclap accept no-sound', `001  CAM_A V C ${TIMES}`),
    );
    expect(timeline.acceptances.map(({ code, reason, clips }) => [code, reason, clips])).toEqual([
      ['unmeasured', 'wild lines', 'all'],
      ['no-sound', '', 'all'],
    ]);
  });
});
