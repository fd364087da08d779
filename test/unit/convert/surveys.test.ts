/**
 * What a source holds beyond the neutral timeline is named, each thing with its clip and its place.
 *
 * Sources are written by hand: OTIO by its serialized schema, edit lists by custom, playlists by SMPTE ST 2067-3.
 */

import { describe, expect, it } from 'vitest';
import type { Loss } from '../../../server/src/core/convert/loss.ts';
import type { TargetFormat } from '../../../server/src/core/convert/verifyText.ts';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import { TWO_SEGMENTS } from '../cpl/cplSupport.ts';
import { convert, read, told } from './conversions.ts';

const time = (value: number, rate = 24): object => ({ OTIO_SCHEMA: 'RationalTime.1', value, rate });
const range = (start: number, duration: number): object => ({
  OTIO_SCHEMA: 'TimeRange.1',
  start_time: time(start),
  duration: time(duration),
});
const file = (name: string, more: object = {}): object => ({
  OTIO_SCHEMA: 'ExternalReference.1',
  target_url: name,
  available_range: range(0, 5000),
  ...more,
});
const clip = (name: string, start: number, length: number, more: object = {}): object => ({
  OTIO_SCHEMA: 'Clip.2',
  name,
  source_range: range(start, length),
  media_references: { DEFAULT_MEDIA: file(`${name}.mov`) },
  active_media_reference_key: 'DEFAULT_MEDIA',
  ...more,
});
const track = (kind: string, name: string, children: readonly object[], more: object = {}): object => ({
  OTIO_SCHEMA: 'Track.1',
  kind,
  name,
  children,
  ...more,
});
const otio = (tracks: readonly object[], more: object = {}): string =>
  JSON.stringify(
    {
      OTIO_SCHEMA: 'Timeline.1',
      name: 'cut',
      global_start_time: time(86400),
      tracks: { OTIO_SCHEMA: 'Stack.1', name: 'tracks', children: tracks },
      ...more,
    },
    null,
    1,
  );

/** `kind  clip  message`, without what the target alone is to blame for. */
function survey(format: FormatId, text: string, target: TargetFormat): readonly string[] {
  const { losses } = convert(format, text, target, { rate: { numerator: 24, denominator: 1 } });
  const { clips } = read(format, text, { numerator: 24, denominator: 1 });
  expect(losses.every(({ span }: Loss) => span !== null && span.end <= text.length)).toBe(true);
  return losses.map(
    ({ kind, clip: index, message }) => `${kind}  ${index === null ? '-' : (clips[index]?.name ?? '')}  ${message}`,
  );
}

