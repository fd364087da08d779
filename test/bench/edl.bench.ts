/**
 * Reading edit decision lists, against splitting the same text into lines, in one process.
 *
 * The list is invented: 20,000 events on a picture and two sound tracks, each with its clip name, about 2.2 MB.
 */

import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { edlFormat } from '../../server/src/core/formats/edl/edlFormat.ts';
import type { Timeline } from '../../server/src/core/timeline/model.ts';
import { type Bench, type BenchResult, median, timeOf } from './benchmark.ts';

const EVENTS = 20_000;
const WARM_UP = 6;
const ROUNDS = 21;
/** Splits timed together: one alone is over before a busy machine or the garbage collector can be unfair to it. */
const SPLITS = 16;

export const benches: readonly Bench[] = [
  { name: 'EDL of 20,000 events to timeline / split into lines', limit: 20, unit: 'x', run: readingTime },
  { name: 'EDL of 20,000 events to timeline: heap kept / size of the text', limit: 6, unit: 'x', run: heapKept },
];

async function readingTime(): Promise<BenchResult> {
  const text = writeLargeList(EVENTS);
  const splits: number[] = [];
  const readings: number[] = [];
  let lineCount = 0;
  let clipCount = 0;
  for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
    const split = timeOf(() => {
      for (let again = 0; again < SPLITS; again += 1) lineCount = text.split('\n').length;
    });
    const reading = timeOf(() => {
      clipCount = read(text).clips.length;
    });
    // The first rounds pay for compiling.
    if (round < WARM_UP) continue;
    splits.push(split / SPLITS);
    readings.push(reading);
  }
  const own = median(readings);
  const base = median(splits);
  const detail = `${(text.length / 1e6).toFixed(1)} MB, ${clipCount} clips of ${lineCount} lines, ${own.toFixed(1)} ms against ${base.toFixed(2)} ms`;
  return { ratio: own / base, detail };
}

async function heapKept(): Promise<BenchResult> {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  const text = writeLargeList(EVENTS);
  read(text);
  collect();
  const before = process.memoryUsage();
  const timeline = read(text);
  collect();
  const after = process.memoryUsage();
  const kept = after.heapUsed + after.arrayBuffers - before.heapUsed - before.arrayBuffers;
  return { ratio: kept / text.length, detail: `${(kept / 1e6).toFixed(1)} MB for ${timeline.clips.length} clips` };
}

function read(text: string): Timeline {
  return edlFormat.read(text, { edlRate: null, sharedPictureRate: null });
}

function writeLargeList(events: number): string {
  const lines = ['TITLE:   AN INVENTED CUT', 'FCM: NON-DROP FRAME'];
  let record = 86_400;
  for (let index = 0; index < events; index += 1) {
    const length = 5 + ((index * 7) % 40);
    const source = 864_000 + ((index * 131) % 400_000);
    const fields = [
      String(index + 1)
        .padStart(3, '0')
        .padEnd(5),
      `CAM_A${String(index % 90).padStart(3, '0')}`.padEnd(9),
      ['V', 'A', 'A2'][index % 3]?.padEnd(6),
      'C'.padEnd(9),
      [source, source + length, record, record + length].map(label).join(' '),
    ];
    lines.push(fields.join(''), `* FROM CLIP NAME:  CAM_A_${String(index % 900).padStart(4, '0')}.mov`);
    record += length;
  }
  // Through bytes and back, as a file is read: a text joined from pieces would first be copied together by whoever reads it.
  return Buffer.from(`${lines.join('\n')}\n`).toString('latin1');
}

function label(frame: number): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return [Math.floor(frame / 86_400) % 24, Math.floor(frame / 1440) % 60, Math.floor(frame / 24) % 60, frame % 24]
    .map(two)
    .join(':');
}
