/**
 * What a well-formed timeline XML means: DESIGN.md section 10 and the definitions in `syntaxes/timeline.xsd`.
 *
 * Times are worked out by hand beside each check.
 */

import { describe, expect, test } from 'vitest';
import { formatRational, subtract } from '../../../server/src/core/time/rational.ts';
import type { Clip, Timeline } from '../../../server/src/core/timeline/model.ts';
import { changed, digits, readXml, SMALL_CUT } from './xmlSupport.ts';

const text = SMALL_CUT;
const small = readXml(text);

function clipOf(timeline: Timeline, index: number): Clip {
  return timeline.clips[index] as Clip;
}

describe('a small cut', () => {
  test('has nothing to report', () => {
    expect(small.observations).toEqual([]);
  });

  test('has its title, its rate and where the rate stands', () => {
    expect(small.name).toBe('Harbour, cut 3');
    expect(formatRational(small.rate)).toBe('24000/1001');
    expect(small.rateReason).toBe('the EditRate of the Timeline says so');
    expect(text.slice(small.rateSpan?.start, small.rateSpan?.end)).toBe('24000 1001');
  });

  test('starts at frame 86400: 01:00:00:00 counts 3600 seconds of 24 labels (SMPTE ST 12-1)', () => {
    expect(formatRational(small.startFrame ?? { numerator: 0, denominator: 1 })).toBe('86400');
    expect(small.isDropFrame).toBe(false);
  });

  test('places clips one after another, gaps included', () => {
    // 48 frames of 1001/24000 s are 2.002 s; 60 are 2.5025 s; 84 are 3.5035 s.
    expect(small.clips.map((clip) => [formatRational(clip.record.start), formatRational(clip.record.end)])).toEqual([
      ['0', '1001/500'],
      ['1001/400', '7007/2000'],
      ['0', '1001/500'],
    ]);
    expect(formatRational(small.duration)).toBe('7007/2000');
  });

  test('counts source time from the stamp, so that media time is the EntryPoint', () => {
    const clip = clipOf(small, 0);
    const stamp = clip.media.available?.start ?? { numerator: 0, denominator: 1 };
    expect(formatRational(stamp)).toBe('253253/5'); // 1214400 x 1001 / 24000 = 50650.6 s
    expect(formatRational(subtract(clip.sourceStart, stamp))).toBe('1001/1000'); // 24 frames
    expect(clip.media.sourceIsMediaTime).toBe(false);
  });

  test('without an AvailableRange says that source time is media time', () => {
    const clip = clipOf(small, 2);
    expect(clip.media.available).toBeNull();
    expect(clip.media.sourceIsMediaTime).toBe(true);
    expect(formatRational(clip.sourceStart)).toBe('1001/1000'); // 48048 samples at 48 kHz
  });

  test('knows the characters of every number', () => {
    expect(small.clips.map((clip) => [digits(text, clip.start), digits(text, clip.length)])).toEqual([
      ['24', '48'],
      ['300', '24'],
      ['48048', '96096'],
    ]);
    expect(small.clips.map((clip) => text.slice(clip.span.start, clip.span.end))).toEqual([
      expect.stringMatching(/^<Clip>[\s\S]*<\/Clip>$/),
      expect.stringMatching(/^<Clip>[\s\S]*<\/Clip>$/),
      expect.stringMatching(/^<Clip enabled="true">[\s\S]*<\/Clip>$/),
    ]);
  });

  test('names tracks by kind and number when they have no name', () => {
    expect(small.tracks.map((track) => [track.kind, track.name])).toEqual([
      ['picture', 'V1'],
      ['sound', 'A1'],
    ]);
  });

  test('keeps media references with the places of their names and rates', () => {
    const { media } = clipOf(small, 0);
    expect(media.kind).toBe('file');
    expect(media.url).toBe('file:///harbour/CAM_A_0007.mov');
    expect(text.slice(media.urlSpan?.start, media.urlSpan?.end)).toBe('file:///harbour/CAM_A_0007.mov');
    expect(text.slice(media.rateSpan?.start, media.rateSpan?.end)).toBe('24000 1001');
  });

  test('has an outline as written: media, stack, tracks, clips and gaps', () => {
    const root = small.outline[0];
    expect(root?.children.map((node) => [node.kind, node.name])).toEqual([
      ['media', 'CAM_A_0007.mov'],
      ['media', 'DECK_0012.wav'],
      ['stack', 'Stack'],
    ]);
    const tracks = root?.children[2]?.children ?? [];
    expect(tracks.map((node) => node.children.map((child) => [child.kind, child.name, child.clip]))).toEqual([
      [
        ['clip', 'Quay wide', 0],
        ['gap', 'Gap', null],
        ['clip', 'Quay close', 1],
      ],
      [['clip', 'Quay wide', 2]],
    ]);
  });
});

