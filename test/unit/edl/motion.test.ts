import { describe, expect, it } from 'vitest';
import { speedOfMotion } from '../../../server/src/core/formats/edl/edlSpeed.ts';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { describeClips, describeObservations, list, messagesOf, readList } from './lists.ts';

const two = (value: number): string => String(value).padStart(2, '0');
/** Frames since 01:00:00:00 at 24, as a label. */
const at24 = (frame: number): string =>
  `01:${two(Math.floor(frame / 1440))}:${two(Math.floor(frame / 24) % 60)}:${two(frame % 24)}`;

/** One event at 24 with an M2 line. */
function retimed(source: number, record: number, speed: string, ...after: readonly string[]): string {
  return list(
    `001  CAM_A V C        ${at24(0)} ${at24(source)} ${at24(0)} ${at24(record)}`,
    `M2   CAM_A       ${speed}                ${at24(0)}`,
    ...after,
  );
}

describe('M2 where the source span is scaled', () => {
  // span = floor((record - 1) x speed / fps) + 1, measured on 17 M2 lines of a public adapter's test lists; 15 fit exactly.
  it.each([
    ['double', 24 * 2 - 1, 24, '048.0', '2'],
    ['half', 12, 24, '012.0', '1/2'],
    ['four thirds', 33, 25, '032.0', '4/3'],
    ['47.56 frames a second, written 047.6', 70, 36, '047.6', '119/60'],
    ['a third', 8, 24, '008.0', '1/3'],
  ])('%s', (_, source, record, speed, scalar) => {
    const timeline = readList(retimed(source, record, speed));
    const clip = timeline.clips[0];
    expect(clip?.speed.kind === 'constant' ? formatRational(clip.speed.scalar) : null).toBe(scalar);
    expect(messagesOf(timeline, 'speed-note')).toEqual([expect.stringContaining('its source span is already scaled to that')]);
    expect(timeline.observations.filter((observation) => observation.kind === 'length')).toEqual([]);
  });

  it('prefers the simple ratio that a tenth of a frame a second hides: 033.3 at 25 over 300 frames is 4/3', () => {
    // floor(299 x 4/3) + 1 = 399.
    const speed = speedOfMotion('033.3', rational(25), 399, 300);
    expect([formatRational(speed?.scalar ?? rational(0)), speed?.convention]).toEqual(['4/3', 'scaled']);
  });

  it('moves no further than the rounding of M2 allows when the span says more than M2', () => {
    // 047.6 stands for 47.55 to 47.65; over 1000 frames a span of 1981 needs 1980/999 to 1981/999, so 47.568 to 47.592.
    const speed = speedOfMotion('047.6', rational(24), 1981, 1000);
    expect(speed?.convention).toBe('scaled');
    const scalar = Number(speed?.scalar.numerator) / Number(speed?.scalar.denominator);
    expect(scalar).toBeGreaterThan(1980 / 999);
    expect(scalar).toBeLessThan(1981 / 999);
  });
});

describe('M2 where the source span equals the record', () => {
  // An open question of a public adapter (its issue 948): 048.0 at 24 with 115 frames on both sides.
  it('is believed all the same, and said', () => {
    const timeline = readList(retimed(115, 115, '048.0'));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-115 source 86400 speed 2']);
    expect(messagesOf(timeline, 'speed-note')).toEqual([
      expect.stringContaining('though source and record span the same 115 frames; M2 is believed'),
    ]);
  });
});

describe('M2 that changes nothing', () => {
  it('is normal speed at the nominal rate', () => {
    const timeline = readList(retimed(24, 24, '024.0'));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400']);
    expect(timeline.observations).toEqual([]);
  });

  it.each(['024.0', '023.98', '023.976', '024'])('%s at 23.976 too', (speed) => {
    const timeline = readList(retimed(24, 24, speed), { edlRate: rational(24000, 1001) });
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400']);
  });

  it('explains no difference of lengths', () => {
    const text = retimed(48, 24, '024.0');
    expect(describeObservations(text, readList(text))).toEqual(["length '01:00:02:00' source 48 record 24 -> 01:00:01:00"]);
  });
});

