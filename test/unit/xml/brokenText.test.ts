/**
 * Broken texts: each break is reported on its own characters, and does not hide the rest.
 *
 * XML 1.0 and Namespaces in XML 1.0 say what is well-formed. `survives` counts the clips that are still read, of three.
 */

import { describe, expect, test } from 'vitest';
import { changed, messages, readXml, SMALL_CUT, underlined } from './xmlSupport.ts';

interface Break {
  readonly what: string;
  readonly piece: string;
  readonly becomes: string;
  readonly reports: readonly string[];
  readonly says: RegExp;
  readonly survives?: number;
}

const BREAKS: readonly Break[] = [
  {
    what: 'a value whose end tag is lost',
    piece: '<EntryPoint>24</EntryPoint>',
    becomes: '<EntryPoint>24',
    reports: ['unreadable: <EntryPoint>'],
    says: /EntryPoint is not closed: SourceDuration starts first\. Expected: <\/EntryPoint>/,
  },
  {
    what: 'a clip whose end tag is lost',
    piece: '</Clip>',
    becomes: '',
    reports: ['unreadable: <Clip>'],
    says: /Clip is not closed: Gap starts first/,
  },
  {
    what: 'a track whose end tag is lost',
    piece: '</Track>',
    becomes: '',
    reports: ['unreadable: <Track kind="Video">'],
    says: /Track is not closed: Track starts first/,
  },
  {
    what: 'a misspelt end tag',
    piece: '</EntryPoint>',
    becomes: '</EntryPiont>',
    reports: ['unreadable: </EntryPiont>'],
    says: /closes nothing\. Expected: <\/EntryPoint>/,
  },
  {
    what: 'an end tag too many',
    piece: '<Gap>',
    becomes: '</Gap><Gap>',
    reports: ['unreadable: </Gap>'],
    says: /The end tag <\/Gap> closes nothing/,
  },
  {
    what: 'a quotation mark that is lost',
    piece: '<Track kind="Video">',
    becomes: '<Track kind="Video>',
    reports: ['unreadable: <Track kind="Video>'],
    says: /The tag <Track is not closed/,
  },
  {
    what: "a '>' that is lost after attributes",
    piece: '<Clip enabled="true">',
    becomes: '<Clip enabled="true"',
    reports: ['unreadable: <Clip enabled="true"'],
    says: /The tag <Clip is not closed/,
  },
  {
    what: "a '>' that is lost before a value",
    piece: '<EntryPoint>24',
    becomes: '<EntryPoint 24',
    reports: ['unreadable: <EntryPoint 24'],
    says: /The tag <EntryPoint is not closed/,
  },
  {
    what: "an end tag without its '>'",
    piece: '</EntryPoint>',
    becomes: '</EntryPoint',
    reports: ['unreadable: </EntryPoint'],
    says: /The tag <\/EntryPoint is not closed/,
  },
  {
    what: 'an attribute without quotation marks',
    piece: 'kind="Audio"',
    becomes: 'kind=Audio',
    reports: ['unreadable: <Track kind=Audio>'],
    says: /without quotation marks/,
  },
  {
    what: 'an attribute without a value',
    piece: 'enabled="true"',
    becomes: 'enabled',
    reports: ['unreadable: <Clip enabled>'],
    says: /has no value/,
  },
  {
    what: 'an attribute without a name',
    piece: '<Gap>',
    becomes: '<Gap ="1">',
    reports: ['unreadable: <Gap ="1">'],
    says: /character that starts no attribute/,
  },
  {
    what: 'attributes without a blank between',
    piece: 'kind="Audio"',
    becomes: 'kind="Audio"enabled="true"',
    reports: ['unreadable: <Track kind="Audio"enabled="true">'],
    says: /White space is missing between two attributes/,
  },
  {
    what: 'a slash inside a tag',
    piece: '<Gap>',
    becomes: '<Gap / >',
    reports: ['unreadable: <Gap / >'],
    says: /'\/' stands inside this tag/,
  },
  {
    what: 'a name with a character that no name has',
    piece: '<Gap>',
    becomes: '<Gap!>',
    reports: ['unreadable: <Gap!>'],
    says: /holds a character that no name may hold/,
  },
  {
    what: 'an end tag with such a character',
    piece: '</Gap>',
    becomes: '</Gap!>',
    reports: ['unreadable: </Gap!>'],
    says: /name of this end tag holds a character/,
  },
  {
    what: 'an end tag with more than a name',
    piece: '</Gap>',
    becomes: '</Gap of="12">',
    reports: ['unreadable: </Gap of="12">'],
    says: /An end tag holds nothing but its name/,
  },
  {
    what: "a '<' before a character that starts no name",
    piece: '<Gap>',
    becomes: '<\u00d7Gap>\n<Gap>',
    reports: ['unreadable: <', 'unreadable: \u00d7Gap>'],
    says: /'<' that starts no tag/,
  },
  {
    what: 'a repeated attribute, which the parser passes over',
    piece: 'kind="Audio"',
    becomes: 'kind="Audio" kind="Video"',
    reports: ['unreadable: kind="Video"'],
    says: /kind is repeated; only the first one is read/,
  },
  {
    what: 'an attribute that breaks the parser',
    piece: '<Clip enabled="true">',
    becomes: '<Clip hasOwnProperty="1" enabled="true">',
    reports: ['unreadable: hasOwnProperty="1"'],
    says: /Clip has no attribute hasOwnProperty/,
  },
  {
    what: 'an unknown attribute',
    piece: '<Gap>',
    becomes: '<Gap length="12">',
    reports: ['unreadable: length="12"'],
    says: /Gap has no attribute length\. It has none/,
  },
  {
    what: 'an attribute with an unbound prefix',
    piece: '<Gap>',
    becomes: '<Gap x:note="12">',
    reports: ['unreadable: x:note="12"'],
    says: /bound to no namespace/,
  },
  {
    what: 'a missing attribute',
    piece: '<Track kind="Audio">',
    becomes: '<Track>',
    reports: ['unreadable: <Track>'],
    says: /This Track has no attribute kind/,
  },
  {
    what: 'a wrong value of an attribute',
    piece: 'kind="Audio"',
    becomes: 'kind="Sound"',
    reports: ['unreadable: Sound'],
    says: /Expected: Video or Audio/,
  },
  {
    what: 'a bare ampersand',
    piece: 'Harbour, cut',
    becomes: 'Harbour & cut',
    reports: ['unreadable: &'],
    says: /written &amp;/,
  },
  {
    what: 'an ampersand right before a tag, which the parser would swallow',
    piece: 'Quay wide</Name>',
    becomes: 'Quay &</Name>',
    reports: ['unreadable: &'],
    says: /written &amp;/,
  },
  {
    what: 'an entity of HTML',
    piece: 'Quay wide',
    becomes: 'Qu&auml;y wide',
    reports: ['unreadable: &auml;'],
    says: /stands for nothing/,
  },
  {
    what: 'a reference to a character that XML forbids',
    piece: 'Quay wide',
    becomes: 'Quay&#0;wide',
    reports: ['unreadable: &#0;'],
    says: /stands for nothing/,
  },
  {
    what: 'a control character',
    piece: 'Quay wide',
    becomes: 'Quay\u0001wide',
    reports: ['unreadable: \u0001'],
    says: /U\+0001 may not stand in XML/,
  },
  {
    what: 'half of a surrogate pair',
    piece: 'Quay wide',
    becomes: 'Quay\ud800wide',
    reports: ['unreadable: \ud800'],
    says: /U\+D800 may not stand in XML/,
  },
  {
    what: "a '<' in text",
    piece: 'Quay wide',
    becomes: 'Quay < wide',
    reports: ['unreadable: <'],
    says: /written &lt;/,
  },
  {
    what: 'text between elements',
    piece: '<Gap>',
    becomes: 'later <!-- or never --> <Gap>',
    reports: ['unreadable: later <!-- or never -->'],
    says: /Track holds elements only/,
  },
  {
    what: 'an element in a value',
    piece: 'Quay wide</Name>',
    becomes: 'Quay <b>wide</b></Name>',
    reports: ['unreadable: <Name>', 'unreadable: <b>'],
    says: /Name holds text only, no element b/,
  },
  {
    what: 'two hyphens in a comment',
    piece: '<Gap>',
    becomes: '<!-- one -- two --><Gap>',
    reports: ['unreadable: <!-- one -- two -->'],
    says: /Two hyphens/,
  },
  {
    what: 'a DOCTYPE with entities',
    piece: '<Timeline',
    becomes: '<!DOCTYPE Timeline [<!ENTITY long "x>y"> <!-- a ] --> ]>\n<Timeline',
    reports: ['unreadable: <!DOCTYPE Timeline [<!ENTITY long "x>y"> <!-- a ] --> ]>'],
    says: /A DOCTYPE stands here/,
  },
  {
    what: 'another markup declaration',
    piece: '<Gap>',
    becomes: '<!ELEMENT "Gap><Gap>',
    reports: ['unreadable: <!ELEMENT "Gap>'],
    says: /markup declaration/,
  },
  {
    what: 'the end of a CDATA section that never started',
    piece: 'Quay wide',
    becomes: 'Quay]]>wide',
    reports: ['unreadable: ]]>'],
    says: /written \]\]&gt;/,
  },
  {
    what: 'a processing instruction without a name',
    piece: '<Gap>',
    becomes: '<? note ?><Gap>',
    reports: ['unreadable: <? note ?>'],
    says: /starts with a name/,
  },
  {
    what: 'an XML declaration without quotation marks',
    piece: 'version="1.0"',
    becomes: 'version=1.0',
    reports: ['unreadable: <?xml version=1.0 encoding="UTF-8"?>'],
    says: /This XML declaration is malformed/,
  },
  {
    what: 'a second document element',
    piece: '</Timeline>',
    becomes: '</Timeline><Timeline/>',
    reports: ['unreadable: <Timeline/>'],
    says: /second document element/,
  },
  {
    what: 'text after the document element',
    piece: '</Timeline>',
    becomes: '</Timeline> the end',
    reports: ['unreadable: the end'],
    says: /outside the document element/,
  },
  {
    what: 'text before it',
    piece: '<?xml',
    becomes: 'see here: <?xml',
    reports: ['unreadable: see here: ', 'unreadable: <?xml version="1.0" encoding="UTF-8"?>'],
    says: /Text stands before the first tag/,
  },
  {
    what: 'a missing child',
    piece: '<EntryPoint>24</EntryPoint>',
    becomes: '',
    reports: ['unreadable: <Clip>'],
    says: /This Clip has no EntryPoint/,
  },
  {
    what: 'a repeated child',
    piece: '<EntryPoint>24</EntryPoint>',
    becomes: '<EntryPoint>24</EntryPoint><EntryPoint>25</EntryPoint>',
    reports: ['unreadable: <EntryPoint>'],
    says: /Clip has a second EntryPoint; only the first one is read/,
  },
  {
    what: 'a child of the wrong parent',
    piece: '<Gap>',
    becomes: '<Duration>5</Duration><Gap>',
    reports: ['unreadable: <Duration>'],
    says: /Duration may not stand in Track/,
  },
  {
    what: 'an unknown element',
    piece: '<Gap>',
    becomes: '<Pause><Clip/></Pause><Gap>',
    reports: ['unreadable: <Pause>'],
    says: /Track holds no element Pause; it is not read\. Expected: Name, EditRate, Metadata, Clip, Gap, Transition/,
  },
  {
    what: 'an unknown element that nothing closes',
    piece: '<Gap>',
    becomes: '<Pause><Gap>',
    reports: ['unreadable: <Pause>'],
    says: /Track holds no element Pause/,
  },
  {
    what: 'an element of another namespace that nothing closes',
    piece: '<Gap>',
    becomes: '<x:Pause xmlns:x="urn:example:other"><Gap>',
    reports: ['unreadable: <x:Pause xmlns:x="urn:example:other">'],
    says: /x:Pause is not closed: <\/Track> comes first/,
  },
  {
    what: 'an unbound prefix',
    piece: '<Gap>',
    becomes: '<x:Gap/><Gap>',
    reports: ['unreadable: <x:Gap/>'],
    says: /prefix of x:Gap is bound to no namespace/,
  },
  {
    what: 'a header after the clips it counts',
    piece: '</Track>\n    <Track kind="Audio">\n      <EditRate>48000 1</EditRate>',
    becomes: '<Name>V1</Name></Track>\n    <Track kind="Audio">\n      <EditRate>48000 1</EditRate>',
    reports: ['unreadable: <Name>'],
    says: /Name must stand before the first Clip of its Track/,
  },
  {
    what: 'a nested stack, which OTIO has and this format has not',
    piece: '<Gap>',
    becomes: '<Stack><Track kind="Video"/></Stack><Gap>',
    reports: ['unreadable: <Stack>'],
    says: /Stack may not stand in Track/,
  },
  {
    what: 'a reference to no media',
    piece: '<TrackFileId>deck-12',
    becomes: '<TrackFileId>deck-13',
    reports: ['unreadable: deck-13'],
    says: /the Id of no ExternalReference/,
  },
  {
    what: 'two media of one Id',
    piece: '<Id>deck-12',
    becomes: '<Id> cam-a-07',
    reports: ['unreadable: cam-a-07', 'unreadable: deck-12'],
    says: /A second ExternalReference has the Id/,
  },
  {
    what: 'a Reel where none belongs',
    piece: '<Stack>',
    becomes: '<Metadata><Reel>A1</Reel></Metadata><Stack>',
    reports: ['unreadable: <Reel>A1</Reel>'],
    says: /Reel may stand in the Metadata of an ExternalReference or a Clip only/,
  },
  {
    what: 'a namespace that is forgotten',
    piece: ' xmlns="urn:afterclap:timeline:1"',
    becomes: '',
    reports: ['unreadable: <Timeline>'],
    says: /Timeline is in no namespace\. Write <Timeline xmlns="urn:afterclap:timeline:1">/,
  },
  {
    what: 'a namespace of another version',
    piece: 'urn:afterclap:timeline:1',
    becomes: 'urn:afterclap:timeline:2',
    reports: ['unreadable: <Timeline xmlns="urn:afterclap:timeline:2">'],
    says: /Nothing is read/,
    survives: 0,
  },
  {
    what: 'a comment that never ends',
    piece: '<Track kind="Audio">',
    becomes: '<!-- <Track kind="Audio">',
    reports: ['unreadable: <!--', 'unreadable: <Stack>'],
    says: /This comment never ends/,
    survives: 2,
  },
];

