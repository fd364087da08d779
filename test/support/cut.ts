/**
 * Small cuts for tests, described once and written in all three formats by a writer of the tests' own.
 *
 * All positions are whole frames at the cut's rate. Source positions count from midnight, as timecode does; the media
 * carry stamps so that the same shot is the same moment in every format.
 */

export type RatePair = readonly [numerator: number, denominator: number];

export interface TestMedia {
  readonly file: string;
  /** Frames since midnight at the cut's rate. */
  readonly stampFrames: number;
  readonly lengthFrames: number;
}

export interface TestShot {
  readonly track: string;
  readonly media: string;
  readonly recordIn: number;
  readonly length: number;
  readonly sourceIn: number;
  readonly name?: string;
  readonly isDisabled?: boolean;
}

export interface TestCut {
  readonly rate: RatePair;
  readonly media: readonly TestMedia[];
  readonly shots: readonly TestShot[];
}

export function tracksOf(cut: TestCut): readonly string[] {
  return [...new Set(cut.shots.map((shot) => shot.track))].sort((left, right) =>
    left[0] === right[0] ? left.localeCompare(right) : left.startsWith('V') ? -1 : 1,
  );
}

export function writeOtio(cut: TestCut): string {
  const rate = cut.rate[0] / cut.rate[1];
  const time = (value: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', rate, value });
  const range = (start: number, length: number): object => ({
    OTIO_SCHEMA: 'TimeRange.1',
    start_time: time(start),
    duration: time(length),
  });
  const tracks = tracksOf(cut).map((track) => {
    const children: object[] = [];
    let at = 0;
    for (const shot of shotsOf(cut, track)) {
      if (shot.recordIn > at) children.push({ OTIO_SCHEMA: 'Gap.1', source_range: range(0, shot.recordIn - at) });
      children.push({
        OTIO_SCHEMA: 'Clip.2',
        name: shot.name ?? shot.media,
        ...(shot.isDisabled ? { enabled: false } : {}),
        source_range: range(shot.sourceIn, shot.length),
        media_references: {
          DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: `media/${shot.media}` },
        },
        active_media_reference_key: 'DEFAULT_MEDIA',
        metadata: {},
      });
      at = shot.recordIn + shot.length;
    }
    return { OTIO_SCHEMA: 'Track.1', name: track, kind: track.startsWith('V') ? 'Video' : 'Audio', children };
  });
  const timeline = {
    OTIO_SCHEMA: 'Timeline.1',
    name: 'test cut',
    global_start_time: time(0),
    tracks: { OTIO_SCHEMA: 'Stack.1', name: 'tracks', children: tracks },
  };
  return `${JSON.stringify(timeline, null, 4)}\n`;
}

/** Sound is counted in samples at 48 kHz, so the rate must give a whole number of samples per frame. */
export function writeXml(cut: TestCut): string {
  const [numerator, denominator] = cut.rate;
  const samplesPerFrame = (48000 * denominator) / numerator;
  if (!Number.isInteger(samplesPerFrame)) throw new RangeError('no whole samples per frame at this rate');
  const isSound = (media: string): boolean => cut.shots.some((shot) => shot.media === media && shot.track.startsWith('A'));
  const references = cut.media.map(({ file, stampFrames, lengthFrames }) => {
    const factor = isSound(file) ? samplesPerFrame : 1;
    const rate = isSound(file) ? '48000 1' : `${numerator} ${denominator}`;
    return `    <ExternalReference><Id>id-${file}</Id><TargetUrl>media/${file}</TargetUrl><EditRate>${rate}</EditRate>
      <AvailableRange><StartTime>${stampFrames * factor}</StartTime><Duration>${lengthFrames * factor}</Duration></AvailableRange>
    </ExternalReference>`;
  });
  const tracks = tracksOf(cut).map((track) => {
    const items: string[] = [];
    let at = 0;
    for (const shot of shotsOf(cut, track)) {
      const stamp = cut.media.find((media) => media.file === shot.media)?.stampFrames ?? 0;
      const factor = track.startsWith('A') ? samplesPerFrame : 1;
      const rate = track.startsWith('A') ? '<EditRate>48000 1</EditRate>' : '';
      if (shot.recordIn > at) items.push(`<Gap><SourceDuration>${shot.recordIn - at}</SourceDuration></Gap>`);
      items.push(
        `<Clip enabled="${shot.isDisabled ? 'false' : 'true'}"><Name>${shot.name ?? shot.media}</Name><TrackFileId>id-${shot.media}</TrackFileId>${rate}<EntryPoint>${(shot.sourceIn - stamp) * factor}</EntryPoint><SourceDuration>${shot.length * factor}</SourceDuration></Clip>`,
      );
      at = shot.recordIn + shot.length;
    }
    return `    <Track kind="${track.startsWith('V') ? 'Video' : 'Audio'}">\n      ${items.join('\n      ')}\n    </Track>`;
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<Timeline xmlns="urn:afterclap:timeline:1">
  <ContentTitle>test cut</ContentTitle>
  <EditRate>${numerator} ${denominator}</EditRate>
  <MediaReferences>
${references.join('\n')}
  </MediaReferences>
  <Stack>
${tracks.join('\n')}
  </Stack>
</Timeline>
`;
}

/** Counts without dropping: an EDL of a test never sits at a rate with drop-frame. */
export function writeEdl(cut: TestCut): string {
  const nominal = Math.ceil(cut.rate[0] / cut.rate[1]);
  const label = (frame: number): string => {
    const two = (value: number): string => String(value).padStart(2, '0');
    const seconds = Math.floor(frame / nominal);
    return `${two(Math.floor(seconds / 3600) % 24)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}:${two(frame % nominal)}`;
  };
  const earliest = 3600 * nominal;
  const channel = (track: string): string => (track === 'V1' ? 'V' : track === 'A1' ? 'A' : track);
  const events = cut.shots.map((shot, index) => {
    const number = String(index + 1).padStart(3, '0');
    const times = [
      shot.sourceIn,
      shot.sourceIn + shot.length,
      shot.recordIn + earliest,
      shot.recordIn + earliest + shot.length,
    ].map(label);
    return `${number}  AX       ${channel(shot.track).padEnd(5)} C        ${times.join(' ')}\n* FROM CLIP NAME: ${shot.name ?? shot.media}\n* SOURCE FILE: ${shot.media}\n`;
  });
  return `TITLE: TEST CUT\nFCM: NON-DROP FRAME\n${events.join('')}`;
}

function shotsOf(cut: TestCut, track: string): readonly TestShot[] {
  return cut.shots.filter((shot) => shot.track === track).sort((left, right) => left.recordIn - right.recordIn);
}
