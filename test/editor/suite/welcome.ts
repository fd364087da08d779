/**
 * Commands and tasks inside a real editor, run in its extension host. The workspace holds a copy of the sample in the folder millrace.
 */

import { strict as assert } from 'node:assert';
import * as vscode from 'vscode';
import { type Check, runEach, waitUntil } from './runChecks.ts';

const PATIENCE_MS = 60_000;
const TIMELINE = 'millrace/millrace.edl';
/** In tasks.json of the workspace. */
const CONFIGURED = ['own tolerance', 'nonsense'];
/** Never opened here. */
const OTHER = 'millrace/millrace.otio';

const checks: readonly Check[] = [
  ['tasks to check the folder and the timeline in front are offered', offersTasks],
  ['every command of the manifest is there, and no other but those that the extension calls itself', hasCommands],
  ['the task of the folder runs our command line, and doubles no finding that the server lists', checksFolder],
  ['what a task with a tolerance of its own finds is listed, whole and in its place', listsFindings],
  ['the task of the timeline leaves all findings alone', checksTimeline],
  ['a task that asks for what is not there says why', refusesNonsense],
];

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runEach(checks);
}

async function offersTasks(): Promise<void> {
  const names = async (): Promise<readonly string[]> => (await tasks()).map(({ name }) => name).toSorted();
  assert.deepEqual(await names(), ['check all timelines', ...CONFIGURED].toSorted());
  await open(TIMELINE);
  assert.deepEqual(await names(), ['check all timelines', `check this timeline (${TIMELINE})`, ...CONFIGURED].toSorted());
}

async function hasCommands(): Promise<void> {
  const manifest = vscode.extensions.getExtension('afterclap.afterclap')?.packageJSON as {
    readonly contributes: { readonly commands: readonly { readonly command: string }[] };
  };
  const declared = manifest.contributes.commands.map(({ command }) => command);
  const known = (await vscode.commands.getCommands(true)).filter((command) => command.startsWith('afterclap.'));
  const internal = ['afterclap.acceptWithReason', 'afterclap.applySafeFixes', 'afterclap.revealReviewed'];
  assert.deepEqual(known.toSorted(), [...declared, ...internal].toSorted());
}

async function checksFolder(): Promise<void> {
  await until(
    () => byServer(OTHER).length > 0,
    () => 'the server lists nothing of a timeline that is not open',
  );
  const before = byServer(OTHER).length;
  assert.equal(await runTask('check all timelines'), 1);
  await rest();
  assert.equal(byServer(OTHER).length, before);
  assert.equal(byTask(OTHER).length, 0);
}

/** Of a timeline that was not opened: the editor leaves open ones to the server. */
async function listsFindings(): Promise<void> {
  assert.equal(await runTask('own tolerance'), 1);
  // The sound that leads by one frame, 41.7 ms, is allowed here; all else is as the server has it.
  const expected = byServer(OTHER).filter(({ message }) => !message.includes('leads by 41.7 ms'));
  await until(
    () => byTask(OTHER).length >= expected.length,
    () => `the task brought ${byTask(OTHER).length} findings`,
  );
  assert.equal(expected.length, byServer(OTHER).length - 1);
  assert.deepEqual(byTask(OTHER).map(placeOf).toSorted(), expected.map(placeOf).toSorted());
  for (const { message } of byTask(OTHER)) assert.match(message, /\.$/);
}

async function checksTimeline(): Promise<void> {
  await open(TIMELINE);
  await until(
    () => byServer(TIMELINE).length > 0,
    () => 'the server says nothing',
  );
  const before = [TIMELINE, OTHER].map((name) => ours(name).length);
  assert.equal(await runTask(`check this timeline (${TIMELINE})`), 1);
  await rest();
  assert.deepEqual(
    [TIMELINE, OTHER].map((name) => ours(name).length),
    before,
  );
}

async function refusesNonsense(): Promise<void> {
  assert.equal(await runTask('nonsense'), 2);
}

/** Long enough for markers to come, if any did. */
function rest(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, 2000));
}

/** The markers that the task's problem matcher made have the code as a plain word; the server's link to a page. */
function byTask(name: string): readonly vscode.Diagnostic[] {
  return ours(name).filter(({ code }) => typeof code !== 'object');
}

function byServer(name: string): readonly vscode.Diagnostic[] {
  return ours(name).filter(({ code }) => typeof code === 'object');
}

function ours(name: string): readonly vscode.Diagnostic[] {
  return vscode.languages.getDiagnostics(at(name)).filter(({ source }) => source === 'afterclap');
}

/** The message of one finding ends in what is allowed, which is another in the task's own tolerance; its beginning is the same. */
function placeOf({ range, severity, message, code }: vscode.Diagnostic): string {
  const value = typeof code === 'object' ? code.value : code;
  return `${range.start.line}:${range.start.character} ${severity} ${value} ${message.slice(0, 40)}`;
}

function tasks(): Thenable<readonly vscode.Task[]> {
  return vscode.tasks.fetchTasks({ type: 'afterclap' });
}

async function runTask(name: string): Promise<number | undefined> {
  const task = (await tasks()).find((each) => each.name === name);
  assert.ok(task !== undefined, `no task ${name}`);
  return exitCodeOf(task);
}

async function exitCodeOf(task: vscode.Task): Promise<number | undefined> {
  const ended = new Promise<number | undefined>((resolve) => {
    const listener = vscode.tasks.onDidEndTaskProcess(({ execution, exitCode }) => {
      if (execution.task.name !== task.name) return;
      listener.dispose();
      resolve(exitCode);
    });
  });
  await vscode.tasks.executeTask(task);
  return ended;
}

function at(path: string): vscode.Uri {
  const [folder] = vscode.workspace.workspaceFolders ?? [];
  assert.ok(folder !== undefined, 'no folder is open');
  return vscode.Uri.joinPath(folder.uri, path);
}

async function open(name: string): Promise<void> {
  await vscode.window.showTextDocument(await vscode.workspace.openTextDocument(at(name)), { preview: false });
}

function until(isSo: () => boolean, complaint: () => string): Promise<void> {
  return waitUntil(isSo, complaint, PATIENCE_MS);
}
