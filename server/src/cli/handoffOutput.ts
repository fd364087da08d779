/**
 * The folder of a hand-off: all of it comes into place at once, or nothing does.
 *
 * Files are written into a hidden folder inside it and moved when the last is whole, the manifest after everything else. So a disk that
 * fills, a pulled cable or an interrupt leave what stood there before, and a folder with a manifest is a whole hand-off. With --force the
 * old and the new need room side by side for a moment; that is the price.
 */

import { createHash, type Hash, randomBytes } from 'node:crypto';
import { type FileHandle, link, mkdir, open, readdir, readFile, rename, rm, rmdir, stat, statfs } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { type FileDigest, MANIFEST_NAME, readManifest } from '../core/handoff/manifest.ts';
import type { HandoffOutput, StagedFile } from '../project/handoff/handoffPorts.ts';
import { systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

export interface HandoffFolder extends HandoffOutput {
  /** Moves everything into place. Throws a UserError; then, unless files were replaced already, nothing is in place. */
  readonly commit: () => Promise<void>;
  /** Takes away what was staged, and the folder itself where this run made it. Never throws. */
  readonly discard: () => Promise<void>;
}

/** Looks at what stands there before the work begins. Throws a UserError. Answers notes for the person. */
export async function requireNothingInTheWay(
  folder: string,
  paths: readonly string[],
  isReplacing: boolean,
): Promise<readonly string[]> {
  const standing: string[] = [];
  for (const path of paths) {
    const kind = await kindOf(join(folder, path));
    if (kind === 'other') throw new UserError(`${join(folder, path)} is in the way: it is no file`);
    if (kind === 'file') standing.push(path);
  }
  const [first, ...others] = standing;
  if (first !== undefined && !isReplacing) {
    const more = others.length === 0 ? '' : ` and ${others.length} more of the files to write`;
    throw new UserError(`${folder} holds ${first}${more} already; give --force to replace them, or another folder`);
  }
  return [...(await staleFiles(folder, paths)), ...(await abandonedStaging(folder))];
}

/** Makes the folder and its staging place, if there is room for `bytes`. Throws a UserError, and then nothing was made. */
export async function openHandoffFolder(folder: string, bytes: number, isReplacing: boolean): Promise<HandoffFolder> {
  const staging = join(folder, `${STAGING_START}${randomBytes(4).toString('hex')}${STAGING_END}`);
  let made: string | undefined;
  try {
    made = await mkdir(folder, { recursive: true });
    await mkdir(staging);
  } catch (error) {
    if (made !== undefined) await removeEmpty(folder, made);
    throw new UserError(`can't write into ${folder}: ${systemReason(error)}`);
  }
  const staged: string[] = [];
  const discard = async (): Promise<void> => {
    await rm(staging, { recursive: true, force: true }).catch(() => {});
    if (made !== undefined) await removeEmpty(folder, made);
  };
  try {
    await requireSpace(folder, bytes);
  } catch (error) {
    await discard();
    throw error;
  }
  return {
    create: async (path) => {
      const file = await createStaged(join(staging, path), join(folder, path));
      return {
        ...file,
        finish: async () => {
          const digest = await file.finish();
          staged.push(path);
          return digest;
        },
      };
    },
    commit: async () => {
      await moveAll(staging, folder, staged, isReplacing);
      await rm(staging, { recursive: true, force: true }).catch(() => {});
    },
    discard,
  };
}

/** `shown` is the name it will have, for what goes wrong. */
async function createStaged(path: string, shown: string): Promise<StagedFile> {
  const hash: Hash = createHash('sha256');
  let size = 0;
  let file: FileHandle;
  try {
    await mkdir(dirname(path), { recursive: true });
    file = await open(path, 'wx');
  } catch (error) {
    throw new UserError(`can't write ${shown}: ${systemReason(error)}`);
  }
  return {
    write: async (bytes) => {
      try {
        const writing = writeWhole(file, bytes);
        // The disk works while the digest is made.
        hash.update(bytes);
        await writing;
      } catch (error) {
        throw new UserError(`can't write ${shown}: ${systemReason(error)}`);
      }
      size += bytes.length;
    },
    finish: async (): Promise<FileDigest> => {
      try {
        await file.datasync();
        await file.close();
      } catch (error) {
        throw new UserError(`can't write ${shown}: ${systemReason(error)}`);
      }
      return { size, sha256: hash.digest('hex') };
    },
    discard: async () => {
      await file.close().catch(() => {});
      await rm(path, { force: true }).catch(() => {});
    },
  };
}

/** A disk may take less than it was given; a full one takes nothing and says so the next time. */
async function writeWhole(file: FileHandle, bytes: Uint8Array): Promise<void> {
  for (let at = 0; at < bytes.length; ) {
    const { bytesWritten } = await file.write(bytes, at, bytes.length - at);
    at += bytesWritten;
  }
}

async function moveAll(staging: string, folder: string, paths: readonly string[], isReplacing: boolean): Promise<void> {
  const inOrder = [...paths.filter((path) => path !== MANIFEST_NAME), ...paths.filter((path) => path === MANIFEST_NAME)];
  const placed: string[] = [];
  try {
    // Without its manifest a folder passes for no hand-off, so the old one goes before the first new file comes.
    if (isReplacing) await rm(join(folder, MANIFEST_NAME), { force: true });
    for (const path of inOrder) {
      const target = join(folder, path);
      await mkdir(dirname(target), { recursive: true });
      if (isReplacing) await rename(join(staging, path), target);
      else await placeNew(join(staging, path), target);
      placed.push(target);
    }
  } catch (error) {
    if (!isReplacing) for (const target of placed) await rm(target, { force: true }).catch(() => {});
    throw error instanceof UserError ? error : new UserError(`can't write into ${folder}: ${systemReason(error)}`);
  }
}

/** A link refuses to take the place of anything; disks that know no links get the name after one more look. */
async function placeNew(from: string, target: string): Promise<void> {
  try {
    await link(from, target);
    return;
  } catch (error) {
    if (codeOf(error) === 'EEXIST') throw madeMeanwhile(target);
  }
  if ((await kindOf(target)) !== null) throw madeMeanwhile(target);
  await rename(from, target);
}

function madeMeanwhile(target: string): UserError {
  return new UserError(`${target} was made by somebody else meanwhile, so nothing was handed over; run again`);
}

async function kindOf(path: string): Promise<'file' | 'other' | null> {
  try {
    return (await stat(path)).isFile() ? 'file' : 'other';
  } catch (error) {
    const code = codeOf(error);
    if (code === 'ENOENT') return null;
    if (code === 'ENOTDIR') throw new UserError(`can't write ${path}: a file stands where a folder is needed`);
    throw new UserError(`can't write ${path}: ${systemReason(error)}`);
  }
}

/** Files of an earlier hand-off that the new one does not have; a manifest that is none of ours stops the run. */
async function staleFiles(folder: string, paths: readonly string[]): Promise<readonly string[]> {
  let text: string;
  try {
    text = await readFile(join(folder, MANIFEST_NAME), 'utf8');
  } catch {
    return [];
  }
  const manifest = readManifest(text);
  if (!manifest.ok) {
    throw new UserError(
      `${join(folder, MANIFEST_NAME)} is no manifest of a hand-off, so this folder is left alone; choose another`,
    );
  }
  const kept = new Set(paths);
  const stale: string[] = [];
  for (const { path } of manifest.files) {
    if (!kept.has(path) && (await kindOf(join(folder, path))) === 'file') stale.push(path);
  }
  if (stale.length === 0) return [];
  const names = stale.length > 3 ? `${stale.slice(0, 3).join(', ')} and ${stale.length - 3} more` : stale.join(', ');
  return [`${folder} keeps files of an earlier hand-off that this one does not have: ${names}; remove them before you send it`];
}

const STAGING_START = '.afterclap-';
const STAGING_END = '.tmp';

/** A run that was killed outright could not clear up behind it. */
async function abandonedStaging(folder: string): Promise<readonly string[]> {
  try {
    const names = (await readdir(folder)).filter((name) => name.startsWith(STAGING_START) && name.endsWith(STAGING_END));
    return names.map(
      (name) =>
        `${join(folder, name)} was left by a run that was killed, or belongs to one that is at work; remove it if none is`,
    );
  } catch {
    return [];
  }
}

/** Room for the text files on top of what the reels need. */
const SPARE_BYTES = 8 * 1024 * 1024;

async function requireSpace(folder: string, bytes: number): Promise<void> {
  try {
    const { bavail, bsize } = await statfs(folder);
    const free = bavail * bsize;
    if (free < bytes + SPARE_BYTES) {
      throw new UserError(
        `the hand-off needs ${megabytes(bytes + SPARE_BYTES)}, and the disk of ${folder} has ${megabytes(free)} free`,
      );
    }
  } catch (error) {
    // A disk that can't tell gets the chance to take it.
    if (error instanceof UserError) throw error;
  }
}

async function removeEmpty(folder: string, topmost: string): Promise<void> {
  for (let path = resolve(folder); ; path = dirname(path)) {
    try {
      await rmdir(path);
    } catch {
      return;
    }
    if (path === resolve(topmost) || dirname(path) === path) return;
  }
}

export function megabytes(bytes: number): string {
  if (bytes < 1_000_000) return `${Math.max(1, Math.round(bytes / 1000))} kB`;
  return bytes < 1_000_000_000
    ? `${(bytes / 1_000_000).toFixed(bytes < 10_000_000 ? 1 : 0)} MB`
    : `${(bytes / 1_000_000_000).toFixed(1)} GB`;
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}
