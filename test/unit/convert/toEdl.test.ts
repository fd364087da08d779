/**
 * Edit lists as they are written, line by line.
 *
 * Columns: number 1-3, reel 6-13, channel 15-19, type 21-24, length 26-28, labels from 30, 42, 54, 66 (layout of the OTIO project's
 * edit list adapter, classic layout from memory). Dissolves, M2, AUD: common practice. Expected lists are worked out by hand.
 */

import { describe, expect, it } from 'vitest';
import { convert, kindsOf, read, told } from './conversions.ts';

const RATE = { numerator: 24, denominator: 1 };

/** A timeline of our own neutral XML: tracks as `[kind, name, items]`. */
function xml(
  tracks: readonly (readonly [kind: string, name: string, items: string])[],
  rate = '24 1',
  start = '01:00:00:00',
  isDrop = false,
): string {
  const nominal = Math.ceil(Number(rate.split(' ')[0]) / Number(rate.split(' ')[1]));
  const cut = tracks.map(([kind, name, items]) => `<Track kind="${kind}"><Name>${name}</Name>${items}</Track>`).join('');
  const deck =
    '<ExternalReference><Id>deck</Id><TargetUrl>wav/DECK.wav</TargetUrl><EditRate>48000 1</EditRate><AvailableRange><StartTime>0</StartTime><Duration>100000000</Duration></AvailableRange></ExternalReference>';
  return `<Timeline xmlns="urn:afterclap:timeline:1"><ContentTitle>Reel 1</ContentTitle><EditRate>${rate}</EditRate>
<CompositionTimecode><TimecodeDropFrame>${isDrop}</TimecodeDropFrame><TimecodeRate>${nominal}</TimecodeRate><TimecodeStartAddress>${start}</TimecodeStartAddress></CompositionTimecode>
<MediaReferences>
<ExternalReference><Id>cam</Id><TargetUrl>CAM.mov</TargetUrl><EditRate>${rate}</EditRate><AvailableRange><StartTime>0</StartTime><Duration>100000</Duration></AvailableRange><Metadata><Reel>A007</Reel></Metadata></ExternalReference>
${cut.includes('>deck<') ? deck : ''}
</MediaReferences>
<Stack>${cut}</Stack></Timeline>`;
}

function clip(name: string, entry: number, length: number, more = '', media = 'cam', attributes = ''): string {
  return `<Clip${attributes}><Name>${name}</Name><TrackFileId>${media}</TrackFileId><EntryPoint>${entry}</EntryPoint><SourceDuration>${length}</SourceDuration>${more}</Clip>`;
}

function transition(before: number, after: number, name = 'Dissolve'): string {
  return `<Transition><Name>${name}</Name><InOffset>${before}</InOffset><OutOffset>${after}</OutOffset></Transition>`;
}

/** Losses but for those every list of these files has. */
function lost(losses: Parameters<typeof told>[0]): readonly string[] {
  return told(losses.filter(({ kind }) => kind !== 'time-stamp' && kind !== 'unit'));
}

