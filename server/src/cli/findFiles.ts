/**
 * From the paths on the command line to the files to check, in an order that does not depend on the disk.
 *
 * Folders are walked; links are followed, each folder once, so that links in a circle end. What was asked for and can't be
 * read is said, never left out in silence. Left out by design, and said so in the help: node_modules and folders whose name
 * begins with a dot.
 */

import { open, readdir, realpath, stat } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import { formatOfFileName, formatOfXmlText } from '../core/formats/formatFor.ts';
import { nearestName } from '../core/text/nearestName.ts';
import type { FormatId } from '../core/timeline/model.ts';
import { isReportName, SETTINGS_FILE_NAME } from '../project/findProject.ts';
import { systemReason } from './textFile.ts';

export type FoundFile =
  | { readonly kind: 'timeline'; readonly path: string; readonly format: FormatId }
  | { readonly kind: 'alignment' | 'settings'; readonly path: string };

export interface FoundFiles {
  readonly files: readonly FoundFile[];
  /** Paths that could not be used, a sentence each. */
  readonly problems: readonly string[];
}

/** Comments before the first element may be long. */
const HEAD_BYTES = 64 * 1024;
const SKIPPED_FOLDERS = new Set(['node_modules']);

interface Search {
  readonly files: FoundFile[];
  readonly problems: string[];
  readonly seenFiles: Set<string>;
  readonly seenFolders: Set<string>;
}

export async function findFiles(paths: readonly string[]): Promise<FoundFiles> {
  const search: Search = { files: [], problems: [], seenFiles: new Set(), seenFolders: new Set() };
  for (const path of paths) await lookAt(search, path);
  return search;
}

async function lookAt(search: Search, path: string): Promise<void> {
  try {
    const status = await stat(path);
    if (!status.isDirectory()) {
      await addNamedFile(search, path);
      return;
    }
    const before = search.files.length + search.problems.length;
    await walk(search, path);
    if (search.files.length + search.problems.length === before) {
      search.problems.push(`${path} holds no timeline (.otio, .timeline.xml, .edl or .cpl.xml) and no alignment report`);
    }
  } catch (error) {
    search.problems.push(`can't read ${path}: ${systemReason(error)}${await likelyName(path)}`);
  }
}

async function addNamedFile(search: Search, path: string): Promise<void> {
  const found = fileOfName(path) ?? (await namedXml(path));
  if (found !== null) await addOnce(search, found);
  else
    search.problems.push(
      `${path} is not a file Afterclap reads: expected .otio, .timeline.xml, .edl, .cpl.xml, .alignment.json or afterclap.json`,
    );
}

/** A file that is named on purpose may be XML without one of the long endings: its first element tells. In a folder it may be anything. */
async function namedXml(path: string): Promise<FoundFile | null> {
  if (!/\.xml$/i.test(path)) return null;
  const file = await open(path);
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    // Names of elements are ASCII, so this finds them in UTF-8, UTF-16 and Windows-1252 alike.
    const head = buffer.toString('latin1', 0, bytesRead).replace(/^(?:\u00ef\u00bb\u00bf|\u00ff\u00fe|\u00fe\u00ff)|\0/g, '');
    return { kind: 'timeline', path, format: formatOfXmlText(head) };
  } finally {
    await file.close();
  }
}

async function walk(search: Search, folder: string): Promise<void> {
  const real = await realpath(folder);
  if (search.seenFolders.has(real)) return;
  search.seenFolders.add(real);
  const entries = await readdir(folder, { withFileTypes: true });
  for (const entry of entries.sort((left, right) => (left.name < right.name ? -1 : left.name > right.name ? 1 : 0))) {
    const path = joined(folder, entry.name);
    try {
      const status = entry.isSymbolicLink() ? await stat(path) : entry;
      if (status.isDirectory()) {
        if (!entry.name.startsWith('.') && !SKIPPED_FOLDERS.has(entry.name)) await walk(search, path);
        continue;
      }
      const found = status.isFile() ? fileOfName(path) : null;
      if (found !== null) await addOnce(search, found);
    } catch (error) {
      // A dead link to something else than a timeline is nobody's concern here.
      const isOurs = !entry.isSymbolicLink() || fileOfName(path) !== null;
      if (isOurs) search.problems.push(`can't read ${path}: ${systemReason(error)}`);
    }
  }
}

async function addOnce(search: Search, found: FoundFile): Promise<void> {
  const real = await realpath(found.path);
  if (search.seenFiles.has(real)) return;
  search.seenFiles.add(real);
  search.files.push(found);
}

function fileOfName(path: string): FoundFile | null {
  const name = basename(path);
  const format = formatOfFileName(name);
  if (format !== null) return { kind: 'timeline', path, format };
  if (isReportName(name)) return { kind: 'alignment', path };
  return name === SETTINGS_FILE_NAME ? { kind: 'settings', path } : null;
}

/** With '/' on every system: paths are shown, written into JSON and compared in tests. */
function joined(folder: string, name: string): string {
  if (folder === '.' || folder === './') return name;
  return folder.endsWith('/') ? `${folder}${name}` : `${folder}/${name}`;
}

/** `; did you mean x?` when something of nearly that name stands in the same folder. */
async function likelyName(path: string): Promise<string> {
  try {
    const nearest = nearestName(basename(path), await readdir(dirname(path)));
    return nearest === null ? '' : `; did you mean ${joined(dirname(path), nearest)}?`;
  } catch {
    return '';
  }
}
