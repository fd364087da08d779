/**
 * Reading neutral timeline XML, against the bare event stream of the parser underneath, in one process.
 *
 * The cut is invented: about 14,000 clips on four tracks, indented as a person or a program would write it.
 */

import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import sax from 'sax/lib/sax.js';
import { xmlFormat } from '../../server/src/core/formats/xml/xmlFormat.ts';
import type { Timeline } from '../../server/src/core/timeline/model.ts';
import { type Bench, type BenchResult, median, timeOf } from './benchmark.ts';

const CHARACTERS = 3_500_000;
const WARM_UP = 4;
const TURNS = 15;

export const benches: readonly Bench[] = [
  { name: 'XML of 3.5 MB to timeline / bare parser events', limit: 2, unit: 'x', run: readingTime },
  { name: 'XML of 3.5 MB to timeline: heap kept / size of the text', limit: 6, unit: 'x', run: heapKept },
];

async function readingTime(): Promise<BenchResult> {
  const text = writeLargeCut(CHARACTERS);
  const ratios: number[] = [];
  const times: number[] = [];
  // Taken in turns and compared turn by turn, so that a busy machine is busy for both; the first turns pay for compiling.
  for (let turn = 0; turn < WARM_UP + TURNS; turn += 1) {
    const bareTime = timeOf(() => bareEvents(text));
    const readingTime = timeOf(() => read(text).clips.length);
    if (turn < WARM_UP) continue;
    ratios.push(readingTime / bareTime);
    times.push(readingTime);
  }
  return { ratio: median(ratios), detail: `${(text.length / 1e6).toFixed(1)} MB in ${median(times).toFixed(0)} ms` };
}

async function heapKept(): Promise<BenchResult> {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  const text = writeLargeCut(CHARACTERS);
  read(text);
  collect();
  const before = process.memoryUsage().heapUsed;
  const timeline = read(text);
  collect();
  const kept = process.memoryUsage().heapUsed - before;
  return { ratio: kept / text.length, detail: `${(kept / 1e6).toFixed(1)} MB for ${timeline.clips.length} clips` };
}

function read(text: string): Timeline {
  return xmlFormat.read(text, { edlRate: null, sharedPictureRate: null });
}

/** What any reader on this parser pays: every event, nothing done with it. */
function bareEvents(text: string): number {
  let count = 0;
  const parser = sax.parser(true, { strictEntities: true });
  parser.onopentag = () => {
    count += 1;
  };
  parser.onclosetag = () => {
    count += 1;
  };
  parser.onattribute = () => {
    count += 1;
  };
  parser.write(text).close();
  return count;
}

function writeLargeCut(characters: number): string {
  const files = Array.from({ length: 100 }, (_, index) => mediaReference(index));
  const head = `<?xml version="1.0" encoding="UTF-8"?>
<Timeline xmlns="urn:afterclap:timeline:1">
  <ContentTitle>Large cut</ContentTitle>
  <EditRate>24000 1001</EditRate>
  <MediaReferences>
${files.join('')}  </MediaReferences>
  <Stack>
`;
  const perTrack = Math.floor((characters - head.length) / 4);
  const tracks = ['Video', 'Video', 'Audio', 'Audio'].map((kind, index) => track(kind, index, perTrack));
  // Through bytes, so that the text is one flat string as it would be when read from a file.
  return Buffer.from(`${head}${tracks.join('')}  </Stack>\n</Timeline>\n`).toString();
}

function mediaReference(index: number): string {
  return `    <ExternalReference>
      <Id>urn:uuid:00000000-0000-4000-8000-${String(index).padStart(12, '0')}</Id>
      <TargetUrl>file:///large/FILE_${index}.wav</TargetUrl>
      <EditRate>48000 1</EditRate>
      <AvailableRange><StartTime>${2_000_000 + index}</StartTime><Duration>99000000</Duration></AvailableRange>
    </ExternalReference>
`;
}

function track(kind: string, number: number, characters: number): string {
  const pieces = [`    <Track kind="${kind}">\n`];
  for (let length = 0, index = 0; length < characters; index += 1) {
    const clip = `      <Clip enabled="true">
        <Name>Scene ${index} take ${number + 1}</Name>
        <TrackFileId>urn:uuid:00000000-0000-4000-8000-${String(index % 100).padStart(12, '0')}</TrackFileId>
        <EntryPoint>${(index * 7919) % 90_000}</EntryPoint>
        <SourceDuration>${24 + (index % 96)}</SourceDuration>
      </Clip>
`;
    pieces.push(clip);
    length += clip.length;
  }
  pieces.push('    </Track>\n');
  return pieces.join('');
}