describe('from OTIO', () => {
  it('a file of the core without extras loses nothing', () => {
    const text = otio([track('Video', 'V1', [clip('a', 0, 24), clip('b', 10, 24)]), track('Audio', 'A1', [clip('c', 0, 48)])]);
    expect(survey('otio', text, 'xml')).toEqual([]);
    expect(survey('otio', text, 'otio')).toEqual([]);
  });

  it('markers, effects, metadata, colours and further references are named with their clip', () => {
    const busy = clip('a', 0, 24, {
      markers: [{ OTIO_SCHEMA: 'Marker.2', name: 'check lips', color: 'RED', comment: 'late?', marked_range: range(3, 0) }],
      effects: [
        { OTIO_SCHEMA: 'Effect.1', effect_name: 'Blur', name: '' },
        { OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: 'LinearTimeWarp', time_scalar: 2, metadata: { note: { by: 'hand' } } },
        { OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: 'off', time_scalar: 4, enabled: false },
      ],
      metadata: { edl: { reel: 'A007' }, shot: { grade: 'warm' }, empty: {} },
      color: { OTIO_SCHEMA: 'Color.1', name: 'pink', r: 1, g: 0, b: 1, a: 1 },
      media_references: { DEFAULT_MEDIA: file('a.mov', { metadata: { codec: 'x' } }), proxy: file('a_small.mov') },
    });
    expect(survey('otio', otio([track('Video', 'V1', [busy])]), 'xml')).toEqual([
      "metadata  a  It has metadata under 'shot'. It is left out.",
      'metadata  a  It also has color. It is left out.',
      "metadata  a  It has metadata of its media under 'codec'. It is left out.",
      "media  a  It has a further media reference, 'proxy'. Only the active one is written.",
      "marker  a  It has a marker 'check lips': late?. It is left out.",
      "effect  a  It has the effect 'Blur'. It is left out.",
      "metadata  a  It has metadata of the effect 'LinearTimeWarp' under 'note'. It is left out.",
      "effect  a  It has the effect 'off', which is switched off. It is left out.",
    ]);
    const converted = convert('otio', otio([track('Video', 'V1', [busy])]), 'xml').timeline.clips[0];
    expect(converted?.media.reel).toBe('A007');
    expect(converted?.speed).toMatchObject({ kind: 'constant', scalar: { numerator: 2 } });
  });

  it('nesting and trims are worked into clips, and said', () => {
    const inner = {
      OTIO_SCHEMA: 'Stack.1',
      name: 'scene 2',
      children: [track('Video', 'inner', [clip('deep', 100, 48)])],
      source_range: range(12, 24),
      effects: [{ OTIO_SCHEMA: 'LinearTimeWarp.1', effect_name: '', time_scalar: 2 }],
    };
    const text = otio([track('Video', 'V1', [clip('a', 0, 24), inner], { source_range: range(6, 30) })]);
    expect(survey('otio', text, 'xml')).toEqual([
      "nesting  -  The track 'V1' has a source_range. It is worked into the places of its clips.",
      "nesting  -  The stack 'scene 2' stands inside another one. It is flattened: its clips stand on tracks of their own, where they are seen and heard.",
      "nesting  -  The stack 'scene 2' has a source_range. It is worked into the places of its clips.",
      "nesting  -  The track 'inner' stands inside another one. It is flattened: its clips stand on tracks of their own, where they are seen and heard.",
      "nesting  -  The stack 'scene 2' is retimed as a whole. That is worked into the speeds of its clips.",
    ]);
  });

  it('what is not on record, other timelines and disabled transitions are said', () => {
    const hidden = track('Video', 'V1', [clip('a', 0, 24), clip('gone', 0, 24), clip('none', 0, 0)], {
      source_range: range(0, 24),
    });
    const off = track('Audio', 'A1', [
      clip('b', 0, 24),
      {
        OTIO_SCHEMA: 'Transition.1',
        name: 'x',
        transition_type: 'SMPTE_Dissolve',
        in_offset: time(2),
        out_offset: time(2),
        enabled: false,
      },
      clip('c', 0, 24),
    ]);
    const collection = JSON.stringify({
      OTIO_SCHEMA: 'SerializableCollection.1',
      name: 'bin',
      children: [JSON.parse(otio([hidden, off])), JSON.parse(otio([], { name: 'second cut' }))],
    });
    expect(survey('otio', collection, 'xml')).toEqual([
      "nesting  -  The track 'V1' has a source_range. It is worked into the places of its clips.",
      "hidden  -  The clip 'gone' has no length, or what is around it leaves nothing of it. It is left out.",
      "hidden  -  The clip 'none' has no length, or what is around it leaves nothing of it. It is left out.",
      "transition  -  The transition 'x' is disabled, or nothing of it is on record. It is left out.",
      "other-timeline  -  A further timeline 'second cut' is in this file. Only the first one is converted.",
    ]);
  });

  it('transitions of other kinds are said where the target knows fewer', () => {
    const text = otio([
      track('Video', 'V1', [
        clip('a', 0, 48),
        {
          OTIO_SCHEMA: 'Transition.1',
          name: 'page turn',
          transition_type: 'Custom_Turn',
          in_offset: time(0),
          out_offset: time(12),
        },
        clip('b', 0, 48),
      ]),
    ]);
    expect(survey('otio', text, 'xml')).toEqual([
      'transition  -  This transition is of the kind "Custom_Turn". Neutral XML says where a transition stands and how long it is, not of which kind.',
    ]);
    expect(survey('otio', text, 'edl').filter((line) => line.startsWith('transition'))).toEqual([
      'transition  -  This transition is of the kind "Custom_Turn". A list knows dissolves and wipes; it is written as a dissolve.',
    ]);
  });

  it('speeds nobody knows, image sequences, black and missing media are said', () => {
    const unknown = clip('a', 0, 24, { effects: [{ OTIO_SCHEMA: 'TimeEffect.1', effect_name: 'curve' }] });
    const images = clip('b', 0, 24, {
      media_references: {
        DEFAULT_MEDIA: {
          OTIO_SCHEMA: 'ImageSequenceReference.1',
          target_url_base: 'seq/',
          name_prefix: 'f',
          name_suffix: '.exr',
          start_frame: 1,
          frame_step: 1,
          rate: 24,
          frame_zero_padding: 4,
          missing_frame_policy: 'error',
          available_range: range(0, 100),
        },
      },
    });
    const black = clip('c', 0, 24, {
      media_references: {
        DEFAULT_MEDIA: {
          OTIO_SCHEMA: 'GeneratorReference.1',
          generator_kind: 'black',
          parameters: {},
          available_range: range(0, 100),
        },
      },
    });
    const missing = clip('d', 0, 24, {
      media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'MissingReference.1', available_range: range(0, 100) } },
    });
    const text = otio([track('Video', 'V1', [unknown, images, black, missing])]);
    expect(survey('otio', text, 'xml')).toEqual([
      'speed  a  Its speed is not known (a TimeEffect does not say how time runs), and neutral XML cannot say so. It is written at normal speed: do not trust a check of this clip.',
      'media  c  It shows black, and neutral XML holds files only. It is written as a Gap.',
      "media  d  Its media is missing. TargetUrl must say something, so it holds 'd'.",
    ]);
    expect(survey('otio', text, 'edl').filter((line) => /^(speed|media)/.test(line))).toEqual([
      expect.stringContaining('speed  a  Its speed is not known'),
      'media  b  Its media is a sequence of images. A list names the first image as its file.',
      'media  d  Its media is missing, and a list cannot say so.',
    ]);
    expect(convert('otio', text, 'edl').text).toMatch(/^003 {2}BL {7}V/m);
  });

  it('what cannot be read is said, and what stands after it is doubtful', () => {
    const text = otio([track('Video', 'V1', [clip('a', 0, 24), { OTIO_SCHEMA: 'Strange.1' }, clip('b', 0, 24)])]);
    expect(survey('otio', text, 'xml')).toEqual([
      expect.stringContaining('unreadable  -  The source could not be read here: Strange.1'),
      expect.stringContaining('doubt  b  Its place is doubtful'),
    ]);
  });
});

