/**
 * Links to the media a timeline or report names, and from settings to reports; only to files that are there.
 *
 * Nothing is looked up before an editor asks for links, and then each folder is listed once, however many names point into it.
 * Whether a file is there says nothing about what is in it: it is never opened.
 */

import type { DocumentLink, Range } from 'vscode-languageserver';
import { fileNamesOfUrl } from '../core/alignment/mediaNames.ts';
import { entryLinks, type FileName, mediaLinks, reportLinks } from '../core/views/links.ts';
import { isUri, nameOf, parentOf, resolveFrom } from '../project/paths.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { rangesOf } from './positions.ts';
import { isOwnSettings } from './projects.ts';
import type { Session } from './session.ts';

const LARGEST_LINK_COUNT = 5000;

export async function documentLinks(session: Session, uri: string): Promise<DocumentLink[]> {
  const audited = await auditedDocument(session, uri);
  const folder = parentOf(uri);
  if (audited === null || folder === null) return [];
  const names = namesIn(audited);
  if (names.length > LARGEST_LINK_COUNT) {
    session.warn(`${uri}: ${names.length} places name files; only the first ${LARGEST_LINK_COUNT} are looked up as links.`);
  }
  const isThere = createLookUp(session);
  const targets = new Map<string, Promise<string | null>>();
  const found: { readonly name: FileName; readonly target: string }[] = [];
  for (const name of names.slice(0, LARGEST_LINK_COUNT)) {
    const known = targets.get(name.path) ?? targetOf(folder, name.path, isThere);
    targets.set(name.path, known);
    const target = await known;
    if (target !== null) found.push({ name, target });
  }
  const ranges = rangesOf(
    audited.document.index,
    found.map(({ name }) => name.span),
    session.abilities.columnUnit,
  );
  return found.map(({ target }, at) => ({ range: ranges[at] as Range, target }));
}

function namesIn({ document, project, result }: AuditedDocument): readonly FileName[] {
  if (result !== null) return mediaLinks(result);
  const report = reportOf(document);
  if (report !== null) return entryLinks(report);
  return isOwnSettings(project, document.uri) ? reportLinks(project.settings) : [];
}

/** The address a name leads to: as written, else beside the document under the bare file name. */
async function targetOf(folder: string, path: string, isThere: (uri: string) => Promise<boolean>): Promise<string | null> {
  // Links to the network are the editor's own; we look nothing up there.
  if (isUri(path) && !path.startsWith('file:')) return null;
  const candidates = [resolveFrom(folder, path), ...fileNamesOfUrl(path).map((name) => resolveFrom(folder, name))];
  for (const candidate of candidates) if (await isThere(candidate)) return candidate;
  return null;
}

function createLookUp({ workspace: { files } }: Session): (uri: string) => Promise<boolean> {
  const listings = new Map<string, Promise<ReadonlySet<string>>>();
  const list = async (folder: string): Promise<ReadonlySet<string>> => {
    const listing = await files.list(folder);
    return new Set(listing.ok ? listing.entries.filter(({ isFolder }) => !isFolder).map(({ name }) => name) : []);
  };
  return async (uri) => {
    const folder = parentOf(uri);
    if (folder === null) return false;
    const listing = listings.get(folder) ?? list(folder);
    listings.set(folder, listing);
    return (await listing).has(nameOf(uri));
  };
}