describe('a break is reported where it is, and the rest is read', () => {
  test.each(BREAKS)('$what', ({ piece, becomes, reports, says, survives }) => {
    const text = changed(piece, becomes);
    const timeline = readXml(text);
    expect([...underlined(text, timeline)].sort()).toEqual([...reports].sort());
    expect(messages(timeline).join('\n')).toMatch(says);
    expect(timeline.clips).toHaveLength(survives ?? 3);
  });
});

describe('numbers that are none', () => {
  test.each([
    ['', /EntryPoint is empty/],
    ['24,5', /'24,5', which is no number/],
    ['-24', /is -24, but counts from zero/],
    ['+24', /which is no number/],
    ['0x18', /which is no number/],
    ['24.0', /written as '24\.0' and read as 24/],
    ['2.4e1', /written as '2\.4e1' and read as 24/],
    ['NaN', /which is no number/],
    ['9'.repeat(41), /longer than 40 characters/],
  ])('%s', (written, says) => {
    const timeline = readXml(changed('<EntryPoint>24<', `<EntryPoint>${written}<`));
    expect(messages(timeline).join()).toMatch(says);
    expect(timeline.observations.map(({ kind }) => kind)).toEqual(['unreadable']);
    expect(timeline.clips).toHaveLength(3);
  });

  test.each([
    ['0 1', /no rate/],
    ['-24 1', /no rate/],
    ['24 0', /no rate/],
    ['', /EditRate is empty/],
    ['fast', /no rate/],
    ['24000/1001', /read as 24000 1001/],
    ['23.976', /read as 24000 1001/],
    ['24', /read as 24 1/],
    ['24000 1001 1', /no rate/],
  ])('EditRate %s', (written, says) => {
    const text = changed('<EditRate>24000 1001</EditRate>\n  <Comp', `<EditRate>${written}</EditRate>\n  <Comp`);
    expect(messages(readXml(text)).join()).toMatch(says);
  });
});

