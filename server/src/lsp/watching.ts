/**
 * Which files decide findings besides the timeline itself, and what to do when one of them changes.
 *
 * A folder that another program moves comes or goes as a whole, and of the files in it nobody tells. So the client is asked to tell of
 * everything that comes and goes, and what is neither a file of ours nor a folder is let pass here.
 */

import {
  type Connection,
  DidChangeWatchedFilesNotification,
  FileChangeType,
  type FileEvent,
  WatchKind,
} from 'vscode-languageserver';
import { documentKindOf, fileNameOf } from './documentKind.ts';
import type { Session } from './session.ts';
import { SIDE_FILE_PATTERNS, TIMELINE_PATTERNS } from './watchedPatterns.ts';

const WATCHED = [...SIDE_FILE_PATTERNS, ...TIMELINE_PATTERNS];

/** Asks the client to tell of changes on disk. */
export async function watchFiles(connection: Connection): Promise<void> {
  await connection.client.register(DidChangeWatchedFilesNotification.type, {
    watchers: [
      ...WATCHED.map((globPattern) => ({ globPattern })),
      { globPattern: '**', kind: WatchKind.Create | WatchKind.Delete },
    ],
  });
}

/** What came or went takes along the open texts inside. */
export function isSameOrInside(uri: string, place: string): boolean {
  return uri === place || isInside(uri, place);
}

/**
 * True when a change on disk, of a file of ours or of a folder, can change findings elsewhere: a report or settings file in any way;
 * a timeline only by coming or going, since its text counts only while it is open, and then the editor's text does.
 */
export function concernsOthers(uri: string, type: FileChangeType): boolean {
  const kind = documentKindOf(uri, null);
  // An asset map names the files of the playlists beside it; whatever else is let through is a folder.
  if (kind === null) return true;
  return kind.kind !== 'timeline' || type !== FileChangeType.Changed;
}

/** More things than this that come at once are not looked at one by one: somebody copies, and a folder may be among them. */
const MOST_LOOKED_AT = 20;

/** What can be told at once: files of ours, and folders that went. */
export function changesAtOnce({ workspace, store }: Session, changed: readonly FileEvent[]): readonly FileEvent[] {
  const wasFolder = (uri: string): boolean =>
    workspace.hadFolder(uri) || store.all().some((document) => isInside(document.uri, uri));
  return changed.filter(({ uri, type }) => isOfOurs(uri) || (type === FileChangeType.Deleted && wasFolder(uri)));
}

/** Folders that came; whether something is one has to be looked up. */
export async function foldersThatCame({ workspace }: Session, changed: readonly FileEvent[]): Promise<readonly FileEvent[]> {
  const came = changed.filter(({ uri, type }) => type === FileChangeType.Created && !isOfOurs(uri));
  if (came.length > MOST_LOOKED_AT) return came;
  const listings = await Promise.all(came.map(({ uri }) => workspace.files.list(uri)));
  return came.filter((_, index) => listings[index]?.ok);
}

function isInside(uri: string, folder: string): boolean {
  return uri.startsWith(`${folder.replace(/\/$/, '')}/`);
}

function isOfOurs(uri: string): boolean {
  return documentKindOf(uri, null) !== null || isAssetMap(uri);
}

function isAssetMap(uri: string): boolean {
  return /^assetmap(?:\.xml)?$/i.test(fileNameOf(uri));
}
