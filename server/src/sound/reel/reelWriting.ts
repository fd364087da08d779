/**
 * What the writers of a reel's pieces share: where bytes go, when to stop, and how nothing is written.
 */

import { blockBytesOf, type ReelLayout } from './reel.ts';

export interface ReelWriting {
  readonly layout: ReelLayout;
  readonly write: (bytes: Uint8Array) => Promise<void>;
  /** One for each channel of the reel, going on from piece to piece. */
  readonly noise: readonly (() => number)[];
  readonly isCancelled: () => boolean;
}

const LARGEST_SILENCE = 1 << 20;

/** The byte that silence is made of: 8-bit samples are unsigned, with silence in the middle. */
export function silentByte({ format }: ReelLayout): number {
  return format.encoding === 'integer' && format.containerBytes === 1 ? 128 : 0;
}

/** `count` samples of nothing. False when the work was stopped. */
export async function writeSilence({ layout, write, isCancelled }: ReelWriting, count: number): Promise<boolean> {
  const blockBytes = blockBytesOf(layout);
  const most = Math.max(1, Math.floor(LARGEST_SILENCE / blockBytes));
  const silence = new Uint8Array(Math.max(0, Math.min(count, most)) * blockBytes).fill(silentByte(layout));
  for (let left = count; left > 0; left -= most) {
    if (isCancelled()) return false;
    await write(left >= most ? silence : silence.subarray(0, left * blockBytes));
  }
  return !isCancelled();
}
