/**
 * The timelines and reports of the workspace, open or not.
 *
 * Open documents count as the editor has them, all others as they are on disk. Nothing is remembered that decides anything:
 * folders are listed anew for each question, and of the closed documents only the last few are kept, so that two questions in
 * a row do not audit everything twice.
 *
 * Invariants
 * - A walk lets the client's messages in every 10 ms, and stops where its request is cancelled.
 * - A limit that cuts a walk short is told, once per walk.
 */

import type { CancellationToken } from 'vscode-languageserver';
import type { FileSystem } from '../project/fileSystem.ts';
import { comparablePath, nameOf, resolveFrom } from '../project/paths.ts';
import type { AuditedDocument } from './audits.ts';
import { type DocumentKind, documentKindOf } from './documentKind.ts';
import { refuseIfCancelled } from './lifeCycle.ts';
import type { Session } from './session.ts';
import { createTextStore, type OpenDocument } from './textStore.ts';

const LARGEST_FILE_COUNT = 5000;
const LARGEST_FOLDER_COUNT = 5000;
const SLICE_MS = 10;
/** Characters of closed documents that are kept with their audits. */
const LARGEST_KEPT = 8_000_000;

export interface WorkspaceFile {
  readonly uri: string;
  readonly kind: DocumentKind['kind'];
}

export interface WorkspaceFiles {
  /** Roots as the client names them now. */
  readonly changeFolders: (added: readonly string[], removed: readonly string[]) => void;
  readonly hasFolders: () => boolean;
  /** True for a folder that was there when the workspace was last walked. */
  readonly hadFolder: (uri: string) => boolean;
  readonly files: FileSystem;
  /** Every timeline, report and settings file, in the order of their names. */
  readonly list: (session: Session, token: CancellationToken) => Promise<readonly WorkspaceFile[]>;
  /** The document, open or read from disk; null when it can't be read. */
  readonly document: (session: Session, uri: string) => Promise<OpenDocument | null>;
}

export function createWorkspaceFiles(folders: readonly string[], files: FileSystem): WorkspaceFiles {
  const roots = new Set(folders);
  const kept = new Map<string, OpenDocument>();
  let walked: ReadonlySet<string> = new Set();
  return {
    files,
    hasFolders: () => roots.size > 0,
    hadFolder: (uri) => walked.has(comparableFolder(uri)),
    changeFolders: (added, removed) => {
      for (const uri of removed) roots.delete(uri);
      for (const uri of added) roots.add(uri);
    },
    list: async (session, token) => {
      const breath = createBreath(session, token);
      const found = new Map<string, WorkspaceFile>();
      const add = (uri: string, languageId: string | null): void => {
        const kind = documentKindOf(uri, languageId)?.kind;
        if (kind !== undefined) found.set(comparablePath(uri), { uri, kind });
      };
      const waiting = [...roots];
      let folderCount = 0;
      const visited = new Set<string>();
      while (waiting.length > 0 && folderCount < LARGEST_FOLDER_COUNT && found.size < LARGEST_FILE_COUNT) {
        const folder = waiting.shift() as string;
        folderCount += 1;
        visited.add(comparableFolder(folder));
        const listing = await files.list(folder);
        await breath();
        if (!listing.ok) continue;
        for (const { name, isFolder } of listing.entries) {
          if (isFolder && !isPassedOver(name)) waiting.push(resolveFrom(folder, name));
          else if (!isFolder) add(resolveFrom(folder, name), null);
        }
      }
      walked = visited;
      if (waiting.length > 0) {
        session.warn(
          `The workspace was searched as far as ${folderCount} folders and ${found.size} files; ${waiting.length} folders or more were not looked into. Open a smaller folder to have all of it searched.`,
        );
      }
      // Last, so that a document keeps the URI its editor gave it.
      for (const { uri, languageId } of session.store.all()) add(uri, languageId);
      return [...found.values()].sort((left, right) => (left.uri < right.uri ? -1 : 1));
    },
    document: async (session, uri) => {
      const open = session.store.get(uri);
      if (open !== null) return open;
      const stored = await session.projects.readText(uri);
      if (stored === null) return null;
      // Editors take a byte order mark off, and count the columns of the first line without it.
      const text = stored.replace(/^\ufeff/, '');
      const before = kept.get(uri);
      kept.delete(uri);
      const document = before?.index.text === text ? before : createTextStore().open(uri, '', 0, text);
      keep(kept, document);
      return document;
    },
  };
}

/** Audits of the files one after the other, those that can't be read left out. */
export async function* auditedFiles(
  session: Session,
  files: readonly WorkspaceFile[],
  token: CancellationToken,
): AsyncGenerator<{ readonly file: WorkspaceFile; readonly audited: AuditedDocument; readonly at: number }> {
  const breath = createBreath(session, token);
  for (const [at, file] of files.entries()) {
    await breath();
    const document = await session.workspace.document(session, file.uri);
    const audited = document === null ? null : await session.audits.of(document);
    if (session.store.get(file.uri) === null) session.audits.closed(file.uri);
    if (audited !== null) yield { file, audited, at };
  }
}

function createBreath({ ports: { timers } }: Session, token: CancellationToken): () => Promise<void> {
  let since = timers.now();
  return async () => {
    if (timers.now() - since >= SLICE_MS) {
      await timers.yieldNow();
      since = timers.now();
    }
    refuseIfCancelled(token);
  };
}

/** Folders that hold no one's timelines: hidden ones, and packages of programs. */
function isPassedOver(name: string): boolean {
  return name.startsWith('.') || name === 'node_modules';
}

function comparableFolder(uri: string): string {
  return comparablePath(uri.replace(/\/$/, ''));
}

function keep(kept: Map<string, OpenDocument>, document: OpenDocument): void {
  kept.set(document.uri, document);
  let size = 0;
  for (const { index } of kept.values()) size += index.text.length;
  for (const [uri, { index }] of kept) {
    if (size <= LARGEST_KEPT) return;
    kept.delete(uri);
    size -= index.text.length;
  }
}

/**
 * False for a file that is open nowhere and holds bytes of Windows-1252: an editor that opens it just to change it takes it for UTF-8,
 * and loses on saving what it could not read.
 */
export async function isSafeToEdit({ store, workspace }: Session, uri: string): Promise<boolean> {
  if (store.get(uri) !== null) return true;
  const file = await workspace.files.readText(uri);
  return !file.ok || file.encoding !== 'windows-1252';
}

/** The file's name, for messages. */
export function shownName(uri: string): string {
  return nameOf(uri);
}