describe('edit rates', () => {
  test("a clip's own EditRate counts its EntryPoint and SourceDuration, the media's does not", () => {
    const timeline = readXml(
      changed('<EntryPoint>24</EntryPoint>', '<EditRate>25 1</EditRate><EntryPoint>25</EntryPoint>', text),
    );
    const clip = clipOf(timeline, 0);
    expect(formatRational(clip.record.end)).toBe('48/25');
    expect(formatRational(clip.start?.rate ?? small.rate)).toBe('25');
    expect(clip.start?.rateSpan).not.toBeNull();
    expect(formatRational(subtract(clip.sourceStart, clip.media.available?.start ?? clip.sourceStart))).toBe('1');
  });

  test('the order of the children of a Timeline and a Clip is free', () => {
    const rate = '  <EditRate>24000 1001</EditRate>\n';
    const late = changed('</Stack>\n', `</Stack>\n${rate}`, changed(rate, '', text));
    const timeline = readXml(late);
    expect(timeline.observations).toEqual([]);
    expect(timeline.clips.map((clip) => formatRational(clip.record.end))).toEqual(
      small.clips.map((clip) => formatRational(clip.record.end)),
    );
  });

  test('a rate that rounds a 1001 ratio is read as the ratio, and said', () => {
    const timeline = readXml(changed('<EditRate>24000 1001</EditRate>\n  <Comp', '<EditRate>23976 1000</EditRate>\n  <Comp'));
    expect(formatRational(timeline.rate)).toBe('24000/1001');
    expect(timeline.observations).toMatchObject([
      { kind: 'rate', message: expect.stringContaining('rounded form of 24000 1001') },
    ]);
  });

  test('an unusual rate is used exactly, and said; a pulled sample rate is not unusual', () => {
    const odd = readXml(changed('<EditRate>48000 1</EditRate>\n      <Clip', '<EditRate>70000 3</EditRate>\n      <Clip'));
    expect(formatRational(clipOf(odd, 2).start?.rate ?? odd.rate)).toBe('70000/3');
    expect(odd.observations.map(({ kind }) => kind)).toEqual(['rate']);
    const pulled = readXml(
      changed('<EditRate>48000 1</EditRate>\n      <Clip', '<EditRate>48000000 1001</EditRate>\n      <Clip'),
    );
    expect(pulled.observations).toEqual([]);
  });

  test('a sample rate on the Timeline is said: its rate is the frame rate of the cut', () => {
    const timeline = readXml(changed('<EditRate>24000 1001</EditRate>\n  <Comp', '<EditRate>48000 1</EditRate>\n  <Comp'));
    expect(timeline.observations.map(({ kind }) => kind)).toEqual(['rate', 'rate']);
    expect(timeline.startFrame).toBeNull();
  });
});

