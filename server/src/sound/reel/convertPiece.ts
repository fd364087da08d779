/**
 * The part of a reel that is made of a recording's samples in another place, at another pace or in another form.
 *
 * Channels go one to one; those that the reel has and the recording has not are silent. Every block starts from an exact place, so that
 * no error builds up over hours. Beyond the ends of the recording there is silence, exactly.
 */

import { add, floor, isInteger, isOne, multiply, rational, subtract, toNumber } from '../../core/time/rational.ts';
import { readBlock } from './readBlock.ts';
import { blockBytesOf, type ReelPiece } from './reel.ts';
import { type ReelWriting, silentByte } from './reelWriting.ts';
import { resampleBlock } from './resample.ts';
import { decodeDoubles, encodeDoubles } from './samplesAsDoubles.ts';
import { type SincKernel, sincKernel } from './sincKernel.ts';

const BLOCK = 8192;

/** How many samples were held at full scale; null when the work was stopped. */
export async function convertPiece(writing: ReelWriting, piece: ReelPiece): Promise<number | null> {
  const { layout } = writing;
  const { header } = piece.recording;
  // Whole places at the recording's own pace need no filter, only another form.
  const kernel = isOne(piece.step) && isInteger(piece.from) ? null : kernelFor(toNumber(piece.step));
  const bytes = new Uint8Array(BLOCK * blockBytesOf(layout));
  const made = new Float64Array(BLOCK);
  let clippedCount = 0;
  for (let done = 0; done < piece.count; done += BLOCK) {
    if (writing.isCancelled()) return null;
    const count = Math.min(BLOCK, piece.count - done);
    const block = await readAround(piece, kernel, done, count);
    bytes.fill(silentByte(layout));
    for (let channel = 0; block !== null && channel < Math.min(layout.channelCount, header.channelCount); channel += 1) {
      const input = block.decode(channel);
      if (kernel === null) made.set(input.subarray(0, count));
      else resampleBlock(input, kernel, block.fraction, toNumber(piece.step), made, count);
      const noise = writing.noise[channel] as () => number;
      clippedCount += encodeDoubles(made, layout.format, layout.channelCount, channel, bytes, count, noise);
    }
    await writing.write(bytes.subarray(0, count * blockBytesOf(layout)));
  }
  return clippedCount;
}

interface Surroundings {
  /** Of the first place after its whole sample; from 0 up to 1. */
  readonly fraction: number;
  /** One channel's samples around the block, zeros where the recording has none. Good until the next call. */
  readonly decode: (channel: number) => Float64Array;
}

/** Null when the recording holds nothing there. */
async function readAround(
  piece: ReelPiece,
  kernel: SincKernel | null,
  done: number,
  count: number,
): Promise<Surroundings | null> {
  const { recording } = piece;
  const { header } = recording;
  const place = add(piece.from, multiply(piece.step, rational(done)));
  const whole = floor(place);
  const fraction = toNumber(subtract(place, rational(whole)));
  const reach = kernel?.reach ?? 0;
  const start = Number(whole) - (kernel === null ? 0 : reach - 1);
  const length = kernel === null ? count : Math.floor(fraction + (count - 1) * toNumber(piece.step)) + 2 * reach;
  const first = Math.max(0, start);
  const end = Math.min(header.sampleCount, start + length);
  if (end <= first) return null;
  const bytes = await readBlock(recording, first, end - first);
  const samples = new Float64Array(length);
  return {
    fraction,
    decode: (channel) => {
      decodeDoubles(bytes, header.format, header.channelCount, channel, samples, first - start, end - first);
      return samples;
    },
  };
}

let lastKernel: { readonly step: number; readonly kernel: SincKernel } | null = null;

/** Pieces of one recording follow each other with one step; a table takes longer to make than a short piece to write. */
function kernelFor(step: number): SincKernel {
  // Drifting clocks share one table.
  const kept = step <= 1.002 ? 1 : step;
  if (lastKernel?.step !== kept) lastKernel = { step: kept, kernel: sincKernel(kept) };
  return lastKernel.kernel;
}
