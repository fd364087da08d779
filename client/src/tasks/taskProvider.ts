/**
 * Tasks that run our own command line in the editor's terminal: 'check all timelines' of a folder, 'check this timeline', and whatever
 * a tasks.json of the type 'afterclap' asks for.
 *
 * The program is the one that runs the extension host, told to be a plain Node; no shell reads the words. A browser has neither, so
 * this is registered by the Node entry only, and the manifest offers the type where processes can be started.
 */

import * as vscode from 'vscode';
import { TIMELINE_LANGUAGES } from '../timelines.ts';
import { TASK_TYPE, taskWords } from './taskWords.ts';

interface TaskPlace {
  readonly program: string;
  /** The bundled command line. */
  readonly script: string;
}

/** What a folder has to hold for its check to be offered; a composition playlist alone may have any name, so it is left out. */
const TIMELINES = '**/*.{otio,edl,EDL,timeline.xml,cpl.xml}';
const MATCHER = '$afterclap-lines';

export function registerTasks(place: TaskPlace): vscode.Disposable {
  return vscode.tasks.registerTaskProvider(TASK_TYPE, {
    provideTasks: async () => [...(await folderTasks(place)), ...openTimelineTask(place)],
    resolveTask: (task) => {
      const { definition, scope, name } = task;
      const folder = typeof scope === 'object' ? scope : vscode.workspace.workspaceFolders?.[0];
      return taskFrom(place, definition, scope ?? vscode.TaskScope.Workspace, name, folder?.uri.fsPath) ?? undefined;
    },
  });
}

async function folderTasks(place: TaskPlace): Promise<readonly vscode.Task[]> {
  const folders = (vscode.workspace.workspaceFolders ?? []).filter(({ uri }) => uri.scheme === 'file');
  const tasks = await Promise.all(
    folders.map(async (folder) => {
      const found = await vscode.workspace.findFiles(new vscode.RelativePattern(folder, TIMELINES), undefined, 1);
      if (found.length === 0) return null;
      const definition = { type: TASK_TYPE, command: 'check', files: ['.'] };
      return taskFrom(place, definition, folder, 'check all timelines', folder.uri.fsPath);
    }),
  );
  return tasks.filter((task) => task !== null);
}

function openTimelineTask(place: TaskPlace): readonly vscode.Task[] {
  const document = vscode.window.activeTextEditor?.document;
  if (document === undefined || document.uri.scheme !== 'file' || !TIMELINE_LANGUAGES.includes(document.languageId)) return [];
  const folder = vscode.workspace.getWorkspaceFolder(document.uri);
  const path = folder === undefined ? document.uri.fsPath : vscode.workspace.asRelativePath(document.uri, false);
  const definition = { type: TASK_TYPE, command: 'check', files: [path] };
  const task = taskFrom(
    place,
    definition,
    folder ?? vscode.TaskScope.Workspace,
    `check this timeline: ${path.split(/[\\/]/).at(-1)}`,
    (folder?.uri ?? vscode.Uri.joinPath(document.uri, '..')).fsPath,
  );
  return task === null ? [] : [task];
}

/** Null after saying why the task can't be run. */
function taskFrom(
  { program, script }: TaskPlace,
  definition: vscode.TaskDefinition,
  scope: vscode.WorkspaceFolder | vscode.TaskScope,
  name: string,
  cwd: string | undefined,
): vscode.Task | null {
  const answer = taskWords(definition);
  if (!answer.ok) {
    void vscode.window.showErrorMessage(`The task '${name}' can't be run: ${answer.reason}`);
    return null;
  }
  const execution = new vscode.ProcessExecution(program, [script, ...answer.words], {
    ...(cwd === undefined ? {} : { cwd }),
    env: { ELECTRON_RUN_AS_NODE: '1' },
  });
  const matchers = definition['command'] === 'check' ? [MATCHER] : [];
  const task = new vscode.Task(definition, scope, name, TASK_TYPE, execution, matchers);
  task.group = vscode.TaskGroup.Test;
  task.presentationOptions = { reveal: vscode.TaskRevealKind.Always, clear: true, showReuseMessage: false };
  return task;
}