describe('numbers', () => {
  test('beyond 2 to the power of 53 are exact', () => {
    const timeline = readXml(changed('>300<', '>9007199254740993<'));
    expect(formatRational(clipOf(timeline, 1).start?.count ?? small.rate)).toBe('9007199254740993');
    expect(timeline.observations).toEqual([]);
  });

  test('with a fraction are read exactly, and said to lie off the grid', () => {
    const timeline = readXml(changed('>300<', '>300.25<'));
    expect(formatRational(clipOf(timeline, 1).start?.count ?? small.rate)).toBe('1201/4');
    expect(timeline.observations).toMatchObject([{ kind: 'off-grid', clip: 1 }]);
  });

  test('may be spelled with references, CDATA and comments; the place is that of the value', () => {
    for (const [spelling, place] of [
      ['&#51;00', '&#51;00'],
      ['<![CDATA[300]]>', '<![CDATA[300]]>'],
      [' <!-- was 299 --> 300 <!-- checked --> ', '300'],
    ] as const) {
      const spelled = changed('>300<', `>${spelling}<`);
      const timeline = readXml(spelled);
      expect(timeline.observations).toEqual([]);
      expect(formatRational(clipOf(timeline, 1).start?.count ?? small.rate)).toBe('300');
      expect(digits(spelled, clipOf(timeline, 1).start)).toBe(place);
    }
  });
});

describe('speeds', () => {
  test.each([
    ['0.5', '1/2'],
    ['1000 1001', '1000/1001'],
    ['25/24', '25/24'],
    ['-1', '-1'],
    ['0', '0'],
  ])('TimeScalar %s is %s, and leaves the length on record alone', (written, expected) => {
    const timeline = readXml(changed('<SourceDuration>48', `<TimeScalar>${written}</TimeScalar><SourceDuration>48`));
    const { speed, record } = clipOf(timeline, 0);
    expect(speed.kind === 'constant' && formatRational(speed.scalar)).toBe(expected);
    expect(formatRational(record.end)).toBe('1001/500');
    expect(timeline.observations).toEqual([]);
  });

  test('that cannot be read are unknown, so that the clip is not compared', () => {
    const timeline = readXml(changed('<SourceDuration>48', '<TimeScalar>fast</TimeScalar><SourceDuration>48'));
    expect(clipOf(timeline, 0).speed.kind).toBe('unknown');
    expect(timeline.observations.map(({ kind }) => kind)).toEqual(['unreadable']);
  });
});

describe('transitions', () => {
  const dissolve = '<Transition><Name>Dissolve</Name><InOffset>6</InOffset><OutOffset>4</OutOffset></Transition>';
  const gap = '<Gap>\n        <SourceDuration>12</SourceDuration>\n      </Gap>';

  test('take no time and let both neighbours run on', () => {
    const timeline = readXml(changed(gap, dissolve));
    expect(timeline.observations).toEqual([]);
    const [left, right] = timeline.clips;
    expect(formatRational(right?.record.start ?? small.rate)).toBe('1001/500');
    expect(formatRational(left?.tailOverlap ?? small.rate)).toBe('1001/6000'); // 4 frames after the cut
    expect(formatRational(right?.headOverlap ?? small.rate)).toBe('1001/4000'); // 6 frames before it
    expect(timeline.transitions).toMatchObject([{ track: 0, name: 'Dissolve' }]);
  });

  test('that are longer than a neighbour are noted', () => {
    const timeline = readXml(changed(gap, dissolve.replace('>4<', '>25<')));
    expect(timeline.observations).toMatchObject([{ kind: 'note', message: expect.stringContaining('OutOffset') }]);
  });

  test('may not stand side by side', () => {
    const timeline = readXml(changed(gap, dissolve + dissolve));
    expect(timeline.observations).toMatchObject([{ kind: 'unreadable', message: expect.stringContaining('side by side') }]);
  });
});

describe('what is switched off', () => {
  test.each([
    ['<Stack>', '<Stack enabled="false">', [false, false, false]],
    ['<Track kind="Video">', '<Track kind="Video" enabled="false">', [false, false, true]],
    ['<Clip enabled="true">', '<Clip enabled="0">', [true, true, false]],
  ])('%s', (piece, replacement, expected) => {
    expect(readXml(changed(piece, replacement)).clips.map((clip) => clip.isEnabled)).toEqual(expected);
  });
});

