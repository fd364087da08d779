/** A wave file's header as read: where the samples lie, and how to turn their bytes into numbers. */

import type { BroadcastExtension } from './broadcastExtension.ts';
import type { Ixml } from './ixml.ts';

export interface SampleFormat {
  readonly encoding: 'integer' | 'float';
  /** Bits that carry sound; integers are left-justified in their container (published WAVEFORMATEXTENSIBLE documentation). */
  readonly validBits: number;
  /** Bytes that one sample of one channel takes. */
  readonly containerBytes: number;
}

export interface WaveHeader {
  readonly container: 'RIFF' | 'RF64' | 'BW64';
  readonly format: SampleFormat;
  readonly channelCount: number;
  readonly sampleRate: number;
  /** Bytes from one sample of a channel to its next. */
  readonly blockBytes: number;
  /** Byte offset of the first sample. */
  readonly dataOffset: number;
  /** Bytes of whole sample blocks that are really there. */
  readonly dataBytes: number;
  /** Samples per channel that are really there. */
  readonly sampleCount: number;
  readonly broadcast: BroadcastExtension | null;
  readonly ixml: Ixml | null;
}