describe('events', () => {
  it('stand in record order, picture first, with their names and files below', () => {
    const text = xml([
      ['Video', 'V1', clip('wide', 100, 48) + clip('close', 500, 24)],
      ['Audio', 'A1', clip('wide', 96, 72, '', 'deck')],
    ]);
    const converted = convert('xml', text, 'edl', { rate: RATE });
    expect(converted.text).toBe(`TITLE: Reel 1
FCM: NON-DROP FRAME
001  A007     V     C        00:00:04:04 00:00:06:04 01:00:00:00 01:00:02:00
* FROM CLIP NAME: wide
* SOURCE FILE: CAM.mov
002  AX       A     C        00:00:04:00 00:00:07:00 01:00:00:00 01:00:03:00
* FROM CLIP NAME: wide
* FROM FILE: wav/DECK.wav
003  A007     V     C        00:00:20:20 00:00:21:20 01:00:02:00 01:00:03:00
* FROM CLIP NAME: close
* SOURCE FILE: CAM.mov
`);
    expect(lost(converted.losses)).toEqual([]);
    const [, , line = ''] = converted.text.split('\n');
    expect([
      line.slice(0, 3),
      line.slice(5, 13).trim(),
      line.slice(14, 19).trim(),
      line.slice(20, 24).trim(),
      line.slice(29, 40),
      line.slice(65),
    ]).toEqual(['001', 'A007', 'V', 'C', '00:00:04:04', '01:00:02:00']);
  });

  it('of the third and fourth sound channel are NONE with an AUD line', () => {
    const sounds = ['A1', 'A2', 'A3', 'A4'].map((name): readonly [string, string, string] => [
      'Audio',
      name,
      clip('s', 10, 24, '', 'deck'),
    ]);
    const converted = convert('xml', xml([['Video', 'V1', clip('p', 0, 24)], ...sounds]), 'edl', { rate: RATE });
    const lines = converted.text
      .split('\n')
      .filter((line) => /^\d|^AUD/.test(line))
      .map((line) => line.slice(0, 20).replace(/^\d+/, '').trim());
    expect(lines).toEqual(['A007     V', 'AX       A', 'AX       A2', 'AX       NONE', 'AUD   3', 'AX       NONE', 'AUD   4']);
    expect(converted.timeline.tracks.map(({ name }) => name)).toEqual(['V', 'A1', 'A2', 'A3', 'A4']);
  });

  it('count drop-frame where the timeline does', () => {
    const text = xml([['Video', 'V1', clip('p', 1799, 2)]], '30000 1001', '01:00:00:00', true);
    const converted = convert('xml', text, 'edl');
    // 1799 is 00:00:59;29 and 1801 is 00:01:00;03 (SMPTE ST 12-1 drop-frame counting).
    expect(converted.text).toContain('FCM: DROP FRAME\n');
    expect(converted.text).toContain('00:00:59;29 00:01:00;03 01:00:00;00 01:00:00;02');
    expect(lost(converted.losses)).toEqual([]);
    expect(converted.timeline.isDropFrame).toBe(true);
  });
});

describe('transitions', () => {
  const text = (passage: string): string => xml([['Video', 'V1', clip('a', 100, 48) + passage + clip('b', 500, 48)]]);

  it('that begin at the cut are two lines of one event', () => {
    const converted = convert('xml', text(transition(0, 12)), 'edl', { rate: RATE });
    expect(converted.text.split('\n').slice(5, 12)).toEqual([
      '002  A007     V     C        00:00:06:04 00:00:06:04 01:00:02:00 01:00:02:00',
      '002  A007     V     D    012 00:00:20:20 00:00:22:20 01:00:02:00 01:00:04:00',
      '* FROM CLIP NAME: a',
      '* FROM FILE: CAM.mov',
      '* TO CLIP NAME: b',
      '* TO FILE: CAM.mov',
      '',
    ]);
    expect(lost(converted.losses)).toEqual([]);
    expect(
      told(
        converted.timeline.observations.map((one) => ({
          kind: 'check',
          message: JSON.stringify(one),
          clip: null,
          track: null,
          span: null,
        })),
      ),
    ).toEqual([]);
  });

  it('that are centred move their cut to where they begin; sync stays', () => {
    const converted = convert('xml', text(transition(6, 6)), 'edl', { rate: RATE });
    // Six frames earlier on record and in the source: 01:00:02:00 - 6, 00:00:20:20 - 6.
    expect(converted.text).toContain('A007     V     C        00:00:04:04 00:00:05:22 01:00:00:00 01:00:01:18');
    expect(converted.text).toContain('A007     V     D    012 00:00:20:14 00:00:22:20 01:00:01:18 01:00:04:00');
    expect(lost(converted.losses)).toEqual([
      'transition: This transition begins 250 ms before its cut, and in an edit list it begins at the cut. The cut is moved there: what is seen and heard stays the same.',
    ]);
  });

  it('of a wipe keep its code, others their name', () => {
    expect(convert('xml', text(transition(0, 12, 'Wipe 011')), 'edl', { rate: RATE }).text).toContain('V     W011 012 ');
    const named = convert('xml', text(transition(0, 12, 'Film fade')), 'edl', { rate: RATE });
    expect(named.text).toContain('* EFFECT NAME IS Film fade');
    expect(named.timeline.transitions.map(({ name }) => name)).toEqual(['Film fade']);
  });

  it('at the head come from black, at the tail go to black', () => {
    const ends = xml([['Video', 'V1', transition(0, 12) + clip('a', 100, 48) + transition(12, 0)]]);
    const converted = convert('xml', ends, 'edl', { rate: RATE });
    expect(converted.text.split('\n').filter((line) => /^\d/.test(line))).toEqual([
      '001  BL       V     C        00:00:00:00 00:00:00:00 01:00:00:00 01:00:00:00',
      '001  A007     V     D    012 00:00:04:04 00:00:05:16 01:00:00:00 01:00:01:12',
      '002  A007     V     C        00:00:05:16 00:00:05:16 01:00:01:12 01:00:01:12',
      '002  BL       V     D    012 00:00:00:00 00:00:00:12 01:00:01:12 01:00:02:00',
    ]);
    expect(kindsOf(converted.losses)).toContain('transition');
  });
});

