/**
 * What server and client say to each other about the clap desk: names and shapes, nothing else. The client may import this file.
 *
 * Nothing is remembered between two requests: each names its file, and a recording is opened, read by ranges and closed again.
 * Arrays of 32-bit floats, low byte first, travel as base64. Exact numbers travel as 'num/den' or whole numbers.
 */

import type { DeskReport } from '../core/views/clapDesk.ts';

/** Client to server: `DeskParams`, answered with a `DeskAnswer`, or null when the document is no report that can be read. */
export const CLAP_DESK_REQUEST = 'afterclap/clapDesk';
export interface DeskParams {
  /** Of the report. */
  readonly uri: string;
  /** Of the caret, from 0; null where there is none. */
  readonly position: { readonly line: number; readonly character: number } | null;
}
export interface DeskAnswer {
  readonly uri: string;
  readonly version: number;
  readonly report: DeskReport;
  /** The pair at the caret, as an index into the report's pairs. */
  readonly pairAtCaret: number | null;
}

/** Client to server: `{ uri }` of a recording, answered with `DeskReportsAnswer`. */
export const CLAP_DESK_REPORTS_REQUEST = 'afterclap/clapDeskReports';
export interface DeskReportsAnswer {
  /** Reports beside the file or above it that name it, nearest first. */
  readonly reports: readonly DeskReportLink[];
  /** Why there are none, as a sentence. */
  readonly words: string;
}
export interface DeskReportLink {
  readonly uri: string;
  readonly label: string;
  readonly role: 'picture' | 'sound';
  /** Of the entry that names the file. */
  readonly key: string;
}

/** Client to server: `DeskMediaParams`, answered with a `DeskMediaAnswer`. */
export const CLAP_DESK_MEDIA_REQUEST = 'afterclap/clapDeskMedia';
export interface DeskMediaParams {
  /** Of the report. */
  readonly uri: string;
  readonly role: 'picture' | 'sound';
  readonly key: string;
  readonly names: readonly string[];
  /** Of a file that a person chose; null looks for it. */
  readonly file: string | null;
}
export interface DeskMediaAnswer {
  /** Null when there is none, or it can't be read; `words` says why. */
  readonly file: string | null;
  readonly name: string;
  /** Sentences to show; empty when there is nothing to say. */
  readonly words: string;
  /** Of a sound that can be read. */
  readonly recording: DeskRecording | null;
}
export interface DeskRecording {
  readonly sampleRate: number;
  readonly sampleCount: number;
  readonly channelCount: number;
}

/** Client to server: `DeskPeaksParams`, answered with `DeskPeaksAnswer`. Samples, `end` excluded. */
export const CLAP_DESK_PEAKS_REQUEST = 'afterclap/clapDeskPeaks';
export interface DeskPeaksParams {
  /** Of the recording. */
  readonly file: string;
  readonly start: number;
  readonly end: number;
  readonly columns: number;
  /** Counted from 0; null for the extremes of all. */
  readonly channel: number | null;
}
export interface DeskPeaksAnswer {
  readonly start: number;
  readonly end: number;
  readonly lows: string;
  readonly highs: string;
  /** Only parts of each column were read: a clap between them is not seen. */
  readonly isSparse: boolean;
}

/** Client to server: `DeskSoundParams`, answered with `DeskSoundAnswer`. */
export const CLAP_DESK_SOUND_REQUEST = 'afterclap/clapDeskSound';
export interface DeskSoundParams {
  readonly file: string;
  readonly start: number;
  readonly count: number;
  readonly channel: number | null;
}
export interface DeskSoundAnswer {
  readonly start: number;
  readonly samples: string;
}

/** Client to server: `DeskClapsParams`, answered with `DeskClapsAnswer`; can be cancelled. */
export const CLAP_DESK_CLAPS_REQUEST = 'afterclap/clapDeskClaps';
export interface DeskClapsParams {
  readonly file: string;
  /** Null for the whole recording. */
  readonly range: { readonly start: number; readonly end: number } | null;
  /** Chosen by the client; comes back with the progress. */
  readonly id: number;
  /** Columns of exact peaks wanted of a whole recording. */
  readonly columns: number;
}
export interface DeskClapsAnswer {
  readonly claps: readonly DeskClap[];
  readonly remarks: readonly string[];
  /** Refused sounds beyond those listed. */
  readonly unlistedCount: number;
  /** Of a whole recording, read to its end. */
  readonly peaks: DeskPeaksAnswer | null;
}
export interface DeskClap {
  readonly sample: number;
  /** In samples. */
  readonly uncertainty: number;
  readonly channel: number;
  readonly isClap: boolean;
  /** What speaks for it or against it, as a sentence. */
  readonly reason: string;
}

/** Server to client: how far a search for claps has come. */
export const CLAP_DESK_PROGRESS_NOTIFICATION = 'afterclap/clapDeskProgress';
export interface DeskProgress {
  readonly id: number;
  /** From 0 to 1. */
  readonly share: number;
}

/** Client to server: `DeskWriteParams`, answered with an `EditAnswer`. The report must be open. */
export const CLAP_DESK_WRITE_REQUEST = 'afterclap/clapDeskWrite';
export interface DeskWriteParams {
  readonly uri: string;
  /** Of the text that was looked at; another one is refused. */
  readonly version: number;
  readonly change: DeskChange;
}
export interface DeskChange {
  /** Of the pair to change, among the report's; null adds one. */
  readonly pair: number | null;
  readonly picture: string;
  readonly sound: string;
  readonly frame: string;
  readonly sample: string;
  /** Seconds; both null where nothing is known about it. */
  readonly early: string | null;
  readonly late: string | null;
  readonly by: 'clap' | 'eye' | 'waveform' | 'timecode' | null;
  /** Of the report's list of the recording; null for an edge that is in none. */
  readonly clap: number | null;
}
