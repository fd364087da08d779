/**
 * What the tests of the XML room share: a small invented cut as text, and a short form of what reading it gives.
 */

import { xmlFormat } from '../../../server/src/core/formats/xml/xmlFormat.ts';
import type { Observation, Timeline } from '../../../server/src/core/timeline/model.ts';

/** One picture clip of 48 frames from frame 24 on, a gap, and its sound from sample 48048 on. */
export const SMALL_CUT = `<?xml version="1.0" encoding="UTF-8"?>
<Timeline xmlns="urn:afterclap:timeline:1">
  <ContentTitle>Harbour, cut 3</ContentTitle>
  <EditRate>24000 1001</EditRate>
  <CompositionTimecode>
    <TimecodeDropFrame>false</TimecodeDropFrame>
    <TimecodeRate>24</TimecodeRate>
    <TimecodeStartAddress>01:00:00:00</TimecodeStartAddress>
  </CompositionTimecode>
  <MediaReferences>
    <ExternalReference>
      <Id>cam-a-07</Id>
      <TargetUrl>file:///harbour/CAM_A_0007.mov</TargetUrl>
      <EditRate>24000 1001</EditRate>
      <AvailableRange>
        <StartTime>1214400</StartTime>
        <Duration>4316</Duration>
      </AvailableRange>
    </ExternalReference>
    <ExternalReference>
      <Id>deck-12</Id>
      <TargetUrl>DECK_0012.wav</TargetUrl>
      <EditRate>48000 1</EditRate>
    </ExternalReference>
  </MediaReferences>
  <Stack>
    <Track kind="Video">
      <Clip>
        <Name>Quay wide</Name>
        <TrackFileId>cam-a-07</TrackFileId>
        <EntryPoint>24</EntryPoint>
        <SourceDuration>48</SourceDuration>
      </Clip>
      <Gap>
        <SourceDuration>12</SourceDuration>
      </Gap>
      <Clip>
        <Name>Quay close</Name>
        <TrackFileId>cam-a-07</TrackFileId>
        <EntryPoint>300</EntryPoint>
        <SourceDuration>24</SourceDuration>
      </Clip>
    </Track>
    <Track kind="Audio">
      <EditRate>48000 1</EditRate>
      <Clip enabled="true">
        <Name>Quay wide</Name>
        <TrackFileId>deck-12</TrackFileId>
        <EntryPoint>48048</EntryPoint>
        <SourceDuration>96096</SourceDuration>
      </Clip>
    </Track>
  </Stack>
</Timeline>
`;

export function readXml(text: string): Timeline {
  return xmlFormat.read(text, { edlRate: null, sharedPictureRate: null });
}

/** SMALL_CUT with the first occurrence of one piece replaced; fails when the piece is not there. */
export function changed(piece: string, replacement: string, text: string = SMALL_CUT): string {
  if (!text.includes(piece)) throw new Error(`the text has no ${piece}`);
  return text.replace(piece, () => replacement);
}

/** Each observation as `kind: underlined text`. */
export function underlined(text: string, timeline: Timeline = readXml(text)): readonly string[] {
  return timeline.observations.map(({ kind, span }) => `${kind}: ${text.slice(span.start, span.end)}`);
}

export function messages(timeline: Timeline): readonly string[] {
  return timeline.observations.map(messageOf);
}

function messageOf(observation: Observation): string {
  return 'message' in observation ? observation.message : observation.kind;
}

/** A WrittenTime as the characters it stands on. */
export function digits(
  text: string,
  written: { readonly span: { readonly start: number; readonly end: number } } | null,
): string {
  return written === null ? '' : text.slice(written.span.start, written.span.end);
}
