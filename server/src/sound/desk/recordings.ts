/**
 * Recordings as the clap desk asks for them: the port behind which the disk and the sound engine lie. A server in a browser has none.
 *
 * Each question names its file, a file URI; nothing is held open between two. Answers, never throws.
 */

import type { ClapReading } from '../claps/clap.ts';
import type { PeakRequest, Peaks } from '../peaks/readPeaks.ts';

export interface Recordings {
  readonly facts: (file: string) => Promise<RecordingFacts>;
  /** Null, here and below, for a file that can't be read. */
  readonly peaks: (file: string, request: PeakRequest) => Promise<Peaks | null>;
  /** One channel, or all mixed to one, full scale being 1; shorter than asked for where the recording ends. */
  readonly sound: (file: string, start: number, count: number, channel: number | null) => Promise<Float32Array | null>;
  readonly claps: (file: string, search: ClapSearch) => Promise<ClapsFound | null>;
}

export type RecordingFacts =
  | {
      readonly ok: true;
      readonly sampleRate: number;
      readonly sampleCount: number;
      readonly channelCount: number;
      /** What is wrong with the file though it can be read, in sentences. */
      readonly remarks: readonly string[];
    }
  /** Sentences without the file's name, or the rest of one that begins with it. */
  | { readonly ok: false; readonly reason: string };

export interface ClapSearch {
  /** Samples, `end` excluded; null for all. */
  readonly range: { readonly start: number; readonly end: number } | null;
  /** Columns of exact peaks, a by-product of listening to all. */
  readonly columns: number;
  readonly onProgress: (share: number) => void;
  readonly isCancelled: () => boolean;
}

export interface ClapsFound extends ClapReading {
  /** Null for a part of a recording. */
  readonly peaks: Peaks | null;
}
