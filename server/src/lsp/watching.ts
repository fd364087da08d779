/**
 * Which files decide findings besides the timeline itself, and what to do when one of them changes.
 */

import { type Connection, DidChangeWatchedFilesNotification, FileChangeType } from 'vscode-languageserver';
import { documentKindOf, fileNameOf } from './documentKind.ts';
import { SIDE_FILE_PATTERNS, TIMELINE_PATTERNS } from './watchedPatterns.ts';

const WATCHED = [...SIDE_FILE_PATTERNS, ...TIMELINE_PATTERNS];

/** Asks the client to tell of changes on disk. */
export async function watchFiles(connection: Connection): Promise<void> {
  await connection.client.register(DidChangeWatchedFilesNotification.type, {
    watchers: WATCHED.map((globPattern) => ({ globPattern })),
  });
}

/**
 * True when a change on disk can change findings elsewhere: a report or settings file in any way; a timeline only by coming
 * or going, since its text counts only while it is open, and then the editor's text does.
 */
export function concernsOthers(uri: string, type: FileChangeType): boolean {
  const kind = documentKindOf(uri, null);
  // An asset map names the files of the playlists beside it.
  if (kind === null) return /^assetmap(?:\.xml)?$/i.test(fileNameOf(uri));
  return kind.kind !== 'timeline' || type !== FileChangeType.Changed;
}
