/**
 * Safe fixes in all timelines of the workspace, open or not: those of one finding code, or all.
 *
 * They are worked out when somebody wants them, not when a menu shows them: the menu would have to audit everything, so it promises
 * no number. A fix never reaches into another file, so each timeline gets the very edits that it would get alone. A signed playlist
 * has none. Whether a text can be written is for the editor to know.
 */

import {
  type CancellationToken,
  type CodeAction,
  CodeActionKind,
  ErrorCodes,
  LSPErrorCodes,
  ResponseError,
  type TextDocumentEdit,
} from 'vscode-languageserver';
import { fixAll } from '../core/audit.ts';
import { FINDING_CODES, type FindingCode } from '../core/rules/finding.ts';
import { type ClientAbilities, FIX_WORKSPACE_COMMAND } from './capabilities.ts';
import { asWorkspaceEdit, documentEditOf } from './edits.ts';
import type { Session } from './session.ts';
import type { ScanProgress } from './workspaceDiagnostics.ts';
import { auditedFiles, isSafeToEdit, shownName } from './workspaceFiles.ts';

interface WorkspaceFixes {
  readonly timelines: readonly { readonly fixCount: number; readonly change: TextDocumentEdit }[];
  readonly unread: readonly string[];
  readonly notUtf8: readonly string[];
}

/** `code` null: of all codes. */
export async function workspaceFixes(
  session: Session,
  code: string | null,
  token: CancellationToken,
  progress: ScanProgress | null,
): Promise<WorkspaceFixes> {
  progress?.begin('Looking for safe fixes');
  try {
    const { store, abilities } = session;
    const files = (await session.workspace.list(session, token)).filter(({ kind }) => kind === 'timeline');
    const unread = new Set(files.map(({ uri }) => uri));
    const notUtf8: string[] = [];
    const timelines: { readonly fixCount: number; readonly change: TextDocumentEdit }[] = [];
    for await (const { file, audited, at } of auditedFiles(session, files, token)) {
      const { document, result } = audited;
      unread.delete(file.uri);
      progress?.report(Math.round((100 * (at + 1)) / files.length), `${at + 1} of ${files.length}, ${shownName(file.uri)}`);
      const open = store.get(document.uri);
      // The text of a file that was deleted is shown nowhere any more; changing it would bring it back.
      if (result === null || (open !== null && !store.standing().includes(open))) continue;
      const { edits, fixes } = fixAll(result, code === null ? null : [code as FindingCode]);
      if (fixes.length === 0) continue;
      // An open text in which the editor put the sign for what it could not read loses that when it is saved.
      if (document.index.text.includes('\ufffd') || !(await isSafeToEdit(session, document.uri))) {
        notUtf8.push(shownName(document.uri));
        continue;
      }
      const version = open === null ? null : document.version;
      timelines.push({ fixCount: fixes.length, change: documentEditOf(document, version, edits, abilities) });
    }
    return { timelines, unread: [...unread].map(shownName), notUtf8 };
  } finally {
    progress?.done();
  }
}

/** What a menu offers for `code`; null for clients that could not take the edit later. */
export function workspaceFixAction(code: FindingCode, { fixesWorkspace }: ClientAbilities): CodeAction | null {
  const kind = CodeActionKind.QuickFix;
  const title = `Make all safe fixes for ${code} in the whole workspace`;
  if (fixesWorkspace === 'by resolving') return { title, kind, data: { code } };
  if (fixesWorkspace === false) return null;
  const asking = `${title}…`;
  return { title: asking, kind, command: { title: asking, command: FIX_WORKSPACE_COMMAND, arguments: [code] } };
}

/** The action with its edit. Any other action comes back as it is. */
export async function resolveWorkspaceFixes(session: Session, action: CodeAction, token: CancellationToken): Promise<CodeAction> {
  if (session.abilities.fixesWorkspace !== 'by resolving') {
    throw new ResponseError(ErrorCodes.MethodNotFound, 'Nothing is left to resolve in the actions that this client is given.');
  }
  const code = codeIn(action.data);
  if (code === null) return action;
  const { timelines, unread, notUtf8 } = await workspaceFixes(session, code, token, null);
  if (unread.length > 0) session.warn(`Could not be read, and so was not fixed: ${unread.join(', ')}.`);
  const left = `Not in UTF-8, and so not fixed: ${notUtf8.join(', ')}.`;
  if (notUtf8.length > 0) session.warn(left);
  if (timelines.length === 0) {
    const message =
      notUtf8.length > 0
        ? `${left} Nothing was changed; open it with its encoding first.`
        : `No timeline of the workspace has a ${code} any more that a safe fix could put right; nothing was changed.`;
    throw new ResponseError(LSPErrorCodes.RequestFailed, message);
  }
  const changes = timelines.map(({ change }) => change);
  return { ...action, edit: asWorkspaceEdit(changes, session.abilities) };
}

/** Comes from the client, like everything in its messages. */
function codeIn(data: unknown): FindingCode | null {
  const { code } = (data ?? {}) as { readonly code?: unknown };
  return FINDING_CODES.find((known) => known === code) ?? null;
}
