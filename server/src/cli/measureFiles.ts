/**
 * From the paths of `measure` to recordings with a role each, in an order that does not depend on the disk.
 *
 * A name decides: WAV is sound, what cameras write is picture. In a folder everything else is passed over; a file that is named and
 * is neither is said. Passed over too: names that begin with a dot, which some systems strew beside every file, and node_modules.
 */

import { readdir, realpath, stat } from 'node:fs/promises';
import { compareNaturally } from '../core/text/naturalOrder.ts';
import type { Recording } from '../project/measure/recording.ts';
import { systemReason } from './textFile.ts';

export interface FoundRecordings {
  readonly recordings: readonly Recording[];
  /** Paths that could not be used, a sentence each. */
  readonly problems: readonly string[];
}

const WAVE = /\.(?:wav|wave|bwf|rf64)$/i;
const CAMERA = /\.(?:mov|mp4|m4v|mxf|mkv|avi|mts|m2ts|mpg|mpeg|webm|3gp)$/i;
const OTHER_SOUND = /\.(?:aif|aiff|aifc|flac|mp3|m4a|aac|ogg|oga|opus|wma|caf|w64|au)$/i;

interface Search {
  readonly found: Map<string, Recording>;
  readonly problems: string[];
  readonly seenFolders: Set<string>;
}

export async function findRecordings(
  paths: readonly string[],
  pictures: readonly string[],
  sounds: readonly string[],
): Promise<FoundRecordings> {
  const search: Search = { found: new Map(), problems: [], seenFolders: new Set() };
  // Named with a role first: a folder that holds the file too must not give it another.
  for (const path of pictures) await addNamed(search, path, 'picture');
  for (const path of sounds) await addNamed(search, path, 'sound');
  for (const path of paths) await lookAt(search, path);
  return { recordings: [...search.found.values()], problems: search.problems };
}

/** How a file is read, by its name; null for what is no recording. */
function readerOf(path: string): Recording['reader'] | null {
  return WAVE.test(path) ? 'wave' : CAMERA.test(path) ? 'camera' : null;
}

async function lookAt(search: Search, path: string): Promise<void> {
  try {
    if (!(await stat(path)).isDirectory()) {
      await addNamed(search, path, null);
      return;
    }
    const before = search.found.size + search.problems.length;
    await walk(search, path);
    if (search.found.size + search.problems.length === before) {
      const what =
        search.found.size === 0
          ? "no recording: neither WAV nor a camera file; give the folder that the recorder's files are in"
          : 'no recording that is not named already';
      search.problems.push(`${path === '.' ? 'this folder' : path} holds ${what}`);
    }
  } catch (error) {
    search.problems.push(`can't read ${path}: ${systemReason(error)}`);
  }
}

async function addNamed(search: Search, path: string, role: Recording['role'] | null): Promise<void> {
  try {
    const status = await stat(path);
    if (status.isDirectory()) {
      search.problems.push(`${path} is a folder; --${role} takes a file`);
      return;
    }
  } catch (error) {
    search.problems.push(`can't read ${path}: ${systemReason(error)}`);
    return;
  }
  const reader = readerOf(path) ?? (role === 'picture' ? 'camera' : role === 'sound' ? 'wave' : null);
  if (reader !== null) {
    await add(search, { path, role: role ?? (reader === 'wave' ? 'sound' : 'picture'), isRoleStated: role !== null, reader });
  } else if (/\.csv$/i.test(path)) {
    search.problems.push(`${path} looks like a clap log; give it with --clap-log ${path}`);
  } else if (OTHER_SOUND.test(path)) {
    search.problems.push(`${path} is not WAV; recordings are read from WAV, BWF and RF64, so make a copy in one of those`);
  } else {
    search.problems.push(`${path} is neither WAV nor a camera file by its name; say what it is with --sound or --picture`);
  }
}

async function walk(search: Search, folder: string): Promise<void> {
  const real = await realpath(folder);
  if (search.seenFolders.has(real)) return;
  search.seenFolders.add(real);
  const entries = await readdir(folder, { withFileTypes: true });
  for (const entry of entries.sort((left, right) => compareNaturally(left.name, right.name))) {
    if (entry.name.startsWith('.') || entry.name === 'node_modules') continue;
    const path =
      folder === '.' || folder === './'
        ? entry.name
        : folder.endsWith('/')
          ? `${folder}${entry.name}`
          : `${folder}/${entry.name}`;
    const reader = readerOf(entry.name);
    try {
      const status = entry.isSymbolicLink() ? await stat(path) : entry;
      if (status.isDirectory()) await walk(search, path);
      else if (status.isFile() && reader !== null) {
        await add(search, { path, role: reader === 'wave' ? 'sound' : 'picture', isRoleStated: false, reader });
      }
    } catch (error) {
      if (!entry.isSymbolicLink() || reader !== null) search.problems.push(`can't read ${path}: ${systemReason(error)}`);
    }
  }
}

async function add(search: Search, recording: Recording): Promise<void> {
  const real = await realpath(recording.path);
  const known = search.found.get(real);
  if (known === undefined) search.found.set(real, recording);
  else if (known.isRoleStated && recording.isRoleStated && known.role !== recording.role) {
    search.problems.push(`${recording.path} is given as picture and as sound; say one of the two`);
  }
}
