/**
 * The part of a reel that is a recording bit for bit: bytes go through, with silence where the recording holds nothing.
 */

import { floor } from '../../core/time/rational.ts';
import { readBlock } from './readBlock.ts';
import type { ReelPiece } from './reel.ts';
import { type ReelWriting, writeSilence } from './reelWriting.ts';

const LARGEST_READ = 1 << 20;

/** 0, the number of samples that were held at full scale; null when the work was stopped. */
export async function copyPiece(writing: ReelWriting, { recording, from, count }: ReelPiece): Promise<0 | null> {
  const { header } = recording;
  const start = Number(floor(from));
  const silentHead = Math.min(count, Math.max(0, -start));
  const first = start + silentHead;
  const end = Math.max(first, Math.min(start + count, header.sampleCount));
  if (!(await writeSilence(writing, silentHead))) return null;
  const most = Math.max(1, Math.floor(LARGEST_READ / header.blockBytes));
  for (let at = first; at < end; at += most) {
    if (writing.isCancelled()) return null;
    await writing.write(await readBlock(recording, at, Math.min(most, end - at)));
  }
  return (await writeSilence(writing, start + count - end)) ? 0 : null;
}