describe('M2 that fits neither', () => {
  it('is believed, and said with both lengths', () => {
    const timeline = readList(retimed(100, 24, '012.0'));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400 speed 1/2']);
    expect(messagesOf(timeline, 'speed-note')).toEqual([
      expect.stringContaining('100 frames of source for 24 of record fit no such speed'),
    ]);
  });
});

describe('freezes and reverse', () => {
  it.each([
    ['of one source frame', 1, '000.0'],
    ['whose source spans the record', 24, '000.0'],
    ['written with a sign', 1, '-000.0'],
  ])('a freeze %s', (_, source, speed) => {
    const timeline = readList(retimed(source, 24, speed));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400 speed 0']);
    expect(timeline.observations).toEqual([]);
  });

  it.each(['* FREEZE FRAME', '* * FREEZE FRAME', 'FREEZE FRAME', '* Freeze  Frame:'])('the comment %s without M2', (comment) => {
    const text = list(`001  CAM_A V C ${at24(0)} ${at24(1)} ${at24(0)} ${at24(24)}`, comment);
    expect(describeClips(readList(text))).toEqual(['V CAM_A record 0-24 source 86400 speed 0']);
    expect(readList(text).observations).toEqual([]);
  });

  it('a freeze shown for one frame has equal spans and is a freeze all the same', () => {
    const text = list(`001  CAM_A V C ${at24(0)} ${at24(1)} ${at24(0)} ${at24(1)}`, '* FREEZE FRAME');
    expect(describeClips(readList(text))).toEqual(['V CAM_A record 0-1 source 86400 speed 0']);
  });

  it('a freeze comment that M2 contradicts is said', () => {
    const timeline = readList(retimed(47, 24, '048.0', '* FREEZE FRAME'));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400 speed 2']);
    expect(messagesOf(timeline, 'speed-note')).toContainEqual(
      'A comment says freeze frame, M2 says 048.0 frames a second; M2 is believed.',
    );
  });

  it('reverse runs backwards from the source in, and is said', () => {
    const timeline = readList(retimed(24, 24, '-024.0'));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400 speed -1']);
    expect(messagesOf(timeline, 'speed-note')).toEqual([expect.stringContaining('It runs backwards from its source in')]);
  });

  it('reverse with its labels turned round', () => {
    const text = list(
      `001  CAM_A V C ${at24(24)} ${at24(0)} ${at24(0)} ${at24(24)}`,
      `M2   CAM_A       -024.0                ${at24(24)}`,
    );
    expect(describeClips(readList(text))).toEqual(['V CAM_A record 0-24 source 86424 speed -1']);
    expect(readList(text).observations.map(({ kind }) => kind)).toEqual(['speed-note']);
  });
});

describe('M2 lines themselves', () => {
  it('may name reels with blanks, and stand after comments', () => {
    const text = list(
      `001  CAM A 7 V C ${at24(0)} ${at24(47)} ${at24(0)} ${at24(24)}`,
      '* FROM CLIP NAME: X',
      `M2   CAM A 7  048.0  ${at24(0)}`,
    );
    expect(describeClips(readList(text))).toEqual(['V X record 0-24 source 86400 speed 2']);
  });

  it('may have a drop-frame trigger, a bare number or none', () => {
    const event = `001  CAM_A V C ${at24(0)} ${at24(47)} ${at24(0)} ${at24(24)}`;
    for (const trigger of ['01:00:00;00', '01;00;00;00', '86400', '']) {
      expect(describeClips(readList(list(event, `M2 CAM_A 048.0 ${trigger}`), { edlRate: rational(24) }))).toEqual([
        'V CAM_A record 0-24 source 86400 speed 2',
      ]);
    }
  });

  it('that name another reel or another start are said', () => {
    const text = list(
      `001  CAM_A V C ${at24(0)} ${at24(47)} ${at24(0)} ${at24(24)}`,
      `M2   DECK_9       048.0                ${at24(5)}`,
    );
    expect(messagesOf(readList(text), 'speed-note')).toEqual([
      expect.stringContaining("names the reel 'DECK_9', the event above it 'CAM_A'"),
      expect.stringContaining('The M2 line starts at 01:00:00:05, the event at 01:00:00:00; the event is believed.'),
    ]);
  });

  it('without a speed are said and left out', () => {
    const text = list(`001  CAM_A V C ${at24(0)} ${at24(24)} ${at24(0)} ${at24(24)}`, 'M2   CAM_A   fast');
    expect(describeClips(readList(text))).toEqual(['V CAM_A record 0-24 source 86400']);
    expect(describeObservations(text, readList(text))).toEqual(["unreadable 'M2   CAM_A   fast'"]);
  });

  it('above the first event are said', () => {
    const text = list('M2 CAM_A 048.0', `001  CAM_A V C ${at24(0)} ${at24(24)} ${at24(0)} ${at24(24)}`);
    expect(describeObservations(text, readList(text))).toEqual(["unreadable 'M2 CAM_A 048.0'"]);
  });

  it('a second one for one event is said; the first counts', () => {
    const timeline = readList(retimed(47, 24, '048.0', `M2   CAM_A       012.0                ${at24(0)}`));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-24 source 86400 speed 2']);
    expect(messagesOf(timeline, 'speed-note')).toContainEqual('A second M2 line for one event: the first is used.');
  });
});