describe('from edit lists', () => {
  const LIST = `TITLE: cut
FCM: NON-DROP FRAME
Exported by hand
001  A007     V     C        00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00 extra
* FROM CLIP NAME: a
* SOURCE FILE: a.mov
* LOC: 01:00:01:00 RED check lips
* ASC_SAT 0.9
* a remark
* EFFECT NAME IS Blur
GPI 001
SPLIT:    AUDIO DELAY= 00:00:00:00
002  A007     V     K        00:00:10:00 00:00:11:00 01:00:02:00 01:00:03:00
* FROM CLIP NAME: title
003  A007     NONE  C        00:00:10:00 00:00:11:00 01:00:03:00 01:00:04:00
`;

  it('comments, locators, colours, keys and control lines are named with their event', () => {
    expect(survey('edl', LIST, 'otio')).toEqual([
      "comment  -  The comment 'Exported by hand' is left out.",
      "comment  a  What stands behind the times of the event, 'extra', is left out.",
      "marker  a  The locator '01:00:01:00 RED check lips' is left out.",
      'effect  a  Its colour values, 0.9, are left out.',
      "comment  a  The comment 'a remark' is left out.",
      "effect  a  The effect 'Blur' is left out.",
      "metadata  a  The line for machine control, 'GPI 001', is left out.",
      'comment  a  The SPLIT line is left out; the times of its events say the same.',
      'effect  title  It is part of a key. How it is keyed and faded is left out.',
      'hidden  -  This event lasts no frames or names no channel, so nothing of it is on record. It is left out.',
    ]);
  });

  it('events recorded over each other go to tracks of their own where a track plays one after another', () => {
    const over = `TITLE: cut
001  A007     A     C        00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00
* FROM CLIP NAME: a
002  A008     A     C        00:00:10:00 00:00:12:00 01:00:01:00 01:00:03:00
* FROM CLIP NAME: b
`;
    expect(survey('edl', over, 'otio')).toEqual([
      "track  b  It overlaps another clip on A1, where an edit list records over it. A track here plays one clip after another, so it is put on a track of its own, 'A1 layer 2'; decide which of the two is meant.",
    ]);
    const { timeline } = convert('edl', over, 'otio', { rate: { numerator: 24, denominator: 1 } });
    expect(timeline.tracks.map(({ name, kind }) => `${kind} ${name}`)).toEqual(['sound A1', 'sound A1 layer 2']);
    expect(survey('edl', over, 'edl')).toEqual([]);
    expect(
      convert('edl', over, 'edl', { rate: { numerator: 24, denominator: 1 } }).timeline.clips.map(({ name }) => name),
    ).toEqual(['a', 'b']);
  });

  it('drop-frame counting is said where the target holds numbers of frames', () => {
    const drop = LIST.replace('NON-DROP', 'DROP').replace(/:(\d\d)(?= |$)/gm, ';$1');
    const rate = { numerator: 30000, denominator: 1001 };
    expect(told(convert('edl', drop, 'otio', { rate }).losses).filter((line) => line.startsWith('drop-frame'))).toEqual([
      'drop-frame: Record timecode is counted drop-frame. OTIO holds frame numbers and not how labels count them: the instants are exact, the labels that another program shows may differ.',
    ]);
    const asXml = convert('edl', drop, 'xml', { rate });
    expect(told(asXml.losses).filter((line) => line.startsWith('drop-frame'))).toEqual([]);
    expect(asXml.timeline.isDropFrame).toBe(true);
  });
});

