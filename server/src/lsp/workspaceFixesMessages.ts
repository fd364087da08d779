/**
 * What server and client say to each other about safe fixes in the whole workspace: names and shapes, nothing else.
 */

/** Client to server: a `WorkspaceFixesParams`, answered with a `WorkspaceFixesAnswer`. Changes nothing; may take long, and can be cancelled. */
export const WORKSPACE_FIXES_REQUEST = 'afterclap/workspaceFixes';
export interface WorkspaceFixesParams {
  /** Null: those of all codes. */
  readonly code: string | null;
  /** Of the protocol, for reports of how far the search is. */
  readonly workDoneToken?: string;
}

export interface WorkspaceFixesAnswer {
  /** Those that have something to fix, in the order of their names. */
  readonly timelines: readonly TimelineFixes[];
  /** Names of timelines that could not be read, and so were not looked at. */
  readonly unread: readonly string[];
  /** Names of timelines with something to fix that are not in UTF-8 and that an editor would misread, or has: saved, they would lose characters. */
  readonly notUtf8: readonly string[];
}

export interface TimelineFixes {
  readonly fixCount: number;
  /** A `TextDocumentEdit` of the protocol. */
  readonly change: {
    readonly textDocument: { readonly uri: string; readonly version: number | null };
    readonly edits: readonly object[];
  };
}
