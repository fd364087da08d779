/**
 * The file system of the machine, behind the port of project/fileSystem.ts.
 */

import { readdir, readFile, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { decodeText } from '../project/decodeText.ts';
import type { FileSystem, FileText, FolderListing } from '../project/fileSystem.ts';
import { isUri } from '../project/paths.ts';

/** A text file of this size is no timeline, and a string can't hold much more. */
const LARGEST_FILE_BYTES = 512 * 1024 * 1024;

export function createNodeFileSystem(): FileSystem {
  return { absolute, readText, list, exists };
}

function absolute(path: string): string {
  if (isUri(path)) return path;
  const resolved = resolve(path);
  return process.platform === 'win32' ? resolved.replaceAll('\\', '/') : resolved;
}

async function readText(path: string): Promise<FileText> {
  try {
    const local = localPath(path);
    const status = await stat(local);
    if (status.isDirectory()) return refusal('is a folder, not a file');
    if (!status.isFile()) return refusal('is not a regular file, but a device or a pipe');
    if (status.size > LARGEST_FILE_BYTES) {
      return refusal(
        `has ${Math.ceil(status.size / 1024 / 1024)} MB; files of more than ${LARGEST_FILE_BYTES / 1024 / 1024} MB are not read`,
      );
    }
    const decoded = decodeText(await readFile(local));
    return decoded.ok ? decoded : refusal(decoded.reason);
  } catch (error) {
    return failure(error);
  }
}

async function list(folder: string): Promise<FolderListing> {
  try {
    const local = localPath(folder);
    const entries = await readdir(local, { withFileTypes: true });
    return {
      ok: true,
      entries: await Promise.all(
        entries.map(async (entry) => ({
          name: entry.name,
          isFolder: entry.isDirectory() || (entry.isSymbolicLink() && (await isFolder(resolve(local, entry.name)))),
        })),
      ),
    };
  } catch (error) {
    return failure(error);
  }
}

async function exists(path: string): Promise<boolean> {
  try {
    await stat(localPath(path));
    return true;
  } catch {
    return false;
  }
}

async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch {
    return false;
  }
}

/** Throws for URIs that lead to no file of this machine; callers answer with the reason. */
function localPath(path: string): string {
  return isUri(path) ? fileURLToPath(path) : path;
}

function refusal(reason: string): { readonly ok: false; readonly reason: string; readonly isMissing: boolean } {
  return { ok: false, reason, isMissing: false };
}

function failure(error: unknown): { readonly ok: false; readonly reason: string; readonly isMissing: boolean } {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  const isMissing = code === 'ENOENT' || code === 'ENOTDIR';
  return {
    ok: false,
    reason: REASONS[code] ?? `can't be read (${error instanceof Error ? error.message : String(error)})`,
    isMissing,
  };
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'is not there',
  ENOTDIR: 'is not there',
  EACCES: "can't be read: permission denied",
  EPERM: "can't be read: permission denied",
  EISDIR: 'is a folder, not a file',
  ELOOP: "can't be read: its links lead in a circle",
  ENAMETOOLONG: "can't be read: its name is too long",
  ERR_INVALID_URL_SCHEME: 'is not a file of this machine',
  ERR_INVALID_FILE_URL_HOST: 'is not a file of this machine',
  ERR_INVALID_FILE_URL_PATH: 'is not a valid file address',
  ERR_STRING_TOO_LONG: 'is too long to be read as one text',
  ERR_FS_FILE_TOO_LARGE: 'is too large to be read',
};
