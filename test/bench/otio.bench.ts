/**
 * Reading OTIO JSON, against JSON.parse of the same string in the same process.
 *
 * The text is invented and laid out with two blanks a level: 10,000 clips in about 15 MB. JSON.parse is the yardstick
 * because every other reader of the format pays it before it knows anything of timelines.
 */

import { otioFormat } from '../../server/src/core/formats/otio/otioFormat.ts';
import { parseJson } from '../../server/src/core/syntax/json/jsonDocument.ts';
import type { Timeline } from '../../server/src/core/timeline/model.ts';
import { type Bench, type BenchResult, median, timeOf } from './benchmark.ts';
import { longOtio } from './otioText.ts';

const CLIPS = 9300;
const ROUNDS = 15;

export const benches: readonly Bench[] = [
  // First, while nothing is left over from the others.
  { name: 'OTIO 15 MB: memory kept, text included / size of the text', limit: 6, unit: 'x', run: memoryKept },
  {
    name: 'OTIO 15 MB: memory right after reading, garbage included / size of the text',
    limit: 8,
    unit: 'x',
    run: memoryWithGarbage,
  },
  { name: 'OTIO 15 MB, 10,000 clips: text to timeline / JSON.parse', limit: 2.5, unit: 'x', run: () => reading(longText('')) },
  {
    name: 'OTIO 15 MB with letters outside ASCII: text to timeline / JSON.parse',
    limit: 2.5,
    unit: 'x',
    run: () => reading(longText(' – Ufer')),
  },
  {
    name: 'OTIO 15 MB with a comma missing: text to timeline / JSON.parse of the whole one',
    limit: 5,
    unit: 'x',
    run: brokenReading,
  },
  { name: 'OTIO 15 MB: text to tape, tolerant scanner / JSON.parse', limit: 2.5, unit: 'x', run: tolerantScan },
];

async function reading(text: string): Promise<BenchResult> {
  return inTurns(
    () => read(text).clips.length,
    () => countOf(JSON.parse(text)),
    text,
  );
}

async function brokenReading(): Promise<BenchResult> {
  const text = longText('');
  const middle = text.indexOf('",', text.length >> 1);
  const broken = flat(`${text.slice(0, middle + 1)}${text.slice(middle + 2)}`);
  return inTurns(
    () => read(broken).clips.length,
    () => countOf(JSON.parse(text)),
    text,
  );
}

async function tolerantScan(): Promise<BenchResult> {
  const text = longText('');
  return inTurns(
    () => parseJson(text).nodeCount,
    () => countOf(JSON.parse(text)),
    text,
  );
}

/** Measured once, in a process that has read nothing yet. */
const memoryFigures = once(() => {
  const before = memory(true);
  const text = longText('');
  const timeline = read(text);
  const withGarbage = memory(false) - before;
  const kept = memory(true) - before;
  return { length: text.length, clips: timeline.clips.length, kept, withGarbage };
});

async function memoryKept(): Promise<BenchResult> {
  const { length, clips, kept } = memoryFigures();
  return { ratio: kept / length, detail: `${megabytes(kept)} for ${clips} clips in ${megabytes(length)}` };
}

async function memoryWithGarbage(): Promise<BenchResult> {
  const { length, clips, withGarbage } = memoryFigures();
  return { ratio: withGarbage / length, detail: `${megabytes(withGarbage)} for ${clips} clips in ${megabytes(length)}` };
}

function once<Value>(make: () => Value): () => Value {
  let made: { readonly value: Value } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

function read(text: string): Timeline {
  return otioFormat.read(text, { edlRate: null, sharedPictureRate: null });
}

function longText(nameSuffix: string): string {
  return flat(longOtio(CLIPS, { indent: 2, nameSuffix }));
}

/** Through bytes, so that the text is one flat string as it is when read from a file. */
function flat(text: string): string {
  return Buffer.from(text).toString();
}

/** Taken in turns, so that a busy machine is busy for both; the first rounds compile and do not count. */
function inTurns(measured: () => number, base: () => number, text: string): BenchResult {
  const own: number[] = [];
  const other: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    own.push(timeOf(measured));
    other.push(timeOf(base));
  }
  const ownTime = median(own.slice(3));
  const otherTime = median(other.slice(3));
  return {
    ratio: ownTime / otherTime,
    detail: `${megabytes(text.length)}, ${ownTime.toFixed(0)} ms against ${otherTime.toFixed(0)} ms`,
  };
}

function countOf(value: unknown): number {
  return value === null ? 0 : 1;
}

function memory(isCollected: boolean): number {
  if (isCollected) {
    globalThis.gc?.();
    globalThis.gc?.();
  }
  const { heapUsed, external } = process.memoryUsage();
  // `external` counts array buffers and the scanner's memory.
  return heapUsed + external;
}

function megabytes(bytes: number): string {
  return `${(bytes / 1e6).toFixed(1)} MB`;
}
