/**
 * What the tests of composition playlists share: an invented one, written by hand from the published XML schemas of
 * SMPTE ST 2067-3 (CompositionPlaylist, 2016) and ST 2067-2 (the names of the sequences, 2016).
 */

import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../../server/src/core/audit.ts';
import { cplFormat } from '../../../server/src/core/formats/cpl/cplFormat.ts';
import { formatRational, type Rational } from '../../../server/src/core/time/rational.ts';
import type { Observation, Timeline } from '../../../server/src/core/timeline/model.ts';
import { type TestReport, writeTestReport } from '../../support/report.ts';

export const PICTURE_FILE = 'urn:uuid:5b1e0f7a-1111-4a11-8111-000000000001';
export const SOUND_FILE = 'urn:uuid:5b1e0f7a-2222-4a22-8222-000000000002';
const ESSENCE = 'urn:uuid:5b1e0f7a-3333-4a33-8333-000000000003';

/** Two segments at 23.976: 48 frames and 24 frames, picture and one sound track; 2002 samples of 48 kHz a frame. */
export const TWO_SEGMENTS = `<?xml version="1.0" encoding="UTF-8"?>
<CompositionPlaylist xmlns="http://www.smpte-ra.org/schemas/2067-3/2016"
    xmlns:cc="http://www.smpte-ra.org/schemas/2067-2/2016"
    xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
  <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000001</Id>
  <Annotation language="en">Invented for a test</Annotation>
  <IssueDate>2026-01-01T00:00:00Z</IssueDate>
  <Issuer>Nobody</Issuer>
  <ContentTitle language="en">Millrace, reel 1</ContentTitle>
  <ContentKind scope="urn:example:kinds">feature</ContentKind>
  <ContentVersionList><ContentVersion><Id>urn:example:v1</Id><LabelText>First</LabelText></ContentVersion></ContentVersionList>
  <EssenceDescriptorList><EssenceDescriptor><Id>${ESSENCE}</Id><x:Any xmlns:x="urn:example:any">48000</x:Any></EssenceDescriptor></EssenceDescriptorList>
  <CompositionTimecode>
    <TimecodeDropFrame>false</TimecodeDropFrame>
    <TimecodeRate>24</TimecodeRate>
    <TimecodeStartAddress>01:00:00:00</TimecodeStartAddress>
  </CompositionTimecode>
  <EditRate>24000 1001</EditRate>
  <LocaleList><Locale><Annotation>any</Annotation></Locale></LocaleList>
  <ExtensionProperties><cc:ApplicationIdentification>urn:example:app</cc:ApplicationIdentification></ExtensionProperties>
  <SegmentList>
    <Segment>
      <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000011</Id>
      <SequenceList>
        <cc:MainImageSequence>
          <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000021</Id>
          <TrackId>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000f1</TrackId>
          <ResourceList>
            <Resource xsi:type="TrackFileResourceType">
              <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000031</Id>
              <IntrinsicDuration>240</IntrinsicDuration>
              <EntryPoint>24</EntryPoint>
              <SourceDuration>48</SourceDuration>
              <SourceEncoding>${ESSENCE}</SourceEncoding>
              <TrackFileId>${PICTURE_FILE}</TrackFileId>
            </Resource>
          </ResourceList>
        </cc:MainImageSequence>
        <cc:MainAudioSequence>
          <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000022</Id>
          <TrackId>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000f2</TrackId>
          <ResourceList>
            <Resource xsi:type="TrackFileResourceType">
              <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000032</Id>
              <EditRate>48000 1</EditRate>
              <IntrinsicDuration>480480</IntrinsicDuration>
              <EntryPoint>48048</EntryPoint>
              <SourceDuration>96096</SourceDuration>
              <SourceEncoding>${ESSENCE}</SourceEncoding>
              <TrackFileId>${SOUND_FILE}</TrackFileId>
            </Resource>
          </ResourceList>
        </cc:MainAudioSequence>
      </SequenceList>
    </Segment>
    <Segment>
      <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000012</Id>
      <Annotation>The second</Annotation>
      <SequenceList>
        <cc:MainImageSequence>
          <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000023</Id>
          <TrackId>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000f1</TrackId>
          <ResourceList>
            <Resource xsi:type="TrackFileResourceType">
              <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000033</Id>
              <Annotation>Weir, close</Annotation>
              <IntrinsicDuration>240</IntrinsicDuration>
              <EntryPoint>100</EntryPoint>
              <SourceDuration>24</SourceDuration>
              <SourceEncoding>${ESSENCE}</SourceEncoding>
              <TrackFileId>${PICTURE_FILE}</TrackFileId>
            </Resource>
          </ResourceList>
        </cc:MainImageSequence>
        <cc:MainAudioSequence>
          <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000024</Id>
          <TrackId>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000f2</TrackId>
          <ResourceList>
            <Resource xsi:type="TrackFileResourceType">
              <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-000000000034</Id>
              <EditRate>48000 1</EditRate>
              <IntrinsicDuration>480480</IntrinsicDuration>
              <EntryPoint>200200</EntryPoint>
              <SourceDuration>48048</SourceDuration>
              <SourceEncoding>${ESSENCE}</SourceEncoding>
              <TrackFileId>${SOUND_FILE}</TrackFileId>
            </Resource>
          </ResourceList>
        </cc:MainAudioSequence>
      </SequenceList>
    </Segment>
  </SegmentList>
</CompositionPlaylist>
`;

/** Picture frame 0 is sound sample 0, so TWO_SEGMENTS is in sync throughout: frame 24 beside sample 48048, 100 beside 200200. */
export const REPORT: TestReport = {
  pictures: { 'cam-a': { names: ['CAM_A_0001.mxf', PICTURE_FILE], rate: '24000/1001', frames: 240 } },
  sounds: { deck: { names: ['DECK_0001.mxf', SOUND_FILE], sampleRate: 48000, samples: 480480 } },
  pairs: [{ picture: 'cam-a', sound: 'deck', frame: 0, sample: 0 }],
};

export function readCplText(text: string, assetNames: ReadonlyMap<string, string> | null = null): Timeline {
  return cplFormat.read(text, { edlRate: null, sharedPictureRate: null, assetNames });
}

export function auditCpl(
  text: string,
  report: TestReport = REPORT,
  assetNames: ReadonlyMap<string, string> | null = null,
): Audit {
  return audit({
    format: 'cpl',
    text,
    reports: [readReport('day1.alignment.json', writeTestReport(report))],
    settings: readSettings('afterclap.json', '{}'),
    assetNames,
  });
}

/** TWO_SEGMENTS, or `text`, with the first occurrence of one piece replaced; fails when the piece is not there. */
export function changed(piece: string, replacement: string, text: string = TWO_SEGMENTS): string {
  if (!text.includes(piece)) throw new Error(`the text has no ${piece}`);
  return text.replace(piece, () => replacement);
}

/** Each observation as `kind: message`. */
export function told(timeline: Timeline): readonly string[] {
  return timeline.observations.map((observation) => `${observation.kind}: ${messageOf(observation)}`);
}

function messageOf(observation: Observation): string {
  return 'message' in observation ? observation.message : observation.kind;
}

/** Record start, record end and source start of each clip, in seconds, with its track. */
export function places(timeline: Timeline): readonly string[] {
  const text = (value: Rational): string => formatRational(value);
  return timeline.clips.map(
    ({ track, record, sourceStart }) =>
      `${timeline.tracks[track]?.name} ${text(record.start)} to ${text(record.end)} from ${text(sourceStart)}`,
  );
}
