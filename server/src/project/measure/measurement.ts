/**
 * What measuring found: the data of a report, with what people and plots want to know besides.
 *
 * Exact numbers are what goes into the report; floats are measurements that nobody compares.
 */

import type { PairData, PictureData, SoundData } from '../../core/alignment/reportText.ts';
import type { Rational } from '../../core/time/rational.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import type { SoundMatch } from '../../sound/delay/match.ts';

export interface Measurement {
  readonly sounds: readonly MeasuredSound[];
  readonly pictures: readonly MeasuredPicture[];
  readonly pairs: readonly MeasuredPair[];
  /** What has no partner, fits nowhere, or was refused. */
  readonly leftOver: readonly LeftOver[];
  /** Files that could not be read and log lines that mean nothing, a sentence each: the job was not done for them. */
  readonly failures: readonly string[];
}

export interface MeasuredSound {
  readonly data: SoundData;
  /** As it was given, for people and for opening it again. */
  readonly path: string;
  readonly name: string;
  readonly channelCount: number;
  readonly seconds: number;
  readonly reading: ClapReading;
  readonly remarks: readonly string[];
}

export interface MeasuredPicture {
  readonly data: PictureData;
  /** Null for a picture that only the clap log names. */
  readonly path: string | null;
  readonly name: string;
  /** Null when the camera recorded no sound, or it could not be read. */
  readonly scratch: { readonly sampleRate: number; readonly channelCount: number; readonly seconds: number | null } | null;
  readonly remarks: readonly string[];
}

export interface MeasuredPair {
  readonly data: PairData;
  /** From 0 to 1. */
  readonly confidence: number;
  /** What it rests on, and what people should know, in sentences. */
  readonly remarks: readonly string[];
  /** Null when no scratch sound was matched. */
  readonly waveform: WaveformEvidence | null;
}

export interface WaveformEvidence {
  readonly match: SoundMatch;
  /** Scratch samples from the first frame to the scratch's first sample; negative when the sound begins first. */
  readonly scratchStart: Rational;
  readonly scratchRate: number;
  /** Sound samples added for the air between microphone and source. */
  readonly airSamples: Rational;
}

export interface LeftOver {
  readonly severity: 'error' | 'warning' | 'information';
  readonly kind: 'picture' | 'sound' | 'clap' | 'log' | 'pair';
  /** The file or camera meant, as shown to people. */
  readonly name: string;
  /** One or more whole sentences. */
  readonly reason: string;
}
