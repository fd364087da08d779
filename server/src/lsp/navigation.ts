/**
 * From a clip to its entry in the report, from an entry to the clips that use it, and on to the same media in other timelines.
 */

import type { CancellationToken, Location, Position, Range } from 'vscode-languageserver';
import type { Audit } from '../core/audit.ts';
import type { LineIndex } from '../core/text/lineIndex.ts';
import type { Span } from '../core/text/span.ts';
import { clipsOf, entryPlaces, type MediaSubject, placeOfClip, reportEntryAt, subjectAt } from '../core/views/mediaSubject.ts';
import { comparablePath } from '../project/paths.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { offsetOf, rangesOf } from './positions.ts';
import type { DocumentProject } from './projects.ts';
import type { Session } from './session.ts';
import { auditedFiles } from './workspaceFiles.ts';

/** Media as the whole workspace knows it: an entry by the address of its report, else a name. */
export type WorkspaceSubject =
  | { readonly kind: 'entry'; readonly reportUri: string; readonly key: string }
  | { readonly kind: 'name'; readonly name: string };

export async function definition(session: Session, uri: string, position: Position): Promise<Location[]> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return [];
  const { document, project, result } = audited;
  const offset = offsetOf(document.index, position, session.abilities.columnUnit);
  if (result === null) {
    const report = reportOf(document);
    const entry = report === null ? null : reportEntryAt(report, offset);
    return entry === null ? [] : locations(session, uri, document.index, [entry.keySpan]);
  }
  const subject = subjectAt(result, offset);
  if (subject?.kind !== 'entry') return [];
  const file = project.fileNamed(subject.file);
  const found = project.reports.find(({ report }) => report.file === subject.file);
  if (file === null || found === undefined) return [];
  const { declaration } = entryPlaces(found.report, subject.key);
  return declaration === null ? [] : locations(session, file.uri, file.index, [declaration]);
}

/** A long search answers file by file where `onPart` is given; the rest of the answer is then empty. */
export async function references(
  session: Session,
  uri: string,
  position: Position,
  includeDeclaration: boolean,
  token: CancellationToken,
  onPart: ((part: Location[]) => void) | null,
): Promise<Location[]> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return [];
  const subject = subjectUnder(audited, offsetOf(audited.document.index, position, session.abilities.columnUnit));
  if (subject === null) return [];
  const all: Location[] = [];
  for await (const part of usesOf(session, subject, token)) {
    const spans = [...part.uses, ...(includeDeclaration ? part.declarations : [])];
    const found = locations(session, part.uri, part.index, spans);
    if (onPart === null) all.push(...found);
    else if (found.length > 0) onPart(found);
  }
  return all;
}

/** Null where no media is meant. */
export function subjectUnder({ document, project, result }: AuditedDocument, offset: number): WorkspaceSubject | null {
  if (result !== null) {
    const subject = subjectAt(result, offset);
    return subject === null ? null : inWorkspace(project, subject);
  }
  const report = reportOf(document);
  const entry = report === null ? null : reportEntryAt(report, offset);
  return entry === null ? null : { kind: 'entry', reportUri: document.uri, key: entry.key };
}

interface UsesInFile {
  readonly uri: string;
  readonly index: LineIndex;
  readonly kind: 'timeline' | 'alignment' | 'settings';
  readonly declarations: readonly Span[];
  readonly uses: readonly Span[];
  /** Files that come after this one. */
  readonly unseen: number;
}

/** Every place of the workspace where the media stands, file by file. */
export async function* usesOf(session: Session, subject: WorkspaceSubject, token: CancellationToken): AsyncGenerator<UsesInFile> {
  const files = await session.workspace.list(session, token);
  for await (const { file, audited, at } of auditedFiles(session, files, token)) {
    const { document, project, result } = audited;
    const about = { uri: file.uri, index: document.index, kind: file.kind, unseen: files.length - at - 1 };
    if (result !== null) {
      yield { ...about, declarations: [], uses: clipsAbout(result, project, subject).map(placeOfClip) };
      continue;
    }
    const isMeant = subject.kind === 'entry' && comparablePath(subject.reportUri) === comparablePath(file.uri);
    const report = isMeant ? reportOf(document) : null;
    if (report === null || subject.kind !== 'entry') continue;
    const { declaration, uses } = entryPlaces(report, subject.key);
    yield { ...about, declarations: declaration === null ? [] : [declaration], uses };
  }
}

function clipsAbout(result: Audit, project: DocumentProject, wanted: WorkspaceSubject) {
  // The same few subjects come with thousands of clips.
  const known = new Map<string, boolean>();
  return clipsOf(result, (subject) => {
    const key = subject.kind === 'entry' ? `${subject.file}\n${subject.key}` : subject.name;
    const before = known.get(key);
    if (before !== undefined) return before;
    const isMeant = isSame(inWorkspace(project, subject), wanted);
    known.set(key, isMeant);
    return isMeant;
  });
}

function inWorkspace(project: DocumentProject, subject: MediaSubject): WorkspaceSubject | null {
  if (subject.kind === 'name') return subject;
  const file = project.fileNamed(subject.file);
  return file === null ? null : { kind: 'entry', reportUri: file.uri, key: subject.key };
}

function isSame(left: WorkspaceSubject | null, right: WorkspaceSubject): boolean {
  if (left === null) return false;
  if (left.kind === 'name') return right.kind === 'name' && left.name === right.name;
  return right.kind === 'entry' && left.key === right.key && comparablePath(left.reportUri) === comparablePath(right.reportUri);
}

function locations(session: Session, uri: string, index: LineIndex, spans: readonly Span[]): Location[] {
  return rangesOf(index, spans, session.abilities.columnUnit).map((range: Range) => ({ uri, range }));
}
