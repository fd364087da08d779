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
  const load = (uri: string, stamp: string): Kept => {
    const bytes = Promise.resolve(vscode.workspace.fs.readFile(vscode.Uri.parse(uri, true))).catch(() => null);
    const file = { stamp, bytes };
    kept.delete(uri);
    kept.set(uri, file);
    for (const oldest of [...kept.keys()].slice(0, -KEPT_FILES)) kept.delete(oldest);
    return file;
  };
  return {
    open: async (uri) => {
      try {
        const { size, mtime, type } = await vscode.workspace.fs.stat(vscode.Uri.parse(uri, true));
        if ((type & vscode.FileType.File) === 0) return { size: null, refusal: 'is a folder, not a file.' };
        if (size > LARGEST_FILE_BYTES) return { size: null, refusal: tooLarge(size) };
        const stamp = `${size} ${mtime}`;
        const known = kept.get(uri);
        const bytes = await (known?.stamp === stamp ? known : load(uri, stamp)).bytes;
        if (bytes !== null) return { size: bytes.length };
        kept.delete(uri);
        return { size: null, refusal: "can't be read." };
      } catch (error) {
        return { size: null, refusal: `can't be read: ${error instanceof Error ? error.message : String(error)}` };
      }
    },
    read: async (uri, ranges) => {
      const bytes = await kept.get(uri)?.bytes;
      return bytes === undefined || bytes === null ? null : ranges.map(({ start, end }) => bytes.subarray(start, end));
    },
    forget: () => kept.clear(),
  };
}

function tooLarge(bytes: number): string {
  const megabytes = (amount: number): number => Math.ceil(amount / 1024 / 1024);
  return `has ${megabytes(bytes)} MB. A folder like this one hands out whole files only, and the desk takes ${megabytes(LARGEST_FILE_BYTES)} MB of them at most. Choose the file from this computer's disk instead.`;
}
