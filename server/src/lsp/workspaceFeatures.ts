/**
 * Binds what looks at the whole workspace. These requests may be long: each takes cancellation, and answers in parts where
 * the client asks for parts.
 */

import type { Connection, WorkDoneProgressReporter } from 'vscode-languageserver';
import type { LifeCycle } from './lifeCycle.ts';
import { references } from './navigation.ts';
import type { Session } from './session.ts';
import { type ChangeSignal, createWorkspaceDiagnostics, type ScanProgress } from './workspaceDiagnostics.ts';
import { resolveWorkspaceFixes, workspaceFixes } from './workspaceFixes.ts';
import { WORKSPACE_FIXES_REQUEST, type WorkspaceFixesAnswer, type WorkspaceFixesParams } from './workspaceFixesMessages.ts';
import { workspaceSymbols } from './workspaceSymbols.ts';

export function bindWorkspace(
  connection: Connection,
  { request }: LifeCycle,
  session: () => Session,
  changes: ChangeSignal,
): void {
  const diagnostics = createWorkspaceDiagnostics(changes);
  connection.languages.diagnostics.onWorkspace((asked, token, work, parts) =>
    request('Checking the workspace', (params: typeof asked) => {
      const onPart = parts === undefined ? null : (part: Parameters<typeof parts.report>[0]): void => parts.report(part);
      return diagnostics.pull(session(), params, token, scanProgress(work), onPart);
    })(asked, token),
  );
  connection.onReferences((asked, token, _work, parts) =>
    request('The references', ({ textDocument, position, context }: typeof asked) => {
      const onPart = parts === undefined ? null : (part: Parameters<typeof parts.report>[0]): void => parts.report(part);
      return references(session(), textDocument.uri, position, context.includeDeclaration, token, onPart);
    })(asked, token),
  );
  connection.onWorkspaceSymbol((asked, token, _work, parts) =>
    request('The search', ({ query }: typeof asked) => {
      const onPart = parts === undefined ? null : (part: Parameters<typeof parts.report>[0]): void => parts.report(part);
      return workspaceSymbols(session(), String(query), token, onPart);
    })(asked, token),
  );
  connection.onCodeActionResolve(
    request('Working out fixes', (action, token) => resolveWorkspaceFixes(session(), action, token)),
  );
  connection.onRequest(
    WORKSPACE_FIXES_REQUEST,
    request('Looking for fixes', ({ code, workDoneToken }: WorkspaceFixesParams, token): Promise<WorkspaceFixesAnswer> => {
      const work = workDoneToken === undefined ? null : connection.window.attachWorkDoneProgress(workDoneToken);
      return workspaceFixes(session(), code, token, work === null ? null : scanProgress(work));
    }),
  );
}

function scanProgress(work: WorkDoneProgressReporter): ScanProgress {
  return {
    begin: (title) => work.begin(title, 0, '', true),
    report: (percentage, message) => work.report(percentage, message),
    done: () => work.done(),
  };
}

/** Keeps the roots as the client has them. */
export function followFolders(connection: Connection, { workspace }: Session, changes: ChangeSignal): void {
  connection.workspace.onDidChangeWorkspaceFolders(({ added, removed }) => {
    workspace.changeFolders(
      added.map(({ uri }) => uri),
      removed.map(({ uri }) => uri),
    );
    changes.raise();
  });
}
