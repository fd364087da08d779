/**
 * Recordings as the clap desk asks for them: the port behind which the sound engine lies, and the bytes it reads.
 *
 * Each question names its file by a URI; nothing is held open between two. Answers, never throws.
 */

import type { ByteSource } from '../byteSource.ts';
import type { ClapReading } from '../claps/clap.ts';
import type { PeakRequest, Peaks } from '../peaks/readPeaks.ts';

/** Opens a file by its URI. Answers, never throws; the reason is the rest of a sentence that begins with the file's name. */
export type OpenBytes = (uri: string) => Promise<OpenedBytes>;

export type OpenedBytes =
  | { readonly ok: true; readonly value: ByteSource; readonly close: () => Promise<void> }
  | { readonly ok: false; readonly reason: string };

/** The engine over files of this machine, where it reaches any, and over those that `openElsewhere` opens. */
export type MakeRecordings = (openElsewhere: OpenBytes) => Recordings;

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
