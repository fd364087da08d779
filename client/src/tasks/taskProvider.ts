/**
 * Tasks that run our own command line in the editor's terminal: 'check all timelines' of a folder, 'check this timeline', and whatever
 * a tasks.json of the type 'afterclap' asks for.
 *
 * They run it as all commands here do, and no shell reads the words. A browser has no process to start, so there nothing is offered;
 * the manifest keeps the type out of its lists there too.
 */

import * as vscode from 'vscode';
import type { CommandLine } from '../commandLine/commandLine.ts';
import { TIMELINE_LANGUAGES } from '../timelines.ts';
import { taskTerminal } from './taskTerminal.ts';
import { TASK_TYPE } from './taskWords.ts';

/** What a folder has to hold for its check to be offered. */
const TIMELINES = '**/{*.otio,*.edl,*.EDL,*.timeline.xml,*.cpl.xml,CPL*.xml}';
const MATCHER = '$afterclap-lines';

export function registerTasks(commandLine: CommandLine): vscode.Disposable {
  return vscode.tasks.registerTaskProvider(TASK_TYPE, {
    provideTasks: async () => [...(await folderTasks(commandLine)), ...openTimelineTask(commandLine)],
    resolveTask: ({ definition, scope, name }) => {
      const folder = typeof scope === 'object' ? scope : vscode.workspace.workspaceFolders?.[0];
      if (folder === undefined || folder.uri.scheme !== 'file') return undefined;
      return taskIn(commandLine, folder.uri, scope ?? folder, name, definition);
    },
  });
}

async function folderTasks(commandLine: CommandLine): Promise<readonly vscode.Task[]> {
  const folders = (vscode.workspace.workspaceFolders ?? []).filter(({ uri }) => uri.scheme === 'file');
  const tasks = await Promise.all(
    folders.map(async (folder) => {
      const found = await vscode.workspace.findFiles(new vscode.RelativePattern(folder, TIMELINES), undefined, 1);
      if (found.length === 0) return null;
      return taskIn(commandLine, folder.uri, folder, 'check all timelines', checkOf('.'));
    }),
  );
  return tasks.filter((task) => task !== null);
}

function openTimelineTask(commandLine: CommandLine): readonly vscode.Task[] {
  const document = vscode.window.activeTextEditor?.document;
  if (document === undefined || document.uri.scheme !== 'file' || !TIMELINE_LANGUAGES.includes(document.languageId)) return [];
  const { uri } = document;
  const folder = vscode.workspace.getWorkspaceFolder(uri);
  const path = folder === undefined ? uri.fsPath : vscode.workspace.asRelativePath(uri, false);
  const place = folder?.uri ?? vscode.Uri.joinPath(uri, '..');
  const scope = folder ?? vscode.TaskScope.Workspace;
  return [taskIn(commandLine, place, scope, `check this timeline (${path})`, checkOf(path))];
}

function checkOf(path: string): vscode.TaskDefinition {
  return { type: TASK_TYPE, command: 'check', files: [path] };
}

/** `folder` is where the command starts. */
function taskIn(
  commandLine: CommandLine,
  folder: vscode.Uri,
  scope: vscode.WorkspaceFolder | vscode.TaskScope,
  name: string,
  definition: vscode.TaskDefinition,
): vscode.Task {
  // The editor hands the definition over with its variables (${file}) put in.
  const execution = new vscode.CustomExecution(async (resolved) => taskTerminal(commandLine, folder.fsPath, resolved));
  const task = new vscode.Task(
    definition,
    scope,
    name,
    TASK_TYPE,
    execution,
    findsOtherThanTheServer(definition) ? [MATCHER] : [],
  );
  task.group = vscode.TaskGroup.Test;
  task.presentationOptions = { reveal: vscode.TaskRevealKind.Always, clear: true, showReuseMessage: false };
  return task;
}

/**
 * A plain check finds what the server lists for the whole workspace already, and every finding would stand there twice. One with flags
 * of its own, another tolerance or report, finds something else.
 */
function findsOtherThanTheServer({ command, arguments: further }: vscode.TaskDefinition): boolean {
  return command === 'check' && Array.isArray(further) && further.length > 0;
}
