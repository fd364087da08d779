/**
 * Files that a person gave a page of the desk: in a browser the only way to a disk, and by ranges.
 *
 * The page holds them; here stands only which page to ask. They end with their page, so an address that was kept somewhere may lead
 * nowhere.
 */

import { type FileRanges, GIVEN_SCHEME } from './fileRanges.ts';

export interface GivenFile {
  readonly name: string;
  /** In bytes. */
  readonly size: number;
  /** Asks the page; null when the file can't be read any more. */
  readonly read: FileRanges['read'];
}

export interface GivenFiles extends FileRanges {
  /** Its address from now on. */
  readonly add: (file: GivenFile) => string;
  readonly remove: (uri: string) => void;
}

const GONE = 'was given to the desk by hand, and the page that held it is closed. Choose it again.';

export function createGivenFiles(): GivenFiles {
  const files = new Map<string, GivenFile>();
  // Pages remember addresses beyond the window's life: none may come to lead to another file of the same name.
  const mark = Math.random().toString(36).slice(2);
  let lastNumber = 0;
  return {
    add: (file) => {
      lastNumber += 1;
      const uri = `${GIVEN_SCHEME}:/${mark}-${lastNumber}/${encodeURIComponent(file.name)}`;
      files.set(uri, file);
      return uri;
    },
    remove: (uri) => files.delete(uri),
    open: async (uri) => {
      const file = files.get(uri);
      return file === undefined ? { size: null, refusal: GONE } : { size: file.size };
    },
    read: async (uri, ranges) => (await files.get(uri)?.read(uri, ranges)) ?? null,
  };
}