describe('what cannot be known is not guessed', () => {
  test('a clip without an EntryPoint is kept and not compared', () => {
    const timeline = readXml(changed('<EntryPoint>24</EntryPoint>', ''));
    expect(timeline.clips.map((clip) => clip.doubt)).toEqual(['it has no readable EntryPoint', null, null]);
    expect(timeline.clips[0]?.start).toBeNull();
  });

  test('behind a clip without a length every place on the track is doubtful', () => {
    const timeline = readXml(changed('<SourceDuration>48</SourceDuration>', '<SourceDuration>?</SourceDuration>'));
    expect(timeline.clips.map((clip) => clip.doubt)).toEqual([
      'a Clip before it on its track has no readable SourceDuration',
      null,
    ]);
  });

  test('behind an unknown element too, but a repeated header takes no time', () => {
    const unknown = readXml(changed('<Gap>', '<Pause/><Gap>'));
    expect(unknown.clips.map((clip) => clip.doubt !== null)).toEqual([false, true, false]);
    const repeated = readXml(
      changed('<EditRate>48000 1</EditRate>\n      <Clip', '<EditRate>48000 1</EditRate><EditRate>44100 1</EditRate><Clip'),
    );
    expect(repeated.clips.map((clip) => clip.doubt)).toEqual([null, null, null]);
  });

  test('without a rate 24 is assumed, said, and nothing that counts in it is compared', () => {
    const timeline = readXml(changed('<EditRate>24000 1001</EditRate>\n  <Comp', '<Comp'));
    expect(messages(timeline)).toEqual(['This Timeline has no EditRate.']);
    expect(timeline.rateReason).toBe('the Timeline has no EditRate, so 24 is assumed');
    expect(timeline.clips.map((clip) => clip.doubt !== null)).toEqual([true, true, false]);
  });

  test('a rate that cannot be read makes doubtful what it counts', () => {
    const timeline = readXml(changed('<EditRate>48000 1</EditRate>\n      <Clip', '<EditRate>48k</EditRate>\n      <Clip'));
    expect(timeline.clips.map((clip) => clip.doubt)).toEqual([null, null, 'the EditRate of its Track cannot be read']);
  });
});

