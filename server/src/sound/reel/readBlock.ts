/**
 * Reads a stretch of a recording whole, or says why it could not.
 *
 * A disk that is pulled, a network that goes, a file cut short by another program: each shows as an error or as too few bytes, and
 * neither may be taken for silence.
 */

import type { ReelRecording } from './reel.ts';

/** The message is the rest of a sentence that begins with the recording's name. */
export class ReadingFailure extends Error {
  override readonly name = 'ReadingFailure';
}

/** The bytes of `count` samples from `start` on, which have to lie inside the recording. Good until the next read. */
export async function readBlock({ bytes, header }: ReelRecording, start: number, count: number): Promise<Uint8Array> {
  const wanted = count * header.blockBytes;
  const offset = header.dataOffset + start * header.blockBytes;
  let block: Uint8Array;
  try {
    block = await bytes.read(offset, wanted);
  } catch (error) {
    throw new ReadingFailure(
      `could not be read any more at byte ${offset} (${error instanceof Error ? error.message : String(error)})`,
    );
  }
  if (block.length < wanted) {
    throw new ReadingFailure(
      `ended while it was read: ${block.length} bytes were left at byte ${offset}, where there had been ${wanted} at least`,
    );
  }
  return block;
}
