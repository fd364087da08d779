/**
 * Binds what looks at the whole workspace. These requests may be long: each takes cancellation, and answers in parts where
 * the client asks for parts.
 */

import type { Connection } from 'vscode-languageserver';
import type { LifeCycle } from './lifeCycle.ts';
import { references } from './navigation.ts';
import type { Session } from './session.ts';
import { type ChangeSignal, createWorkspaceDiagnostics } from './workspaceDiagnostics.ts';
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
      const progress = {
        begin: (title: string) => work.begin(title, 0, '', true),
        report: (percentage: number, message: string) => work.report(percentage, message),
        done: () => work.done(),
      };
      return diagnostics.pull(session(), params, token, progress, parts === undefined ? null : (part) => parts.report(part));
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
