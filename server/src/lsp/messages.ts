/**
 * What server and client say to each other beyond the protocol: names and shapes, nothing else.
 *
 * The client imports this file and its neighbours of the same kind, and what reads bytes as text, so that a file says the same in every
 * host. All of it is optional: a client that knows none of it gets
 * everything that the protocol itself can carry. A client says in its `initializationOptions` what it knows.
 */

import type { TextEncoding } from '../project/fileSystem.ts';

/** `initializationOptions` of a client that knows these messages. All false where a client sends none. */
export interface ClientOptions {
  readonly showsStatus: boolean;
  readonly asksForReason: boolean;
  /** Has a command that makes fixes in the whole workspace, after asking. */
  readonly asksBeforeFixing: boolean;
  readonly readsFiles: boolean;
  /** Recordings by ranges. */
  readonly readsBytes: boolean;
  /** Of the script with the sound engine, for a server that can't know where it lies. */
  readonly soundEngineUri?: string;
  /** Where the pages of the finding codes lie, without a slash at the end; the server's own copies where it is absent. */
  readonly documentationUri?: string;
}

/** Server to client, after each audit of an open timeline. */
export const STATUS_NOTIFICATION = 'afterclap/status';
/** Client to server: `{ uri }`, answered with a `TimelineStatus`, or null when the document is no open timeline. */
export const STATUS_REQUEST = 'afterclap/statusOf';

export interface TimelineStatus {
  readonly uri: string;
  readonly version: number;
  /** The reports in use, none when there is none. */
  readonly reports: readonly FileLink[];
  /** Why these and no others, as a sentence. */
  readonly reportReason: string;
  readonly settings: FileLink | null;
  /** The timeline's frame rate and why it is this one. */
  readonly rate: string;
  readonly rateReason: string;
  readonly errorCount: number;
  readonly warningCount: number;
  readonly informationCount: number;
  readonly acceptedCount: number;
  /** Pairs of picture and sound clips that were compared. */
  readonly comparisonCount: number;
  readonly clipCount: number;
  /** Places that break the format; what stands there was not checked. */
  readonly unreadableCount: number;
  /** Time of the audit alone. */
  readonly milliseconds: number;
}

export interface FileLink {
  readonly label: string;
  readonly uri: string;
}

/** Server to client: something failed that is our fault. The client shows it quietly; the log has the rest. */
export const PROBLEM_NOTIFICATION = 'afterclap/problem';
export interface ProblemNote {
  readonly message: string;
}

/** Server to client: `{ uri }`, answered with a `FileAnswer`. For files that the server can't reach itself. */
export const READ_FILE_REQUEST = 'afterclap/readFile';
export interface FileAnswer {
  /** Null when there is no such file, or it can't be read. */
  readonly text: string | null;
  /** How its bytes were read; UTF-8 where a client does not say. */
  readonly encoding?: TextEncoding;
  /** Why a file that is there can't be read, as the rest of a sentence that begins with its name: 'holds no text, but binary data'. */
  readonly refusal?: string;
}

/** Server to client: `{ uri }`, answered with a `FolderAnswer`. */
export const READ_FOLDER_REQUEST = 'afterclap/readFolder';
export interface FolderAnswer {
  /** Names of the files in it; null when there is no such folder. */
  readonly files: readonly string[] | null;
  /** Names of the folders in it; a client that sends none has only the top of its workspace searched. */
  readonly folders?: readonly string[];
}

/** Server to client: `{ uri }`, answered with a `BytesAnswer`. For recordings that the server can't reach itself. */
export const OPEN_BYTES_REQUEST = 'afterclap/openBytes';
export interface BytesAnswer {
  /** In bytes; null when the file can't be read. */
  readonly size: number | null;
  /** Why not, as the rest of a sentence that begins with the file's name. */
  readonly refusal?: string;
}

/** Server to client: `BytesParams`, answered with base64 for each range, or null when the file can't be read any more. */
export const READ_BYTES_REQUEST = 'afterclap/readBytes';
export interface BytesParams {
  readonly uri: string;
  readonly ranges: readonly ByteRange[];
}
export interface ByteRange {
  /** In bytes, `end` excluded. What lies past the end of the file is left out. */
  readonly start: number;
  readonly end: number;
}

/** Argument of the command by which a client asks for a reason and then sends `ACCEPT_REQUEST`. */
export interface AcceptArgument {
  readonly uri: string;
  readonly code: string;
  readonly range: { readonly start: WirePlace; readonly end: WirePlace };
  /** The clip's name, for the question. */
  readonly subject: string;
}

interface WirePlace {
  readonly line: number;
  readonly character: number;
}

/** Client to server: an `AcceptRequestParams`, answered with an `EditAnswer`. */
export const ACCEPT_REQUEST = 'afterclap/accept';
export interface AcceptRequestParams extends AcceptArgument {
  readonly reason: string;
}

/** Answer to commands that change a text. */
export interface EditAnswer {
  /** Null when nothing is to be changed. A `WorkspaceEdit` of the protocol. */
  readonly edit: unknown;
  /** What was done, or why nothing was, as a sentence. */
  readonly message: string;
}
