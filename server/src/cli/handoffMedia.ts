/**
 * Files under the folders that may hold recordings, in an order that does not depend on the disk.
 *
 * Left out: names that begin with a dot, node_modules, and hand-offs made before, whose reels have names like recordings and are none.
 * The search has an end, so that a whole disk named by mistake does not take the night; reaching it is told.
 */

import { readdir, realpath, stat } from 'node:fs/promises';
import { MANIFEST_NAME } from '../core/handoff/manifest.ts';
import { compareNaturally } from '../core/text/naturalOrder.ts';
import { systemReason } from './textFile.ts';

export interface FoundMedia {
  readonly paths: readonly string[];
  /** What could not be looked into, a sentence each. */
  readonly problems: readonly string[];
}

const MOST_FILES = 200_000;
const REELS_FOLDER = 'reels';

interface Search {
  readonly paths: string[];
  readonly problems: string[];
  readonly seen: Set<string>;
}

/** `isStated`: somebody named the folders, so one that can't be read is a problem. */
export async function findMedia(folders: readonly string[], isStated: boolean): Promise<FoundMedia> {
  const search: Search = { paths: [], problems: [], seen: new Set() };
  for (const folder of folders) {
    try {
      if ((await stat(folder)).isDirectory()) await walk(search, folder);
      else if (isStated) search.problems.push(`--media ${folder} is a file; give the folder it is in`);
    } catch (error) {
      if (isStated) search.problems.push(`can't read --media ${folder}: ${systemReason(error)}`);
    }
  }
  if (search.paths.length >= MOST_FILES) {
    search.problems.push(`the search for recordings ended after ${MOST_FILES} files; name narrower folders with --media`);
  }
  return { paths: search.paths, problems: search.problems };
}

async function walk(search: Search, folder: string): Promise<void> {
  const real = await realpath(folder);
  if (search.seen.has(real)) return;
  search.seen.add(real);
  const entries = await readdir(folder, { withFileTypes: true });
  const names = new Set(entries.map(({ name }) => name));
  if (names.has(MANIFEST_NAME) && [...names].some((name) => name === REELS_FOLDER || name.endsWith('.sync-sheet.html'))) return;
  for (const entry of entries.sort((left, right) => compareNaturally(left.name, right.name))) {
    if (entry.name.startsWith('.') || entry.name === 'node_modules') continue;
    if (search.paths.length >= MOST_FILES) return;
    const path = folder === '.' ? entry.name : `${folder.replace(/\/+$/, '')}/${entry.name}`;
    try {
      const status = entry.isSymbolicLink() ? await stat(path) : entry;
      if (status.isDirectory()) await walk(search, path);
      else if (status.isFile()) search.paths.push(path);
    } catch (error) {
      if (!entry.isSymbolicLink()) search.problems.push(`can't read ${path}: ${systemReason(error)}`);
    }
  }
}
