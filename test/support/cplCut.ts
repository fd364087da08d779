/**
 * The small cuts of `cut.ts` as composition playlists (SMPTE ST 2067-3, 2016), by a writer of the tests' own.
 *
 * Written from the published schema: the order of elements, `EditRate` as two numbers, counts in edit units, one sequence a track,
 * every sequence of the segment as long as the others. A playlist has no gaps, so what lies between shots is a filler file.
 */

import type { TestCut, TestShot } from './cut.ts';
import { tracksOf } from './cut.ts';

const FILLER = 'filler';

/** Sound is counted in samples at 48 kHz, so the rate must give a whole number of samples per frame. */
export function writeCpl(cut: TestCut): string {
  const [numerator, denominator] = cut.rate;
  const samplesPerFrame = (48000 * denominator) / numerator;
  if (!Number.isInteger(samplesPerFrame)) throw new RangeError('no whole samples per frame at this rate');
  const length = Math.max(...cut.shots.map((shot) => shot.recordIn + shot.length));
  let lastId = 0;
  const id = (): string => {
    lastId += 1;
    return uuid(lastId);
  };
  const sequences = tracksOf(cut).map((track) => {
    const isSound = track.startsWith('A');
    const factor = isSound ? samplesPerFrame : 1;
    const rate = isSound ? '<EditRate>48000 1</EditRate>' : '';
    const resource = (file: string, name: string, fileLength: number, entry: number, duration: number): string =>
      `<Resource xsi:type="TrackFileResourceType"><Id>${id()}</Id><Annotation>${name}</Annotation>${rate}<IntrinsicDuration>${fileLength * factor}</IntrinsicDuration><EntryPoint>${entry * factor}</EntryPoint><SourceDuration>${duration * factor}</SourceDuration><SourceEncoding>${uuid(0)}</SourceEncoding><TrackFileId>${uuidOfFile(file)}</TrackFileId></Resource>`;
    const filler = (frames: number): readonly string[] =>
      frames === 0 ? [] : [resource(`${FILLER} ${isSound}`, FILLER, frames, 0, frames)];
    const resources: string[] = [];
    let at = 0;
    for (const shot of shotsOf(cut, track)) {
      const media = cut.media.find(({ file }) => file === shot.media);
      resources.push(...filler(shot.recordIn - at));
      const entry = shot.sourceIn - (media?.stampFrames ?? 0);
      resources.push(resource(shot.media, shot.name ?? shot.media, media?.lengthFrames ?? 0, entry, shot.length));
      at = shot.recordIn + shot.length;
    }
    resources.push(...filler(length - at));
    const name = isSound ? 'MainAudioSequence' : 'MainImageSequence';
    return `      <cc:${name}><Id>${id()}</Id><TrackId>${id()}</TrackId><ResourceList>
        ${resources.join('\n        ')}
      </ResourceList></cc:${name}>`;
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<CompositionPlaylist xmlns="http://www.smpte-ra.org/schemas/2067-3/2016" xmlns:cc="http://www.smpte-ra.org/schemas/2067-2/2016" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
  <Id>${id()}</Id>
  <IssueDate>2026-01-01T00:00:00Z</IssueDate>
  <ContentTitle>test cut</ContentTitle>
  <EditRate>${numerator} ${denominator}</EditRate>
  <SegmentList>
    <Segment><Id>${id()}</Id><SequenceList>
${sequences.join('\n')}
    </SequenceList></Segment>
  </SegmentList>
</CompositionPlaylist>
`;
}

/** One identifier for each file name. */
function uuidOfFile(file: string): string {
  let hash = 7;
  for (const character of file) hash = (hash * 31 + (character.codePointAt(0) ?? 0)) % 0x7fffffff;
  return uuid(hash + 0x80000000);
}

function uuid(number: number): string {
  return `urn:uuid:00000000-0000-4000-8000-${number.toString(16).padStart(12, '0')}`;
}

function shotsOf(cut: TestCut, track: string): readonly TestShot[] {
  return cut.shots.filter((shot) => shot.track === track).sort((left, right) => left.recordIn - right.recordIn);
}
