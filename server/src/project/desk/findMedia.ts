/**
 * Where the file of a report entry lies: beside the report, as its names say, or in the folders below.
 *
 * Names are compared as the audit compares them, without case. A file of the same name but another extension is taken where no exact one
 * is there, since a smaller copy of a camera file shows the same frames. Nothing is opened.
 */

import { comparableName, fileNamesOfUrl, withoutExtension } from '../../core/alignment/mediaNames.ts';
import type { FileSystem } from '../fileSystem.ts';
import { isUri, nameOf, parentOf, resolveFrom } from '../paths.ts';

export interface WantedMedia {
  readonly role: 'picture' | 'sound';
  readonly key: string;
  readonly names: readonly string[];
}

export interface FoundMedia {
  /** Null when there is none. */
  readonly path: string | null;
  /** What was not found and where it was looked for, or what was taken instead, as a sentence; empty when there is nothing to say. */
  readonly words: string;
}

const MOST_FOLDERS = 200;
const SOUND_ENDINGS = /\.(wav|bwf|rf64|bw64)$/i;
const PICTURE_ENDINGS = /\.(mov|mp4|m4v|webm|mkv|mxf|wav)$/i;

export async function findMedia(files: FileSystem, report: string, wanted: WantedMedia): Promise<FoundMedia> {
  const folder = parentOf(report);
  const fileName = wanted.names.find((name) => /\.[a-z0-9]{1,5}$/i.test(name)) ?? wanted.names[0] ?? wanted.key;
  if (folder === null) return { path: null, words: `${fileName} can't be looked for: the report is in no folder.` };
  const plain = [...wanted.names, wanted.key].flatMap((name) => fileNamesOfUrl(name)).map(comparableName);
  const stems = new Set(plain.map(withoutExtension));
  const endings = wanted.role === 'sound' ? SOUND_ENDINGS : PICTURE_ENDINGS;
  const written = await asWritten(files, folder, wanted.names);
  if (written !== null) return { path: written, words: '' };
  let alike: string | null = null;
  let folderCount = 0;
  const waiting = [folder];
  while (waiting.length > 0 && folderCount < MOST_FOLDERS) {
    const place = waiting.shift() as string;
    const listing = await files.list(place);
    folderCount += 1;
    if (!listing.ok) continue;
    for (const { name, isFolder } of listing.entries) {
      if (isFolder && !name.startsWith('.') && name !== 'node_modules') waiting.push(resolveFrom(place, escaped(name)));
      if (isFolder || !endings.test(name)) continue;
      const comparable = comparableName(name);
      if (plain.includes(comparable)) return { path: resolveFrom(place, escaped(name)), words: '' };
      if (stems.has(withoutExtension(comparable))) alike ??= resolveFrom(place, escaped(name));
    }
  }
  if (alike !== null) {
    return { path: alike, words: `${fileName} is not there; ${nameOf(alike)}, of the same name, was taken in its place.` };
  }
  const below =
    folderCount === 1 ? '' : folderCount === 2 ? ' and the folder below it' : ` and the ${folderCount - 1} folders below it`;
  const cut = waiting.length === 0 ? '' : '; more folders were not looked into';
  // The top of a virtual folder has no name.
  const place = nameOf(folder) === '' ? 'in the top folder' : `in the folder ${nameOf(folder)}`;
  const words = `${fileName} is not there: it was looked for beside ${nameOf(report)}, ${place}${below}${cut}.`;
  return { path: null, words };
}

/** A file that a person chose. It may have any name, but what it is called may be all that tells a wrong one. */
export function chosenMedia(path: string, { key, names }: WantedMedia): FoundMedia {
  const stems = [...names, key].flatMap((name) => fileNamesOfUrl(name)).map((name) => withoutExtension(comparableName(name)));
  if (stems.includes(withoutExtension(comparableName(nameOf(path))))) return { path, words: '' };
  return {
    path,
    words: `${nameOf(path)} was chosen for what the report calls ${names[0] ?? key}: make sure that it is the same.`,
  };
}

/**
 * Names may be paths, relative to the report or absolute, or addresses: of this machine, or of the kind that the report's own is. An
 * editor asked to list a folder of any other kind might ask the network for it, because somebody else's report says so.
 */
async function asWritten(files: FileSystem, folder: string, names: readonly string[]): Promise<string | null> {
  for (const name of names) {
    if (!/[/\\]/.test(name)) continue;
    const path = resolveFrom(folder, name);
    const scheme = schemeOf(path);
    if (scheme !== schemeOf(folder) && scheme !== 'file') continue;
    const place = parentOf(path);
    const listing = place === null ? null : await files.list(place);
    if (listing?.ok === true && listing.entries.some((entry) => !entry.isFolder && entry.name === nameOf(path))) return path;
  }
  return null;
}

/** Empty for a path of the platform. */
function schemeOf(path: string): string {
  return isUri(path) ? path.slice(0, path.indexOf(':')).toLowerCase() : '';
}

/** A name out of a listing is never an address, even with a colon in it. */
function escaped(name: string): string {
  return `./${name}`;
}
