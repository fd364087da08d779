/**
 * Keeps edits away from texts that can't be saved.
 *
 * The editor stops a person from typing into a read-only text, but not an extension from changing it: the text on the screen would be
 * another one than that on the disk, with no way to save it or to take it back.
 */

import * as vscode from 'vscode';
import type { ApplyWorkspaceEditParams, Middleware, WorkspaceEdit } from 'vscode-languageclient';

/** Why the text can't be changed, for the middle of a sentence; null when it can. */
export async function readOnlyReason(uri: vscode.Uri): Promise<string | null> {
  const name = uri.path.slice(uri.path.lastIndexOf('/') + 1);
  const { fs } = vscode.workspace;
  if (fs.isWritableFileSystem(uri.scheme) === false) return `${name} is read-only here`;
  try {
    const { permissions = 0 } = await fs.stat(uri);
    if ((permissions & vscode.FilePermission.Readonly) !== 0) return `${name} is read-only`;
    return (await isLockedBySettings(uri)) ? `${name} is read-only by the editor's settings` : null;
  } catch {
    // Not saved yet, or known to the editor alone: nothing says that it can't be changed.
    return null;
  }
}

/**
 * A person locks a finished cut by `files.readonlyInclude`. The editor takes an extension's edits of it without a word, and forgets
 * them with the text; one undo of many files stops there.
 */
async function isLockedBySettings(uri: vscode.Uri): Promise<boolean> {
  const settings = vscode.workspace.getConfiguration('files', uri);
  const [locked, excepted] = ['readonlyInclude', 'readonlyExclude'].map((name) =>
    Object.entries(settings.get<Readonly<Record<string, boolean>>>(name, {})).flatMap(([glob, isOn]) => (isOn ? [glob] : [])),
  ) as [string[], string[]];
  if (locked.length === 0) return false;
  const document = await vscode.workspace.openTextDocument(uri);
  const folder = vscode.workspace.getWorkspaceFolder(uri);
  const matches = (glob: string): boolean => {
    const patterns = folder === undefined ? [glob] : [glob, new vscode.RelativePattern(folder, glob)];
    return patterns.some((pattern) => vscode.languages.match({ pattern }, document) > 0);
  };
  return locked.some(matches) && !excepted.some(matches);
}

/** Refuses the server's edits of such texts, with the reason for its answer to the person, and offers none. */
export const READ_ONLY_MIDDLEWARE: Middleware = {
  workspace: {
    handleApplyEdit: async (params: ApplyWorkspaceEditParams, next) => {
      for (const uri of urisOf(params.edit)) {
        const failureReason = await readOnlyReason(vscode.Uri.parse(uri));
        if (failureReason !== null) return { applied: false, failureReason };
      }
      return next(params, new vscode.CancellationTokenSource().token);
    },
  },
  // The editor asks for these from its list of problems too, where it doesn't look whether the text can be changed.
  provideCodeActions: async (document, range, context, token, next) => {
    const [actions, reason] = await Promise.all([next(document, range, context, token), readOnlyReason(document.uri)]);
    if (reason === null) return actions;
    return actions?.map((action) => (action instanceof vscode.CodeAction ? disabled(action, `${reason}.`) : action));
  },
};

function disabled(action: vscode.CodeAction, reason: string): vscode.CodeAction {
  action.disabled = { reason };
  return action;
}

function urisOf({ changes, documentChanges }: WorkspaceEdit): readonly string[] {
  const versioned = (documentChanges ?? []).map((change) => ('textDocument' in change ? change.textDocument.uri : null));
  return [...Object.keys(changes ?? {}), ...versioned.filter((uri) => uri !== null)];
}
