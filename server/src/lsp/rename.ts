/**
 * Gives a media file another name in its report and in every timeline that is checked with that report.
 *
 * All or nothing: where one place can't be renamed with certainty, none is, and the answer says which. The file itself is not
 * touched. Edits of open documents carry their version, so a text that moved on is refused instead of spoilt.
 */

import {
  type CancellationToken,
  LSPErrorCodes,
  type Position,
  type Range,
  ResponseError,
  type TextDocumentEdit,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import { comparableName } from '../core/alignment/mediaNames.ts';
import {
  type NamePlace,
  nameAt,
  nameTrouble,
  type Renaming,
  renameIn,
  reportNames,
  timelineNames,
} from '../core/views/renameMedia.ts';
import { comparablePath } from '../project/paths.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { asWorkspaceEdit, documentEditOf } from './edits.ts';
import { offsetOf, rangeOf } from './positions.ts';
import type { Session } from './session.ts';
import { auditedFiles, isSafeToEdit, shownName } from './workspaceFiles.ts';

export async function prepareRename(
  session: Session,
  uri: string,
  position: Position,
): Promise<{ range: Range; placeholder: string } | null> {
  const audited = await auditedDocument(session, uri);
  const place = audited === null ? null : nameUnder(session, audited, position);
  if (audited === null || place === null) return null;
  return { range: rangeOf(audited.document.index, place.span, session.abilities.columnUnit), placeholder: place.name };
}

export async function rename(
  session: Session,
  uri: string,
  position: Position,
  newName: string,
  token: CancellationToken,
): Promise<WorkspaceEdit | null> {
  const origin = await auditedDocument(session, uri);
  const place = origin === null ? null : nameUnder(session, origin, position);
  if (origin === null || place === null) return null;
  const trouble = nameTrouble(newName);
  if (trouble !== null) throw refusal(trouble);
  const reports = new Set(reportsOf(origin));
  const changes: TextDocumentEdit[] = [];
  const files = await session.workspace.list(session, token);
  for await (const { audited } of auditedFiles(session, files, token)) {
    const isOrigin = comparablePath(audited.document.uri) === comparablePath(uri);
    const isAlike =
      isOrigin || (reports.size === 0 ? isWithoutReport(audited) : reportsOf(audited).some((report) => reports.has(report)));
    if (!isAlike) continue;
    const places = namesIn(audited);
    if (comparableName(newName) !== comparableName(place.name) && isTaken(places, newName)) {
      throw refusal(`${shownName(audited.document.uri)} has other media of the name '${newName}'. Nothing was renamed.`);
    }
    const renaming = renameIn(places, place.name, newName);
    refuseUnsure(session, audited, renaming);
    if (renaming.edits.length === 0) continue;
    if (!(await isSafeToEdit(session, audited.document.uri))) {
      throw refusal(
        `${shownName(audited.document.uri)} is not in UTF-8, and an editor could lose characters of it. Nothing was renamed; open it with its encoding first.`,
      );
    }
    const version = session.store.get(audited.document.uri)?.version ?? null;
    changes.push(documentEditOf(audited.document, version, renaming.edits, session.abilities));
  }
  return asWorkspaceEdit(changes, session.abilities);
}

function nameUnder({ abilities }: Session, audited: AuditedDocument, position: Position): NamePlace | null {
  return nameAt(namesIn(audited), offsetOf(audited.document.index, position, abilities.columnUnit));
}

function namesIn({ document, result }: AuditedDocument): readonly NamePlace[] {
  if (result !== null) return timelineNames(result);
  const report = reportOf(document);
  return report === null ? [] : reportNames(report);
}

/** The reports that tie documents together: those a timeline is checked with, and a report itself. */
function reportsOf({ document, project, result }: AuditedDocument): readonly string[] {
  if (result !== null) return project.reports.map(({ path }) => comparablePath(path));
  return reportOf(document) === null ? [] : [comparablePath(document.uri)];
}

function isWithoutReport({ project, result }: AuditedDocument): boolean {
  return result !== null && project.reports.length === 0;
}

/** In a report a name must stay one entry's own; two media of a timeline that get one name would be one from then on. */
function isTaken(places: readonly NamePlace[], newName: string): boolean {
  const wanted = comparableName(newName);
  return places.some(({ name }) => comparableName(name) === wanted);
}

function refuseUnsure({ abilities }: Session, { document }: AuditedDocument, { unsure }: Renaming): void {
  const [first] = unsure;
  if (first === undefined) return;
  const { line } = rangeOf(document.index, first, abilities.columnUnit).start;
  const rest = unsure.length === 1 ? '' : ` and ${unsure.length - 1} more`;
  throw refusal(
    `The place in ${shownName(document.uri)}, line ${line + 1}${rest}, can't hold or spell this name with certainty. Nothing was renamed; change it there by hand first.`,
  );
}

function refusal(message: string): ResponseError<void> {
  return new ResponseError(LSPErrorCodes.RequestFailed, message);
}
