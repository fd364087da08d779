/**
 * What is known of a recording from its file: for the pull list, and for the person who looks for it.
 */

export interface RecordingFacts {
  /** As it was found, from where the run was started. */
  readonly path: string;
  readonly sizeBytes: number;
  readonly sampleRate: number;
  /** Samples per channel. */
  readonly sampleCount: number;
  readonly channelCount: number;
  readonly bits: number;
  readonly isFloat: boolean;
  /** Samples since midnight of the first one; null when the file does not say. */
  readonly startSample: number | null;
  /** From iXML; null where the recordist wrote nothing. */
  readonly scene: string | null;
  readonly take: string | null;
  readonly roll: string | null;
  readonly trackNames: readonly string[];
}

/** What looking for the file of a recording came to. */
export type FoundRecording =
  | { readonly kind: 'found'; readonly facts: RecordingFacts; readonly remarks: readonly string[] }
  /** No usable file; why, as the rest of a sentence that begins with its name. */
  | { readonly kind: 'absent'; readonly reason: string };