describe('speeds', () => {
  const events = (scalar: string, kind = 'Video'): ReturnType<typeof convert> =>
    convert(
      'xml',
      xml([[kind, kind === 'Video' ? 'V1' : 'A1', clip('a', 100, 48, `<TimeScalar>${scalar}</TimeScalar>`)]]),
      'edl',
      { rate: RATE },
    );

  it('are M2 lines in frames per second, with a source span that is scaled', () => {
    // floor((48 - 1) x 2) + 1 = 95 frames; floor(47 / 2) + 1 = 24; a freeze shows one.
    expect(events('2').text).toContain(
      '00:00:04:04 00:00:08:03 01:00:00:00 01:00:02:00\nM2   A007      048.0      00:00:04:04\n',
    );
    expect(events('1/2').text).toContain(
      '00:00:04:04 00:00:05:04 01:00:00:00 01:00:02:00\nM2   A007      012.0      00:00:04:04\n',
    );
    expect(events('0').text).toContain(
      '00:00:04:04 00:00:04:05 01:00:00:00 01:00:02:00\nM2   A007      000.0      00:00:04:04\n',
    );
    expect(events('-1').text).toContain('M2   A007     -024.0      00:00:04:04\n');
    for (const scalar of ['2', '1/2', '0', '-1']) expect(lost(events(scalar).losses), scalar).toEqual([]);
  });

  it('that tenths of a frame cannot say are told, with what they come to', () => {
    // A pull of 1000/1001 is 23.976 frames per second: M2 says 024.0, which is normal speed. 2 s x 0.000999 = 1.998 ms.
    expect(lost(events('1000/1001').losses)).toEqual([
      'speed: Its speed is 1000/1001, and M2 holds tenths of a frame per second. It reads back as 1, which is 1.998 ms apart by the end of the clip.',
    ]);
  });

  it('of sound are told: by custom no M2 line is read there', () => {
    expect(lost(events('2', 'Audio').losses)).toEqual([expect.stringContaining('by custom retimed sound is a new file')]);
  });
});