describe('M2 in a dissolve', () => {
  const dissolve = (reelIn: string, ...motions: readonly string[]): string =>
    list(
      `001  CAM_A V C        ${at24(0)} ${at24(48)} ${at24(0)} ${at24(48)}`,
      `002  CAM_A V C        ${at24(48)} ${at24(48)} ${at24(48)} ${at24(48)}`,
      `002  ${reelIn} V D    010 ${at24(0)} ${at24(47)} ${at24(48)} ${at24(72)}`,
      ...motions,
    );
  const speeds = (text: string): readonly string[] =>
    describeClips(readList(text)).map((clip) => /speed (\S+)/.exec(clip)?.[1] ?? '1');

  it('goes to the side whose reel it names, in any order', () => {
    expect(speeds(dissolve('CAM_B', `M2   CAM_B       048.0   ${at24(0)}`))).toEqual(['1', '2']);
    expect(speeds(dissolve('CAM_B', `M2   CAM_B  048.0 ${at24(0)}`, `M2   CAM_A  012.0 ${at24(48)}`))).toEqual(['1', '2']);
    expect(speeds(dissolve('CAM_B', `M2   CAM_A  012.0 ${at24(48)}`, `M2   CAM_B  048.0 ${at24(0)}`))).toEqual(['1', '2']);
  });

  it('with a freeze of the outgoing side leaves the incoming one running', () => {
    const text = dissolve('CAM_B', `M2   CAM_A  000.0 ${at24(48)}`, '* FREEZE FRAME').replace(at24(47), at24(24));
    expect(speeds(text)).toEqual(['1', '1']);
    const frozen = dissolve('CAM_B', '* FREEZE FRAME').replace(at24(47), at24(1));
    expect(speeds(frozen)).toEqual(['1', '0']);
  });

  it('goes by order where both sides are one reel: first outgoing, then incoming (common practice)', () => {
    expect(speeds(dissolve('CAM_A', `M2   CAM_A  012.0 ${at24(48)}`, `M2   CAM_A  048.0 ${at24(0)}`))).toEqual(['1', '2']);
  });

  it('of the outgoing side only leaves the incoming one alone, and is said where the outgoing event runs normally', () => {
    const text = dissolve('CAM_B', `M2   CAM_A  012.0 ${at24(48)}`).replace(at24(47), at24(24));
    expect(speeds(text)).toEqual(['1', '1']);
    expect(messagesOf(readList(text), 'speed-note')).toEqual([expect.stringContaining('whose own event runs at normal speed')]);
    const below = list(
      ...text.trimEnd().split('\n').slice(0, 2),
      `M2 CAM_A 012.0 ${at24(48)}`,
      ...text.trimEnd().split('\n').slice(2, 3),
    );
    expect(messagesOf(readList(below), 'speed-note')).toEqual([expect.stringContaining('whose own event runs at normal speed')]);
  });
});
