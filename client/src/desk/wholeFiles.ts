/**
 * Files of folders that the editor knows and no disk holds: it hands out whole ones only, so a file is read once and ranges are cut from
 * it. The last few are kept while a desk is open, and read again when they changed.
 */

import * as vscode from 'vscode';
import type { FileRanges } from './fileRanges.ts';

/** Half an hour of one channel at 48 kHz and 24 bits, held in the memory of a page: what is longer comes from a disk. */
const LARGEST_FILE_BYTES = 256 * 1024 * 1024;
/** A recording and a camera file. */
const KEPT_FILES = 2;

export interface WholeFiles extends FileRanges {
  /** Lets go of what was read. */
  readonly forget: () => void;
}

interface Kept {
  /** Changes with the file. */
  readonly stamp: string;
  readonly bytes: Promise<Uint8Array | null>;
}

export function createWholeFiles(): WholeFiles {
  const kept = new Map<string, Kept>();
  const load = (uri: string, stamp: string): Kept => ({
    stamp,
    bytes: Promise.resolve(vscode.workspace.fs.readFile(vscode.Uri.parse(uri, true))).catch(() => null),
  });
  /** The one that was not asked for the longest goes first. */
  const keep = (uri: string, file: Kept): Kept => {
    kept.delete(uri);
    kept.set(uri, file);
    for (const oldest of [...kept.keys()].slice(0, -KEPT_FILES)) kept.delete(oldest);
    return file;
  };
  /** Or why there are none, as the rest of a sentence that begins with the file's name. */
  const bytesAt = async (uri: string): Promise<Uint8Array | string> => {
    try {
      const { size, mtime, type } = await vscode.workspace.fs.stat(vscode.Uri.parse(uri, true));
      if ((type & vscode.FileType.File) === 0) return 'is a folder, not a file.';
      if (size > LARGEST_FILE_BYTES) return tooLarge(size);
      const stamp = `${size} ${mtime}`;
      const known = kept.get(uri);
      const file = keep(uri, known?.stamp === stamp ? known : load(uri, stamp));
      const bytes = await file.bytes;
      if (bytes !== null) return bytes;
      if (kept.get(uri) === file) kept.delete(uri);
      return "can't be read.";
    } catch (error) {
      return `can't be read (${error instanceof Error ? error.message : String(error)}).`;
    }
  };
  return {
    open: async (uri) => {
      const bytes = await bytesAt(uri);
      return typeof bytes === 'string' ? { size: null, refusal: bytes } : { size: bytes.length };
    },
    read: async (uri, ranges) => {
      const known = kept.get(uri);
      // The files of other pairs, or of another desk, may have taken its place meanwhile.
      const bytes = known === undefined ? await bytesAt(uri) : await keep(uri, known).bytes;
      if (bytes === null || typeof bytes === 'string') return null;
      return ranges.map(({ start, end }) => bytes.subarray(start, end));
    },
    forget: () => kept.clear(),
  };
}

function tooLarge(bytes: number): string {
  const megabytes = (amount: number): number => Math.ceil(amount / 1024 / 1024);
  return `has ${megabytes(bytes)} MB. A folder like this one hands out whole files only, and the desk takes ${megabytes(LARGEST_FILE_BYTES)} MB of them at most. Choose the file from this computer's disk instead.`;
}
