/**
 * A sync reel: one wave file made of pieces of recordings, laid so that its first sample is the first instant of a picture.
 *
 * Places in a recording are exact fractions of its samples. A piece that begins on a whole sample and goes on at the recording's own
 * pace is copied; every other piece is resampled. Where no piece lies, and where a piece asks for more than its recording holds, the
 * reel is silent.
 */

import type { Rational } from '../../core/time/rational.ts';
import type { ByteSource } from '../byteSource.ts';
import type { SampleFormat, WaveHeader } from '../wave/waveHeader.ts';

export interface Reel {
  readonly layout: ReelLayout;
  /** In order, none overlapping another. */
  readonly pieces: readonly ReelPiece[];
  /** Body of the `bext` chunk. */
  readonly broadcast: Uint8Array;
  /** Body of the `iXML` chunk. */
  readonly ixml: Uint8Array;
}

export interface ReelLayout {
  readonly format: SampleFormat;
  readonly channelCount: number;
  readonly sampleRate: number;
  /** Samples per channel. */
  readonly sampleCount: number;
}

export interface ReelPiece {
  readonly recording: ReelRecording;
  /** Reel samples. */
  readonly at: number;
  readonly count: number;
  /** Where in the recording reel sample `at` lies, in samples of the recording; may be before its first. */
  readonly from: Rational;
  /** Samples of the recording for each sample of the reel. */
  readonly step: Rational;
}

export interface ReelRecording {
  readonly bytes: ByteSource;
  readonly header: WaveHeader;
}

/** Bytes that one sample of all channels takes. */
export function blockBytesOf({ format, channelCount }: Pick<ReelLayout, 'format' | 'channelCount'>): number {
  return format.containerBytes * channelCount;
}
