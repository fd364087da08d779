/**
 * The manifest of a hand-off: every file in it with size and SHA-256, and what made it.
 *
 * It is the last file to be written, so a folder that has one is whole. The form is public and versioned: members keep their names and
 * meaning, new ones may be added. Paths are relative to the manifest's folder, with `/`.
 */

import { nearestName } from '../text/nearestName.ts';

export const MANIFEST_NAME = 'manifest.json';
/** Rises when a member changes its meaning or goes. */
const MANIFEST_VERSION = 1;

export interface FileDigest {
  readonly size: number;
  /** 64 hexadecimal digits. */
  readonly sha256: string;
}

export type HandedKind = 'sync-sheet' | 'sync-table' | 'pull-list' | 'sync-reel';

export interface HandedFile extends FileDigest {
  readonly path: string;
  readonly kind: HandedKind;
  /** What made it: paths of timelines, as in `timelines`. */
  readonly timelines: readonly string[];
  /** Recordings a reel is made of, as in `recordings`. */
  readonly recordings?: readonly string[];
}

export interface Manifest {
  /** `2026-03-04T10:20:30Z`. */
  readonly made: string;
  /** Name and version of the program. */
  readonly by: string;
  /** The words of the command line, program first. */
  readonly command: readonly string[];
  readonly timelines: readonly ManifestTimeline[];
  /** Recordings that reels were read from. Read in part, so they have no digest here. */
  readonly recordings: readonly { readonly path: string; readonly size: number }[];
  readonly files: readonly HandedFile[];
  /** What was asked for and could not be made or found, in sentences. */
  readonly missing: readonly string[];
}

export interface ManifestTimeline extends FileDigest {
  readonly path: string;
  readonly reports: readonly ManifestInput[];
  readonly settings: ManifestInput | null;
}

export interface ManifestInput extends FileDigest {
  readonly path: string;
}

export function renderManifest(manifest: Manifest): string {
  return `${JSON.stringify({ handoff: MANIFEST_VERSION, ...manifest }, null, 2)}\n`;
}

export type ManifestReading =
  | {
      readonly ok: true;
      readonly files: readonly Pick<HandedFile, 'path' | 'size' | 'sha256'>[];
      readonly missing: readonly string[];
    }
  /** A whole sentence. */
  | { readonly ok: false; readonly reason: string };

/** What verifying needs of a manifest's text; never throws. */
export function readManifest(text: string): ManifestReading {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch (error) {
    return refused(`The manifest is no JSON: ${error instanceof Error ? error.message : String(error)}.`);
  }
  if (!isObject(json)) return refused('The manifest is no JSON object.');
  const version = json['handoff'];
  if (version === undefined) {
    const nearest = nearestName('handoff', Object.keys(json));
    return refused(
      `The manifest has no member "handoff", so another program made it${nearest === null ? '' : ` (it has "${nearest}")`}.`,
    );
  }
  if (version !== MANIFEST_VERSION) {
    return refused(`The manifest is of version ${JSON.stringify(version)}; this program knows version ${MANIFEST_VERSION}.`);
  }
  const { files, missing } = json;
  if (!Array.isArray(files)) return refused('The manifest has no list "files".');
  const read: { path: string; size: number; sha256: string }[] = [];
  for (const [index, file] of files.entries()) {
    const reason = isObject(file) ? troubleOf(file) : 'is no object';
    if (reason !== null) return refused(`Entry ${index + 1} of "files" ${reason}.`);
    const { path, size, sha256 } = file as { path: string; size: number; sha256: string };
    read.push({ path, size, sha256: sha256.toLowerCase() });
  }
  const left = Array.isArray(missing) ? missing.filter((sentence) => typeof sentence === 'string') : [];
  return { ok: true, files: read, missing: left };
}

function troubleOf({ path, size, sha256 }: Readonly<Record<string, unknown>>): string | null {
  if (typeof path !== 'string' || path === '') return 'has no "path"';
  // A manifest comes from outside: it may not send anybody to files beyond its own folder.
  const parts = path.split('/');
  if (/^[a-z]:|^\/|\\/i.test(path) || parts.includes('..') || parts.includes(''))
    return `names ${JSON.stringify(path)}, which is not inside the folder`;
  if (typeof size !== 'number' || !Number.isSafeInteger(size) || size < 0) return 'has no usable "size"';
  if (typeof sha256 !== 'string' || !/^[0-9a-f]{64}$/i.test(sha256)) return 'has no usable "sha256"';
  return null;
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function refused(reason: string): ManifestReading {
  return { ok: false, reason };
}
