/**
 * Reels written into memory, and recordings to write them from.
 */

import { type Rational, rational } from '../../../server/src/core/time/rational.ts';
import { type ByteSource, byteSourceOf } from '../../../server/src/sound/byteSource.ts';
import { broadcastChunk } from '../../../server/src/sound/reel/broadcastChunk.ts';
import type { ByteSink } from '../../../server/src/sound/reel/byteSink.ts';
import type { Reel, ReelLayout, ReelPiece, ReelRecording } from '../../../server/src/sound/reel/reel.ts';
import { type ReelOutcome, writeReel } from '../../../server/src/sound/reel/writeReel.ts';
import { readWaveHeader } from '../../../server/src/sound/wave/readWaveHeader.ts';
import { dataChunk, encodeSamples, extensibleFormatChunk, formatChunk, type SampleKind, waveFile } from '../sound/waveBytes.ts';

export interface MemorySink extends ByteSink {
  readonly bytes: () => Uint8Array;
}

function memorySink(): MemorySink {
  const blocks: Uint8Array[] = [];
  return {
    // The writer uses its memory again, as its port says; a sink that keeps bytes has to copy them.
    write: (bytes) => {
      blocks.push(Uint8Array.from(bytes));
      return Promise.resolve();
    },
    bytes: () => Uint8Array.from(Buffer.concat(blocks)),
  };
}

const BITS: Readonly<Record<SampleKind, number>> = { u8: 8, s16: 16, s24: 24, s32: 32, f32: 32, f64: 64 };

export function waveBytes(kind: SampleKind, channels: readonly ArrayLike<number>[], sampleRate = 48000): Uint8Array {
  const fields = { tag: kind.startsWith('f') ? 3 : 1, bits: BITS[kind], channels: channels.length, sampleRate };
  return waveFile([formatChunk(fields), dataChunk(encodeSamples(kind, ...channels))]);
}

/** 24 valid bits in containers of 32, as some recorders write them. */
export function wideWaveBytes(channels: readonly ArrayLike<number>[]): Uint8Array {
  const format = extensibleFormatChunk({ bits: 32, validBits: 24, channels: channels.length });
  const rounded = channels.map((samples) => Float64Array.from(samples, (value) => Math.round(value * 2 ** 23) / 2 ** 23));
  return waveFile([format, dataChunk(encodeSamples('s32', ...rounded))]);
}

export async function recordingOf(bytes: Uint8Array, source: ByteSource = byteSourceOf(bytes)): Promise<ReelRecording> {
  const { header } = await readWaveHeader(byteSourceOf(bytes));
  if (header === null) throw new Error('the test wrote a wave file that can not be read');
  return { bytes: source, header };
}

export interface WrittenReel {
  readonly outcome: ReelOutcome;
  readonly bytes: Uint8Array;
}

/** A reel in the form of its first recording, `sampleCount` long. */
export async function write(
  sampleCount: number,
  pieces: readonly ReelPiece[],
  options: { readonly isCancelled?: () => boolean; readonly layout?: Partial<ReelLayout> } = {},
): Promise<WrittenReel> {
  const header = (pieces[0] as ReelPiece).recording.header;
  const sink = memorySink();
  const reel: Reel = {
    layout: {
      format: header.format,
      channelCount: header.channelCount,
      sampleRate: header.sampleRate,
      sampleCount,
      ...options.layout,
    },
    pieces,
    broadcast: broadcastChunk({
      description: 'a reel of a test',
      originator: 'test',
      originatorReference: 'TEST',
      originationDate: '2026-03-04',
      originationTime: '10:20:30',
      timeReference: 0,
      codingHistory: '',
    }),
    ixml: new TextEncoder().encode('<BWFXML></BWFXML>'),
  };
  const outcome = await writeReel(reel, sink, { onProgress: () => {}, isCancelled: options.isCancelled ?? (() => false) });
  return { outcome, bytes: sink.bytes() };
}

export function piece(recording: ReelRecording, count: number, from: Rational | number, step: Rational = rational(1)): ReelPiece {
  return { recording, at: 0, count, from: typeof from === 'number' ? rational(from) : from, step };
}