describe('what a list cannot hold', () => {
  it('is told for disabled clips, tracks of no channel, and gaps at the ends', () => {
    const converted = convert(
      'xml',
      xml([
        [
          'Video',
          'V1',
          `<Gap><SourceDuration>24</SourceDuration></Gap>${clip('a', 100, 48)}${clip('b', 0, 24, '', 'cam', ' enabled="false"')}`,
        ],
        ['Audio', 'A1', ''],
      ]),
      'edl',
      { rate: RATE },
    );
    expect(lost(converted.losses).toSorted()).toEqual([
      'disabled: It is disabled, which a list cannot say. It is left out.',
      'gap: Nothing stands in the first 1 s. A list begins with its first event: labels stay, places counted from the beginning do not.',
      'gap: Nothing stands in the last 1 s. A list ends with its last event.',
      'track: The track A1 has no clips, and a list has no empty channel. It is left out.',
    ]);
    expect(converted.text).toContain('01:00:01:00 01:00:03:00');
  });

  it('is told for the rate, unless the list itself or the project says it', () => {
    const film = xml([['Video', 'V1', clip('a', 100, 48)]], '24000 1001');
    expect(lost(convert('xml', film, 'edl').losses)).toEqual([
      `rate: The list does not say that it runs at 23.976; whoever reads it takes it for 24 (the highest frame field is 4, which fits 24; 23.976 is written the same way, so set edlRate if it is that). Write "edlRate": "24000/1001" into afterclap.json beside it.`,
    ]);
    expect(lost(convert('xml', film, 'edl', { rate: { numerator: 24000, denominator: 1001 } }).losses)).toEqual([]);
    const pal = xml([['Video', 'V1', clip('a', 124, 48)]], '25 1');
    expect(lost(convert('xml', pal, 'edl').losses)).toEqual([]);
  });

  it('is told for a start that nothing states: the list begins at one hour', () => {
    const without = xml([['Video', 'V1', clip('a', 100, 48)]]).replace(/<CompositionTimecode>.*<\/CompositionTimecode>\n/, '');
    const converted = convert('xml', without, 'edl', { rate: RATE });
    expect(converted.text).toContain('01:00:00:00 01:00:02:00');
    expect(told(converted.losses)).toContainEqual(
      'time-stamp: Nothing states the record timecode of the first frame. The list begins at 01:00:00:00, as is common.',
    );
  });

  it('is told for reels longer than their column, which stay apart', () => {
    const text = xml([
      [
        'Video',
        'V1',
        clip('a', 100, 48) +
          clip('b', 100, 48, '<Metadata><Reel>SOUND ROLL 2</Reel></Metadata>') +
          clip('c', 100, 48, '<Metadata><Reel>SOUND ROLL 1</Reel></Metadata>'),
      ],
    ]);
    const converted = convert('xml', text, 'edl', { rate: RATE });
    expect(
      converted.text
        .split('\n')
        .filter((line) => /^\d/.test(line))
        .map((line) => line.slice(5, 13)),
    ).toEqual(['A007    ', 'SOUND_RO', 'SOUND_R2']);
    expect(lost(converted.losses)).toEqual([
      "media: Its reel 'SOUND ROLL 2' does not fit the eight letters and digits of the reel column. It is written as SOUND_RO, with the full name in a comment below each event.",
      "media: Its reel 'SOUND ROLL 1' does not fit the eight letters and digits of the reel column. It is written as SOUND_R2, with the full name in a comment below each event.",
    ]);
    expect(converted.timeline.clips.map(({ media }) => media.reel)).toEqual(['A007', 'SOUND ROLL 2', 'SOUND ROLL 1']);
  });
});

describe('more sound than a list has channels', () => {
  it('goes into further lists, each with the picture, and the channel of each track is told', () => {
    const sounds = Array.from({ length: 6 }, (_, index): readonly [string, string, string] => [
      'Audio',
      `A${index + 1}`,
      clip(`s${index + 1}`, 10, 24, '', 'deck'),
    ]);
    const converted = convert(
      'xml',
      xml([['Video', 'V1', clip('p', 0, 24)], ['Video', 'V2', clip('over', 0, 24)], ...sounds]),
      'edl',
      { rate: RATE },
    );
    expect(converted.files.map(({ label, tracks }) => `${label}: ${tracks.join(' ')}`)).toEqual([
      'A1-A4: V1 A1 A2 A3 A4',
      'A5-A6: V1 A5 A6',
      'V2: V2',
    ]);
    const [, second] = converted.files;
    expect(read('edl', second?.text ?? '', RATE).clips.map(({ name }) => name)).toEqual(['p', 's5', 's6']);
    expect(lost(converted.losses).toSorted()).toEqual([
      'track: A list holds one picture channel. The track V2 is alone in the list V2, without the sound beside it.',
      "track: The track 'A5' is channel A1 of the list A5-A6: a list numbers its channels and does not name them.",
      "track: The track 'A6' is channel A2 of the list A5-A6: a list numbers its channels and does not name them.",
      "track: The track 'V2' is channel V of the list V2: a list numbers its channels and does not name them.",
    ]);
  });
});
