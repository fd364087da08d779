/**
 * Files of the disk as bytes by ranges. Only ever opened for reading; whatever is no regular file is refused.
 */

import { type FileHandle, open, stat } from 'node:fs/promises';
import type { Opened } from '../project/measure/mediaPort.ts';
import type { ByteSource } from '../sound/byteSource.ts';

export async function openBytes(path: string): Promise<Opened<ByteSource>> {
  try {
    const status = await stat(path);
    if (status.isDirectory()) return { ok: false, reason: 'is a folder, not a file' };
    if (!status.isFile()) return { ok: false, reason: 'is not a regular file, but a device or a pipe' };
    const file = await open(path, 'r');
    return { ok: true, value: bytesOf(file, status.size), remarks: [], close: () => file.close() };
  } catch (error) {
    return { ok: false, reason: `can't be read: ${reasonOf(error)}` };
  }
}

/** One buffer is used again for every read that does not overlap another. */
function bytesOf(file: FileHandle, size: number): ByteSource {
  let shared = new Uint8Array(0);
  let isBusy = false;
  return {
    size,
    read: async (offset, length) => {
      const wanted = Math.max(0, Math.min(length, size - offset));
      const isOwn = isBusy;
      if (!isOwn && shared.length < wanted) shared = new Uint8Array(wanted);
      const buffer = isOwn ? new Uint8Array(wanted) : shared;
      if (!isOwn) isBusy = true;
      try {
        let count = 0;
        // A network disk may hand out less than it was asked for.
        while (count < wanted) {
          const { bytesRead } = await file.read(buffer, count, wanted - count, offset + count);
          if (bytesRead === 0) break;
          count += bytesRead;
        }
        return buffer.subarray(0, count);
      } finally {
        if (!isOwn) isBusy = false;
      }
    },
  };
}

/** Why the disk refused, in words where the cause is a common one. */
export function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  return REASONS[code] ?? (error instanceof Error ? error.message : String(error));
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'it is not there',
  ENOTDIR: 'it is not there',
  EACCES: 'permission denied',
  EPERM: 'permission denied',
  EROFS: 'the disk is read-only',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk quota is used up',
  ELOOP: 'its links lead in a circle',
  ENAMETOOLONG: 'its name is too long',
  EMFILE: 'too many files are open',
};