describe('texts that are no timeline', () => {
  test.each([
    ['', /The text is empty\. Expected: <Timeline xmlns="urn:afterclap:timeline:1">/],
    [' \n', /The text is empty/],
    ['hello', /Text stands before the first tag/],
    ['{"OTIO_SCHEMA": "Timeline.1"}', /Text stands before the first tag/],
    ['<', /'<' that starts no tag/],
    ['<24', /Text stands before the first tag; only/],
    ['<Timeline', /not closed/],
    ['<html><body/></html>', /The document element is html of another namespace/],
    ['<!-- only a comment -->', /No element stands in this text/],
    ['\u0000\u0001\u0002', /U\+0000 may not stand in XML\. 2 more/],
  ])('%j', (text, says) => {
    const timeline = readXml(text);
    expect(messages(timeline).join('\n')).toMatch(says);
    expect(timeline.clips).toEqual([]);
  });

  test('a text cut off in the middle says once where it ends', () => {
    const text = SMALL_CUT.slice(0, SMALL_CUT.indexOf('300'));
    expect(messages(readXml(text))).toEqual([
      'The text ends inside this element. Missing: </EntryPoint>, </Clip>, </Track>, </Stack> and those around them.',
    ]);
    expect(readXml(text).clips).toHaveLength(1);
  });
});
