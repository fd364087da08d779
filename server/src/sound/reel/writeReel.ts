/**
 * Writes a sync reel from its first byte to its last, in blocks, however long it is.
 *
 * Memory does not grow with the length. What is copied goes through as bytes and is the recording bit for bit. A recording that can't
 * be read to the end makes the reel fail, since silence where there was sound would pass for a take nobody spoke in.
 */

import { isInteger, isOne } from '../../core/time/rational.ts';
import type { ByteSink } from './byteSink.ts';
import { convertPiece } from './convertPiece.ts';
import { copyPiece } from './copyPiece.ts';
import { triangularNoise } from './dither.ts';
import { ReadingFailure } from './readBlock.ts';
import type { Reel, ReelLayout, ReelPiece } from './reel.ts';
import { type ReelWriting, writeSilence } from './reelWriting.ts';
import { waveHead } from './waveHead.ts';

export interface ReelWatch {
  /** Bytes written so far, of `reelBytes`. */
  readonly onProgress: (bytes: number) => void;
  readonly isCancelled: () => boolean;
}

export type ReelOutcome =
  /** `clippedCount`: samples that resampling drove past full scale and that were held there. */
  | { readonly kind: 'written'; readonly clippedCount: number }
  | { readonly kind: 'cancelled' }
  /** Why the recording of `piece` could not be read, as the rest of a sentence that begins with its name. */
  | { readonly kind: 'failed'; readonly piece: ReelPiece; readonly reason: string };

/** Bytes of the file that the reel becomes. */
export function reelBytes(reel: Pick<Reel, 'layout' | 'broadcast' | 'ixml'>): number {
  return waveHead(reel).fileBytes;
}

/** What the sink throws is thrown; everything else is answered. */
export async function writeReel(reel: Reel, sink: ByteSink, watch: ReelWatch): Promise<ReelOutcome> {
  const { layout, pieces } = reel;
  const head = waveHead(reel);
  let written = 0;
  const writing: ReelWriting = {
    layout,
    write: async (bytes) => {
      await sink.write(bytes);
      written += bytes.length;
      watch.onProgress(written);
    },
    noise: Array.from({ length: layout.channelCount }, (_, channel) => triangularNoise(channel + 1)),
    isCancelled: watch.isCancelled,
  };
  await writing.write(head.bytes);
  let at = 0;
  let clippedCount = 0;
  for (const piece of pieces) {
    if (!(await writeSilence(writing, piece.at - at))) return { kind: 'cancelled' };
    try {
      const clipped = isCopy(piece, layout) ? await copyPiece(writing, piece) : await convertPiece(writing, piece);
      if (clipped === null) return { kind: 'cancelled' };
      clippedCount += clipped;
    } catch (error) {
      if (!(error instanceof ReadingFailure)) throw error;
      return { kind: 'failed', piece, reason: error.message };
    }
    at = piece.at + piece.count;
  }
  if (!(await writeSilence(writing, layout.sampleCount - at))) return { kind: 'cancelled' };
  if (head.padBytes > 0) await writing.write(new Uint8Array(head.padBytes));
  return { kind: 'written', clippedCount };
}

/** True when the piece's samples go into the reel as they are, byte for byte. */
function isCopy({ from, step, recording }: ReelPiece, { format, channelCount, sampleRate }: ReelLayout): boolean {
  const { header } = recording;
  return (
    isOne(step) &&
    isInteger(from) &&
    header.sampleRate === sampleRate &&
    header.channelCount === channelCount &&
    header.format.encoding === format.encoding &&
    header.format.validBits === format.validBits &&
    header.format.containerBytes === format.containerBytes
  );
}
