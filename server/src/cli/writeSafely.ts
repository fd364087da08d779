/**
 * Writes a file so that there is always a whole one: first beside it under another name, then renamed into place.
 *
 * A file that changed since it was read is left alone: what somebody else wrote meanwhile is worth more than our fix. The mode
 * is kept, and a link stays a link (its target is replaced).
 */

import { randomBytes } from 'node:crypto';
import { open, realpath, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { readBytes, systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

/** Puts `bytes` in place of `expected`. Throws a UserError, and then nothing was written. */
export async function writeSafely(path: string, expected: Buffer, bytes: Buffer): Promise<void> {
  let temporary: string | null = null;
  try {
    const target = await realpath(path);
    const { mode } = await stat(target);
    if ((mode & 0o222) === 0) throw new UserError(`${path} is write-protected, so it was not fixed`);
    temporary = join(dirname(target), `.${basename(target)}.${randomBytes(4).toString('hex')}.tmp`);
    const file = await open(temporary, 'wx', mode);
    try {
      await file.writeFile(bytes);
      // The mask of the process may have taken bits away on creation.
      await file.chmod(mode);
      await file.sync();
    } finally {
      await file.close();
    }
    // As late as can be: between this look and the rename nothing else happens.
    if (!(await readBytes(target)).equals(expected)) {
      throw new UserError(`${path} changed while it was checked, so it was not fixed; run again`);
    }
    await rename(temporary, target);
    temporary = null;
  } catch (error) {
    throw error instanceof UserError ? error : new UserError(`can't write ${path}: ${systemReason(error)}`);
  } finally {
    if (temporary !== null) await rm(temporary, { force: true });
  }
}
