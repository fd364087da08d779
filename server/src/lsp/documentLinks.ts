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
import { type DocumentProject, isOwnSettings } from './projects.ts';
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
  const candidatesOf = createCandidates(audited.project);
  const targets = new Map<string, string | null>();
  const found: { readonly name: FileName; readonly target: string }[] = [];
  for (const name of names.slice(0, LARGEST_LINK_COUNT)) {
    let target = targets.get(name.path);
    if (target === undefined) {
      target = await targetAmong(candidatesOf(folder, name.path), isThere);
      targets.set(name.path, target);
    }
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

/** An address a name may lead to, taken apart once. */
interface Candidate {
  readonly uri: string;
  readonly folder: string | null;
  readonly file: string;
}

/**
 * The addresses a name may lead to, likeliest first: as written, else beside the document under the bare file name.
 *
 * The same names stand in every version of a text and in its neighbours, and taking addresses apart is most of the cost, so it
 * is done once for each name as long as the project stays what it is.
 */
function createCandidates(project: DocumentProject): (folder: string, path: string) => readonly Candidate[] {
  const known = candidatesByProject.get(project) ?? new Map<string, readonly Candidate[]>();
  candidatesByProject.set(project, known);
  return (folder, path) => {
    const key = `${folder}\n${path}`;
    const before = known.get(key);
    if (before !== undefined) return before;
    // Links to the network are the editor's own; we look nothing up there.
    const isElsewhere = isUri(path) && !path.startsWith('file:');
    const uris = isElsewhere ? [] : [path, ...fileNamesOfUrl(path)].map((name) => resolveFrom(folder, name));
    const candidates = uris.map((uri) => ({ uri, folder: parentOf(uri), file: nameOf(uri) }));
    if (known.size < LARGEST_KEPT_COUNT) known.set(key, candidates);
    return candidates;
  };
}

const candidatesByProject = new WeakMap<DocumentProject, Map<string, readonly Candidate[]>>();
const LARGEST_KEPT_COUNT = 20_000;

type LookUp = (candidate: Candidate) => boolean | Promise<boolean>;

async function targetAmong(candidates: readonly Candidate[], isThere: LookUp): Promise<string | null> {
  for (const candidate of candidates) if (await isThere(candidate)) return candidate.uri;
  return null;
}

function createLookUp({ workspace: { files } }: Session): LookUp {
  const listings = new Map<string, ReadonlySet<string>>();
  const list = async (folder: string): Promise<ReadonlySet<string>> => {
    const listing = await files.list(folder);
    const names = new Set(listing.ok ? listing.entries.filter(({ isFolder }) => !isFolder).map(({ name }) => name) : []);
    listings.set(folder, names);
    return names;
  };
  return ({ folder, file }) => {
    if (folder === null) return false;
    const listing = listings.get(folder);
    return listing === undefined ? list(folder).then((names) => names.has(file)) : listing.has(file);
  };
}
