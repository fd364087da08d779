/**
 * The files of the project as the editor sees them: an open document counts before what is on disk.
 *
 * Places are URIs. Those of this machine are read directly where the server can; all others (virtual workspaces, a server in a
 * browser) through the client, if it offers to. A place that nobody can read is answered as missing.
 */

import type { Connection } from 'vscode-languageserver';
import type { FileSystem, FileText, FolderListing } from '../project/fileSystem.ts';
import { comparablePath, nameOf, parentOf } from '../project/paths.ts';
import { type FileAnswer, type FolderAnswer, READ_FILE_REQUEST, READ_FOLDER_REQUEST } from './messages.ts';
import type { TextStore } from './textStore.ts';

const MISSING = { ok: false, reason: 'is not there', isMissing: true } as const;

export interface DocumentFilesInput {
  readonly store: TextStore;
  readonly local: FileSystem | null;
  /** Null when the client reads no files for us. */
  readonly connection: Connection | null;
}

export function createDocumentFiles(input: DocumentFilesInput): FileSystem {
  const { store, local } = input;
  const openAt = (uri: string): string | null => {
    const wanted = comparablePath(uri);
    return store.standing().find((document) => comparablePath(document.uri) === wanted)?.index.text ?? null;
  };
  const readText = async (uri: string): Promise<FileText> => {
    const text = openAt(uri);
    if (text !== null) return { ok: true, text, encoding: 'utf-8' };
    if (local !== null && isLocal(uri)) return local.readText(uri);
    return input.connection === null ? MISSING : readThroughClient(input.connection, uri);
  };
  const listStored = async (uri: string): Promise<FolderListing> => {
    if (local !== null && isLocal(uri)) return local.list(uri);
    return input.connection === null ? MISSING : listThroughClient(input.connection, uri);
  };
  return {
    absolute: (uri) => uri,
    readText,
    list: async (uri) => withOpenDocuments(await listStored(uri), uri, store),
    exists: async (uri) => (await readText(uri)).ok,
  };
}

function isLocal(uri: string): boolean {
  return uri.startsWith('file:');
}

/** A report that was never saved is in no listing, and counts all the same. */
function withOpenDocuments(listing: FolderListing, folder: string, store: TextStore): FolderListing {
  if (!listing.ok) return listing;
  const wanted = comparablePath(folder);
  const known = new Set(listing.entries.map(({ name }) => name));
  const added = store
    .standing()
    .filter(({ uri }) => comparablePath(parentOf(uri) ?? '') === wanted && !known.has(nameOf(uri)))
    .map(({ uri }) => ({ name: nameOf(uri), isFolder: false }));
  return added.length === 0 ? listing : { ok: true, entries: [...listing.entries, ...added] };
}

async function readThroughClient(connection: Connection, uri: string): Promise<FileText> {
  try {
    const { text, encoding = 'utf-8', refusal: reason } = await connection.sendRequest<FileAnswer>(READ_FILE_REQUEST, { uri });
    if (text !== null) return { ok: true, text, encoding };
    return reason === undefined ? MISSING : { ok: false, reason, isMissing: false };
  } catch (error) {
    return refusal(error);
  }
}

async function listThroughClient(connection: Connection, uri: string): Promise<FolderListing> {
  try {
    const { files, folders } = await connection.sendRequest<FolderAnswer>(READ_FOLDER_REQUEST, { uri });
    if (files === null) return MISSING;
    const inside = (folders ?? []).map((name) => ({ name, isFolder: true }));
    return { ok: true, entries: [...files.map((name) => ({ name, isFolder: false })), ...inside] };
  } catch (error) {
    return refusal(error);
  }
}

/** The client promised to read files and then could not: said like any other file that can't be read. */
function refusal(error: unknown): { readonly ok: false; readonly reason: string; readonly isMissing: false } {
  const detail = error instanceof Error ? error.message : String(error);
  return { ok: false, reason: `can't be read through the editor (${detail})`, isMissing: false };
}