describe('from composition playlists', () => {
  it('identifiers, descriptions, segments and the signature are named', () => {
    const signed = TWO_SEGMENTS.replace(
      '</CompositionPlaylist>',
      '<ds:Signature xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:SignedInfo/></ds:Signature></CompositionPlaylist>',
    );
    const lines = told(convert('cpl', signed, 'otio').losses);
    expect(lines).toEqual([
      'nesting: The 2 segments are joined: their sequences stand one after another on the tracks.',
      'identifier: The 15 identifiers of the composition, its segments, sequences and resources are left out. Those of the files are kept as names.',
      'metadata: An Annotation is left out.',
      'metadata: IssueDate is left out.',
      'metadata: Issuer is left out.',
      'metadata: ContentKind is left out.',
      'metadata: ContentVersionList is left out.',
      'metadata: EssenceDescriptorList is left out.',
      'metadata: LocaleList is left out.',
      'metadata: ExtensionProperties is left out.',
      'metadata: SourceEncoding (in 4 places) is left out.',
      'metadata: An Annotation is left out.',
      'metadata: The signature of the playlist does not hold for what is written. It is left out.',
    ]);
  });

  it('repeats become clips of their own', () => {
    const repeated = TWO_SEGMENTS.replace(
      '<SourceDuration>48</SourceDuration>',
      '<SourceDuration>24</SourceDuration><RepeatCount>2</RepeatCount>',
    );
    const converted = convert('cpl', repeated, 'xml');
    expect(told(converted.losses)).toContainEqual('nesting: It is repeated. Every repeat is written as a clip of its own.');
    expect(converted.timeline.clips.length).toBe(5);
  });
});

describe('from neutral XML', () => {
  it('elements and attributes of other namespaces, comments and media without a clip are named', () => {
    const text = `<Timeline xmlns="urn:afterclap:timeline:1" xmlns:x="urn:example:x"><ContentTitle>cut</ContentTitle><EditRate>24 1</EditRate>
<CompositionTimecode><TimecodeDropFrame>false</TimecodeDropFrame><TimecodeRate>24</TimecodeRate><TimecodeStartAddress>01:00:00:00</TimecodeStartAddress></CompositionTimecode>
<MediaReferences><ExternalReference><Id>a</Id><TargetUrl>a.mov</TargetUrl><EditRate>24 1</EditRate><AvailableRange><StartTime>0</StartTime><Duration>500</Duration></AvailableRange></ExternalReference>
<ExternalReference><Id>unused</Id><TargetUrl>b.mov</TargetUrl><EditRate>24 1</EditRate></ExternalReference></MediaReferences>
<!-- by hand -->
<Stack><Track kind="Video" x:note="1"><Clip><Name>one</Name><TrackFileId>a</TrackFileId><EntryPoint>0</EntryPoint><SourceDuration>24</SourceDuration><Metadata><x:grade>warm</x:grade></Metadata></Clip></Track></Stack></Timeline>`;
    expect(survey('xml', text, 'otio')).toEqual([
      "media  -  No clip uses the media 'unused'. It is left out.",
      "comment  -  A comment or instruction, 'by hand', is left out.",
      'metadata  -  An attribute of another namespace, x:note, is left out.',
      'metadata  one  It holds an element of another namespace, x:grade. It is left out.',
    ]);
  });
});
