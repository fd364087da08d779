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

/**
 * True when a change on disk can change findings elsewhere: a report or settings file in any way; a timeline only by coming
 * or going, since its text counts only while it is open, and then the editor's text does.
 */
export function concernsOthers(uri: string, type: FileChangeType): boolean {
  const kind = documentKindOf(uri, null);
  // An asset map names the files of the playlists beside it.
  if (kind === null) return isAssetMap(uri);
  return kind.kind !== 'timeline' || type !== FileChangeType.Changed;
}

/** More things than this that come at once are not looked at one by one: somebody copies, and a folder may be among them. */
const MOST_LOOKED_AT = 20;

export interface DiskChanges {
  /** Of files that decide findings. */
  readonly files: readonly FileEvent[];
  /** Folders that came or went. */
  readonly folders: readonly FileEvent[];
}

export async function changesThatCount({ workspace, store }: Session, changed: readonly FileEvent[]): Promise<DiskChanges> {
  const files = changed.filter(({ uri }) => isOfOurs(uri));
  const others = changed.filter(({ uri, type }) => !isOfOurs(uri) && type !== FileChangeType.Changed);
  const cameCount = others.filter(({ type }) => type === FileChangeType.Created).length;
  const folders: FileEvent[] = [];
  for (const event of others) {
    const { uri, type } = event;
    const isFolder =
      type === FileChangeType.Deleted
        ? workspace.hadFolder(uri) || store.all().some((document) => isInside(document.uri, uri))
        : cameCount > MOST_LOOKED_AT || (await workspace.files.list(uri)).ok;
    if (isFolder) folders.push(event);
  }
  return { files, folders };
}

export function isInside(uri: string, folder: string): boolean {
  return uri.startsWith(`${folder.replace(/\/$/, '')}/`);
}

function isOfOurs(uri: string): boolean {
  return documentKindOf(uri, null) !== null || isAssetMap(uri);
}

function isAssetMap(uri: string): boolean {
  return /^assetmap(?:\.xml)?$/i.test(fileNameOf(uri));
}
