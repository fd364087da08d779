/**
 * Safe fixes in all timelines of the workspace, after a question that says how many and where.
 *
 * A person may take minutes to answer, and a file may be exported anew meanwhile. So what is applied is worked out after the answer,
 * and where it is not what was agreed to, the question is asked again. The edits are one edit of the editor's, which opens the
 * texts and saves none; texts that can't be written stay as they are.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, WorkDoneProgress, type WorkspaceEdit } from 'vscode-languageclient';
import {
  type TimelineFixes,
  WORKSPACE_FIXES_REQUEST,
  type WorkspaceFixesAnswer,
  type WorkspaceFixesParams,
} from '../../server/src/lsp/workspaceFixesMessages.ts';
import { readOnlyReason } from './readOnly.ts';
import { type FixedTimeline, fixCautions, fixCounts, nothingToFix, type WorkspaceFixPlan } from './workspaceFixWords.ts';

/** What another extension can say beforehand. */
export interface FixAnswers {
  readonly isAgreed?: boolean;
}

interface Found {
  readonly plan: WorkspaceFixPlan;
  readonly changes: readonly TimelineFixes['change'][];
}

/** `code` null: of all codes. */
export async function fixWorkspace(
  client: BaseLanguageClient,
  code: string | null,
  { isAgreed }: FixAnswers = {},
): Promise<void> {
  const agree = 'Make the Fixes';
  let agreed: string | null = null;
  for (;;) {
    const found = await look(client, code);
    if (found === null) return;
    const { plan, changes } = found;
    if (changes.length === 0) {
      await vscode.window.showInformationMessage(nothingToFix(plan));
      return;
    }
    const counts = fixCounts(plan);
    const detail = fixCautions(plan, isSaving());
    if (isAgreed === true || agreed === counts + detail) {
      await vscode.window.showInformationMessage(await apply(client, plan, changes));
      return;
    }
    if ((await vscode.window.showWarningMessage(`Make ${counts}?`, { modal: true, detail }, agree)) !== agree) return;
    agreed = counts + detail;
  }
}

/** Null when the person cancelled. */
async function look(client: BaseLanguageClient, code: string | null): Promise<Found | null> {
  const answer = await ask(client, code);
  if (answer === null) return null;
  const timelines: FixedTimeline[] = [];
  const readOnly: FixedTimeline[] = [];
  const changes: TimelineFixes['change'][] = [];
  for (const { fixCount, change } of answer.timelines) {
    const uri = vscode.Uri.parse(change.textDocument.uri);
    const timeline = { name: vscode.workspace.asRelativePath(uri), fixCount };
    const isReadOnly = (await readOnlyReason(uri)) !== null;
    (isReadOnly ? readOnly : timelines).push(timeline);
    if (!isReadOnly) changes.push(change);
  }
  const { unread, notUtf8 } = answer;
  return { plan: { code, timelines, readOnly, unread, notUtf8 }, changes };
}

function ask(client: BaseLanguageClient, code: string | null): Thenable<WorkspaceFixesAnswer | null> {
  const location = vscode.ProgressLocation.Notification;
  const title = 'Looking for safe fixes in the workspace';
  return vscode.window.withProgress({ location, title, cancellable: true }, async (progress, token) => {
    const workDoneToken = `workspace fixes ${Math.random()}`;
    let share = 0;
    const listener = client.onProgress(WorkDoneProgress.type, workDoneToken, (step) => {
      if (step.kind !== 'report') return;
      const { percentage = share, message = '' } = step;
      progress.report({ message, increment: percentage - share });
      share = percentage;
    });
    const params: WorkspaceFixesParams = { code, workDoneToken };
    try {
      return await client.sendRequest<WorkspaceFixesAnswer>(WORKSPACE_FIXES_REQUEST, params, token);
    } catch (error) {
      if (token.isCancellationRequested) return null;
      throw error;
    } finally {
      listener.dispose();
    }
  });
}

/** What was done, as a sentence. */
async function apply(
  client: BaseLanguageClient,
  plan: WorkspaceFixPlan,
  changes: readonly TimelineFixes['change'][],
): Promise<string> {
  const moved = changes.find((change) => !isCurrent(change));
  if (moved !== undefined) {
    return `Nothing was changed: ${vscode.workspace.asRelativePath(vscode.Uri.parse(moved.textDocument.uri))} was changed meanwhile. Try again.`;
  }
  const edit = await client.protocol2CodeConverter.asWorkspaceEdit({ documentChanges: changes } as WorkspaceEdit);
  if (!(await vscode.workspace.applyEdit(edit))) return 'Nothing was changed: the editor refused the edit.';
  return `Made ${fixCounts(plan)}. Keep the originals, and check by eye and ear.`;
}

/** The edits were worked out on this very text. One that the server takes from the disk must not be open with other words in it. */
function isCurrent({ textDocument: { uri, version } }: TimelineFixes['change']): boolean {
  const open = vscode.workspace.textDocuments.find((document) => document.uri.toString() === vscode.Uri.parse(uri).toString());
  if (open === undefined) return version === null;
  return version === null ? !open.isDirty : version === open.version;
}

function isSaving(): boolean {
  return vscode.workspace.getConfiguration('files').get<string>('autoSave', 'off') !== 'off';
}
