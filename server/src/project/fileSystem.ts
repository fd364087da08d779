/**
 * The files a project is made of, as the rest of the program sees them.
 *
 * Paths are strings: a path of the platform or a URI, whichever the edge has. On a desktop they lead to the disk, in a browser
 * to the editor's own files; nobody above this port knows which.
 */

/** How the bytes of a file were read as text. */
export type TextEncoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

export type FileText =
  | { readonly ok: true; readonly text: string; readonly encoding: TextEncoding }
  /** Why not, as the rest of a sentence that begins with the path: 'is a folder, not a file'. */
  | { readonly ok: false; readonly reason: string; readonly isMissing: boolean };

interface FolderEntry {
  readonly name: string;
  readonly isFolder: boolean;
}

export type FolderListing =
  | { readonly ok: true; readonly entries: readonly FolderEntry[] }
  | { readonly ok: false; readonly reason: string; readonly isMissing: boolean };

/** Answers, never throws: a file that can't be read is a fact to tell, not a failure of the program. */
export interface FileSystem {
  /** The same place as a path that names every folder above it. A URI stays as it is. */
  readonly absolute: (path: string) => string;
  readonly readText: (path: string) => Promise<FileText>;
  readonly list: (folder: string) => Promise<FolderListing>;
  readonly exists: (path: string) => Promise<boolean>;
}

/** Stands in where no files are meant to be touched, so that code which touches one fails loudly. */
export const noFileSystem: FileSystem = {
  absolute: (path) => path,
  readText: (path) => refuse(path),
  list: (path) => refuse(path),
  exists: (path) => refuse(path),
};

function refuse(path: string): never {
  throw new Error(`${path} was asked for where no file system is at hand`);
}
