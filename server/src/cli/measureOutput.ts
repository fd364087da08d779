/**
 * Puts files where measuring was told to, so that there is never half of one.
 *
 * A new file is written under another name in the same folder and then linked into its place, which fails if something stands
 * there by now. What a signal or a full disk interrupts leaves the name it would have had untouched.
 */

import { randomBytes } from 'node:crypto';
import { link, mkdir, open, readFile, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { readBytes, systemReason } from './textFile.ts';
import { UserError } from './userError.ts';
import { writeSafely } from './writeSafely.ts';

/** What stands at `path`; null when nothing does. Throws a UserError for a folder, a device, a file that can't be read. */
export async function standingFile(path: string): Promise<Buffer | null> {
  try {
    await stat(path);
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null;
    throw new UserError(`can't write ${path}: ${systemReason(error)}`);
  }
  return readBytes(path);
}

/** Makes sure, before hours of work, that a file can be made in the folder of `path`. Throws a UserError. */
export async function requireWritableFolder(path: string): Promise<void> {
  const probe = temporaryName(path);
  try {
    await (await open(probe, 'wx')).close();
  } catch (error) {
    throw new UserError(`can't write ${path}: ${systemReason(error)}`);
  } finally {
    await rm(probe, { force: true });
  }
}

/** Puts `text` in place of `expected`, null meaning that nothing stands there. Throws a UserError, and then nothing was written. */
export async function putFile(path: string, expected: Buffer | null, text: string): Promise<void> {
  const bytes = Buffer.from(text, 'utf8');
  if (expected !== null) await writeSafely(path, expected, bytes);
  else await createFile(path, bytes);
}

async function createFile(path: string, bytes: Buffer): Promise<void> {
  const temporary = temporaryName(path);
  try {
    const file = await open(temporary, 'wx');
    try {
      await file.writeFile(bytes);
      await file.sync();
    } finally {
      await file.close();
    }
    await place(temporary, path);
  } catch (error) {
    throw error instanceof UserError ? error : new UserError(`can't write ${path}: ${systemReason(error)}`);
  } finally {
    await rm(temporary, { force: true });
  }
}

/** A link refuses to take the place of anything; disks that know no links get the name after one more look. */
async function place(temporary: string, path: string): Promise<void> {
  try {
    await link(temporary, path);
    return;
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : '';
    if (code === 'EEXIST') throw new UserError(`${path} was made by somebody else meanwhile, so it was left alone; run again`);
  }
  if ((await standingFile(path)) !== null) {
    throw new UserError(`${path} was made by somebody else meanwhile, so it was left alone; run again`);
  }
  await rename(temporary, path);
}

/** Makes the folder and those above it. Throws a UserError. */
export async function makeFolder(path: string): Promise<void> {
  try {
    await mkdir(path, { recursive: true });
  } catch (error) {
    throw new UserError(`can't make the folder ${path}: ${systemReason(error)}`);
  }
}

/** True when the file begins with `signature`: one that this program made, and may make again. */
export async function beginsWith(path: string, signature: string): Promise<boolean> {
  return (await readFile(path, 'utf8')).startsWith(signature);
}

function temporaryName(path: string): string {
  return join(dirname(path), `.${basename(path)}.${randomBytes(4).toString('hex')}.tmp`);
}
