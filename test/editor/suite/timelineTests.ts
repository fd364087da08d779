/**
 * Timelines as tests, run in the extension host: which there are, and what becomes of each.
 *
 * The workspace is that of timelineTests.test.ts. The editor's own commands are asked: one lists the tests of a file, one runs them and
 * answers with their states.
 */

import { strict as assert } from 'node:assert';
import { cp, mkdir, rename, rm, writeFile } from 'node:fs/promises';
import * as vscode from 'vscode';
import { findingsOf, open, placeOf, revert, runChecks, until } from './check.ts';
import type { Check } from './runChecks.ts';

const checks: readonly Check[] = [
  ['no timeline is looked for before anyone asks for tests', listsNothing],
  ['every timeline of the workspace is a test, and nothing else', listsTimelines],
  [
    'a cut that is in passes, one that is out fails, one without a report is skipped, one that breaks off is an error',
    givesVerdicts,
  ],
  ['the text counts as it stands, unsaved', checksUnsaved],
  ['a report that another program takes away is missed at once', followsReport],
  ['tests come and go with files and folders', followsFiles],
];

const TIMELINES: readonly string[] = [
  'bare/alone.edl',
  'broken/half.otio',
  'millrace/millrace.edl',
  'millrace/millrace.otio',
  'millrace/millrace.timeline.xml',
  'reels/day1/interview.edl',
];
const CLEAN = 'reels/day1/interview.edl';

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks(checks);
}

async function listsNothing(): Promise<void> {
  await findingsOf(await open('millrace/millrace.edl'), (all) => all.length > 0);
  assert.deepEqual(await vscode.commands.executeCommand('vscode.testing.getControllersWithTests'), []);
}

async function listsTimelines(): Promise<void> {
  await vscode.commands.executeCommand('testing.runAll');
  for (const name of TIMELINES) await untilListed(name, 1);
  for (const name of ['millrace/millrace.alignment.json', 'millrace/afterclap.json']) await untilListed(name, 0);
}

async function givesVerdicts(): Promise<void> {
  assert.equal(await stateOf(CLEAN), 'passed');
  assert.equal(await stateOf('millrace/millrace.otio'), 'failed');
  assert.equal(await stateOf('bare/alone.edl'), 'skipped');
  assert.equal(await stateOf('broken/half.otio'), 'errored');
}

async function checksUnsaved(): Promise<void> {
  // By itself the editor saves what is open before it runs a test.
  const settings = vscode.workspace.getConfiguration('testing');
  await settings.update('saveBeforeTest', false, vscode.ConfigurationTarget.Global);
  const document = await open(CLEAN);
  const at = document.positionAt(document.getText().indexOf('00:00:10:00 00:00:15:00'));
  const edit = new vscode.WorkspaceEdit();
  // The sound starts a frame later in its recording, and so does what is heard of it: it leads.
  edit.replace(document.uri, new vscode.Range(at, at.translate(0, 23)), '00:00:10:01 00:00:15:01');
  assert.ok(await vscode.workspace.applyEdit(edit));
  assert.equal(await stateOf(CLEAN), 'failed');
  assert.ok(document.isDirty);
  await revert();
  assert.equal(await stateOf(CLEAN), 'passed');
  await settings.update('saveBeforeTest', undefined, vscode.ConfigurationTarget.Global);
}

async function followsReport(): Promise<void> {
  const report = placeOf('reels/day1/day1.alignment.json').fsPath;
  await rename(report, `${report}.away`);
  await until(
    async () => (await stateOf(CLEAN)) === 'skipped',
    () => 'the cut is compared with a report that is gone',
  );
  await rename(`${report}.away`, report);
  await until(
    async () => (await stateOf(CLEAN)) === 'passed',
    () => 'the report that is there again is not used',
  );
}

async function followsFiles(): Promise<void> {
  const day2 = placeOf('reels/day2').fsPath;
  await mkdir(day2);
  await cp(placeOf(CLEAN).fsPath, `${day2}/one.edl`);
  await untilListed('reels/day2/one.edl', 1);
  await writeFile(`${day2}/two.otio`, '{}');
  await untilListed('reels/day2/two.otio', 1);
  await rm(`${day2}/one.edl`);
  await untilListed('reels/day2/one.edl', 0);
  await rm(day2, { recursive: true });
  await untilListed('reels/day2/two.otio', 0);
  // A folder that is moved here as a whole: nobody tells of the files in it.
  const moved = placeOf('../day3').fsPath;
  await mkdir(moved);
  await cp(placeOf(CLEAN).fsPath, `${moved}/one.edl`);
  await rename(moved, placeOf('reels/day3').fsPath);
  await untilListed('reels/day3/one.edl', 1);
  await rm(placeOf('reels/day3').fsPath, { recursive: true });
  await untilListed('reels/day3/one.edl', 0);
  for (const name of TIMELINES) await untilListed(name, 1);
}

async function untilListed(name: string, count: number): Promise<void> {
  let found = 0;
  await until(
    async () => {
      found = (await vscode.commands.executeCommand<readonly unknown[]>('vscode.testing.getTestsInFile', placeOf(name))).length;
      return found === count;
    },
    () => `${name} is ${found} tests instead of ${count}`,
  );
}

/** The editor's own numbers for what becomes of a test. */
const STATES: Readonly<Record<number, string>> = { 3: 'passed', 4: 'failed', 5: 'skipped', 6: 'errored' };

interface RunResult {
  readonly items: readonly { readonly item: { readonly uri?: object | null }; readonly ownComputedState: number }[];
}

/** Runs the one test of a file by the editor's own command, which answers with its state. */
async function stateOf(name: string): Promise<string | undefined> {
  await open(name);
  const result = await vscode.commands.executeCommand<RunResult | undefined>('testing.runCurrentFile');
  const own = (result?.items ?? []).filter(({ item: { uri } }) => uri !== undefined && uri !== null);
  assert.equal(own.length, 1, `${name} is ${own.length} tests`);
  return STATES[own[0]?.ownComputedState ?? -1];
}
