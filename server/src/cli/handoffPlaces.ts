/**
 * Where a hand-off may be written: never among what it is made of.
 *
 * A reel in the folder of the recordings would be taken for one of them the next time, and a sheet beside a timeline could take the
 * place of something. So the folder has to be one of its own, outside the media folders and with no input in it. Links are followed.
 */

import { realpath } from 'node:fs/promises';
import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import { UserError } from './userError.ts';

/** Throws a UserError. `media`: folders that somebody named; `inputs`: files that are read. */
export async function requireOwnFolder(out: string, media: readonly string[], inputs: readonly string[]): Promise<void> {
  const place = await realPlace(out);
  for (const folder of media) {
    const real = await realPlace(folder);
    if (isInside(place, real)) {
      throw new UserError(
        `--out ${out} lies inside the media folder ${folder}, where nothing is ever written; choose a folder outside it`,
      );
    }
  }
  for (const input of inputs) {
    const real = await realPlace(input);
    if (real === place) throw new UserError(`--out ${out} is a file that the hand-off is made from; choose a folder of its own`);
    if (isInside(real, place)) {
      throw new UserError(`--out ${out} holds ${input}, which the hand-off is made from; choose a folder of its own`);
    }
  }
}

/** The true path of something, of which the last parts may not exist yet. */
async function realPlace(path: string): Promise<string> {
  const parts: string[] = [];
  for (let at = resolve(path); ; at = dirname(at)) {
    try {
      return join(await realpath(at), ...parts);
    } catch {
      if (dirname(at) === at) return resolve(path);
      parts.unshift(basename(at));
    }
  }
}

function isInside(path: string, folder: string): boolean {
  const way = relative(folder, path);
  return way === '' || (way !== '..' && !way.startsWith(`..${sep}`) && resolve(folder, way) === path && !/^[a-z]:/i.test(way));
}