describe('metadata', () => {
  const accept = (code: string, reason: string): string => `<Metadata><Accept code="${code}">${reason}</Accept></Metadata>`;

  test('accepts findings on a clip, a track or everything', () => {
    const onClip = readXml(changed('<EntryPoint>300', `${accept('sound-lags', 'kept &amp; liked')}<EntryPoint>300`));
    expect(onClip.acceptances).toMatchObject([{ code: 'sound-lags', reason: 'kept & liked', clips: [1] }]);
    const onTrack = readXml(changed('<Track kind="Video">', `<Track kind="Video">${accept('no-sound', 'mute')}`));
    expect(onTrack.acceptances).toMatchObject([{ code: 'no-sound', clips: [0, 1] }]);
    const onAll = readXml(changed('<Stack>', `${accept('unmeasured', 'library sound')}<Stack>`));
    expect(onAll.acceptances).toMatchObject([{ code: 'unmeasured', clips: 'all' }]);
  });

  test('without a reason accepts nothing', () => {
    const timeline = readXml(changed('<Stack>', `${accept('unmeasured', ' ')}<Stack>`));
    expect(timeline.acceptances).toEqual([]);
    expect(timeline.observations.map(({ kind }) => kind)).toEqual(['unreadable']);
  });

  test("names a reel; a clip's own wins, and AX is none", () => {
    const reel = (name: string): string => `<Metadata><Reel>${name}</Reel></Metadata>`;
    const onMedia = changed('<TargetUrl>file', `${reel('A007')}<TargetUrl>file`);
    expect(readXml(onMedia).clips.map((clip) => clip.media.reel)).toEqual(['A007', 'A007', null]);
    const both = changed('<EntryPoint>300', `${reel('B002')}<EntryPoint>300`, onMedia);
    expect(readXml(both).clips.map((clip) => clip.media.reel)).toEqual(['A007', 'B002', null]);
    const none = changed('<EntryPoint>300', `${reel('ax')}<EntryPoint>300`, onMedia);
    expect(readXml(none).clips.map((clip) => clip.media.reel)).toEqual(['A007', 'A007', null]);
  });
});

describe('names', () => {
  test('a clip without one is called by the file it shows', () => {
    const timeline = readXml(changed('<Name>Quay wide</Name>', '', changed('CAM_A_0007.mov', 'CAM%20A.mov')));
    expect(clipOf(timeline, 0).name).toBe('CAM A.mov');
    expect(clipOf(timeline, 0).nameSpan).toBeNull();
  });
});

describe('namespaces', () => {
  test('any prefix will do, and prefixes are resolved, not matched', () => {
    const prefixed = text.replace(/<(\/?)(?=[A-Z])/g, '<$1cut:').replace('xmlns=', 'xmlns:cut=');
    const timeline = readXml(prefixed);
    expect(timeline.observations).toEqual([]);
    expect(timeline.clips.map((clip) => clip.name)).toEqual(small.clips.map((clip) => clip.name));

    const rebound = changed('<Name>Quay wide</Name>', '<Name xmlns="urn:example:other">7</Name><Name>Mine</Name>');
    expect(readXml(rebound).observations).toEqual([]);
    expect(clipOf(readXml(rebound), 0).name).toBe('Mine');
  });

  test('of others are ignored with everything in them', () => {
    const foreign = '<x:Clip xmlns:x="urn:example:other"><Clip><EntryPoint>5</EntryPoint></Clip></x:Clip>';
    const timeline = readXml(changed('<Track kind="Video">', `<Track kind="Video" xml:id="t1">${foreign}`));
    expect(timeline.observations).toEqual([]);
    expect(timeline.clips).toHaveLength(3);
  });
});

describe('a byte order mark and other line ends', () => {
  test('move spans, not meaning', () => {
    const other = `\ufeff${text.replaceAll('\n', '\r\n')}`;
    const timeline = readXml(other);
    expect(timeline.observations).toEqual([]);
    expect(digits(other, clipOf(timeline, 1).start)).toBe('300');
  });
});
