/**
 * Folders, neighbours and relative paths, for strings that are platform paths or URIs.
 *
 * Results use `/` on every platform, which every platform reads. A URI stays a URI of its scheme.
 */

import { URI } from 'vscode-uri';

interface Location {
  /** Decoded, with `/` between segments. */
  readonly path: string;
  /** What tells two places apart besides the path: scheme and authority; empty for a platform path. */
  readonly origin: string;
  readonly withPath: (path: string) => string;
}

/** Two letters at least, since `C:` is a drive. */
const SCHEME = /^[a-z][a-z0-9+.-]+:/i;
const ABSOLUTE = /^(?:\/|[a-z]:\/)/i;

export function isUri(text: string): boolean {
  return SCHEME.test(text);
}

/** The folder that holds `path`; null at the top, or where a URI has no folders. */
export function parentOf(path: string): string | null {
  const location = locate(path);
  const trimmed = withoutTrailingSlash(location.path);
  const end = trimmed.lastIndexOf('/');
  if (end === -1 || trimmed === '/' || /^[a-z]:\/?$/i.test(trimmed)) return null;
  const parent = trimmed.slice(0, end);
  if (parent === '') return location.withPath('/');
  return location.withPath(/^[a-z]:$/i.test(parent) ? `${parent}/` : parent);
}

/** The last segment, decoded. */
export function nameOf(path: string): string {
  const trimmed = withoutTrailingSlash(locate(path).path);
  return trimmed.slice(trimmed.lastIndexOf('/') + 1);
}

/** `path` as a person wrote it in a file that stands in `folder`: relative or absolute, with either slash, or a URI. */
export function resolveFrom(folder: string, path: string): string {
  if (isUri(path)) return path;
  const location = locate(folder);
  const slashed = path.replaceAll('\\', '/');
  if (!ABSOLUTE.test(slashed)) {
    // At the top the slash is there already; two of them would name a share.
    const start = location.path === '/' ? '' : withoutTrailingSlash(location.path);
    return location.withPath(normalised(`${start}/${slashed}`));
  }
  const isDriveInUri = location.origin !== '' && !slashed.startsWith('/');
  return location.withPath(normalised(isDriveInUri ? `/${slashed}` : slashed));
}

/** `path` as shown to people who stand in `base`; the whole of it when the two have nothing in common. */
export function relativeTo(base: string, path: string): string {
  const from = locate(base);
  const to = locate(path);
  const fromSegments = segmentsOf(from.path);
  const toSegments = segmentsOf(to.path);
  const isElsewhere = from.origin !== to.origin || ABSOLUTE.test(from.path) !== ABSOLUTE.test(to.path);
  let common = 0;
  while (common < fromSegments.length && common < toSegments.length - 1 && fromSegments[common] === toSegments[common])
    common += 1;
  if (isElsewhere || (common === 0 && fromSegments.length > 0)) return to.origin === '' ? to.path : path;
  return [...fromSegments.slice(common).map(() => '..'), ...toSegments.slice(common)].join('/');
}

/** One form for all spellings of the same place, for comparing only. */
export function comparablePath(path: string): string {
  const { origin, path: decoded } = locate(path);
  const drive = decoded.replace(/^\/?([A-Za-z]):/, (_match, letter: string) => `/${letter.toLowerCase()}:`);
  const isLocal = origin === '' || origin === 'file://';
  return `${isLocal ? '' : origin}${withoutTrailingSlash(normalised(drive))}`;
}

function locate(text: string): Location {
  const uri = isUri(text) ? parseUri(text) : null;
  if (uri !== null)
    return { path: uri.path, origin: `${uri.scheme}://${uri.authority}`, withPath: (path) => uri.with({ path }).toString() };
  // In an absolute path of POSIX a backslash is a character like any other.
  const path = text.startsWith('/') ? text : text.replaceAll('\\', '/');
  return { path, origin: '', withPath: (changed) => changed };
}

function parseUri(text: string): URI | null {
  try {
    return URI.parse(text);
  } catch {
    return null;
  }
}

function segmentsOf(path: string): readonly string[] {
  return path.split('/').filter((segment) => segment !== '' && segment !== '.');
}

function withoutTrailingSlash(path: string): string {
  return path.length > 1 && path.endsWith('/') ? path.slice(0, -1) : path;
}

/** Without `.` and `..`, except where `..` leads above the start of a relative path. */
function normalised(path: string): string {
  const isAbsolute = path.startsWith('/');
  const isShare = path.startsWith('//');
  const kept: string[] = [];
  for (const segment of path.split('/')) {
    if (segment === '' || segment === '.') continue;
    const last = kept.at(-1);
    if (segment !== '..' || last === '..' || (last === undefined && !isAbsolute)) kept.push(segment);
    else kept.pop();
  }
  return `${isShare ? '//' : isAbsolute ? '/' : ''}${kept.join('/')}`;
}
