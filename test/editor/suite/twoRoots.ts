/**
 * Two folders in one window, each with a cut of the same names and a report of its own: two days of a shoot whose recorders began
 * to count anew.
 *
 * In the report of the second day the sound of the first clap lies one frame later in its file, so that what leads by a frame on the
 * first day is exact on the second.
 */

import { strict as assert } from 'node:assert';
import { readFile, writeFile } from 'node:fs/promises';
import * as vscode from 'vscode';
import { ask, findingsOf, isLead, leadsOf, open, placeOf, runChecks } from './check.ts';
import { definitionAt } from './navigation.ts';
import type { Check } from './runChecks.ts';

const checks: readonly Check[] = [
  ['each folder is checked against its own report', keepsApart],
  ['a clip leads into the report of its own folder', leadsIntoOwnReport],
  ['an entry is used by clips of its own folder only', isUsedByOwnClips],
  ['a report that changes is felt in its own folder only', changesOwnFindings],
];

const CUT = 'millrace.edl';
const REPORT = 'millrace.alignment.json';
/** Of the clip 'door, latch (deck)', counted from 0. */
const LATCH_LINE = 19;

/** Called by the editor; a rejection is a failed run. */
export function run(): Promise<void> {
  return runChecks(checks);
}

async function keepsApart(): Promise<void> {
  assert.equal(vscode.workspace.workspaceFolders?.length, 2);
  const [first, second] = await cuts();
  await findingsOf(first, (all) => all.some(isLatch));
  await findingsOf(second, (all) => all.some(isLead) && !all.some(isLatch));
}

async function leadsIntoOwnReport(): Promise<void> {
  for (const [folder, cut] of (await cuts()).entries()) {
    const { uri } = await definitionAt(cut.uri, new vscode.Position(LATCH_LINE, 31));
    assert.equal(uri.toString(), placeOf(REPORT, folder).toString());
  }
}

async function isUsedByOwnClips(): Promise<void> {
  for (const folder of [0, 1]) {
    const report = await open(placeOf(REPORT, folder));
    const at = report.positionAt(report.getText().indexOf('"deck-01"') + 2);
    const uses = await ask<vscode.Location[]>('ReferenceProvider', report.uri, at);
    const files = [...new Set(uses.map(({ uri }) => uri.toString()))].sort();
    assert.deepEqual(
      files,
      [REPORT, CUT].map((name) => placeOf(name, folder).toString()),
    );
  }
}

async function changesOwnFindings(): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.closeAllEditors');
  const [first, second] = await cuts();
  const before = (await leadsOf(first)).length;
  await findingsOf(second, (all) => all.some(isLead) && !all.some(isLatch));
  const path = placeOf(REPORT, 1).fsPath;
  const text = await readFile(path, 'utf8');
  await writeFile(path, await readFile(placeOf(REPORT, 0).fsPath, 'utf8'));
  await findingsOf(second, (all) => all.some(isLatch));
  assert.equal((await leadsOf(first)).length, before);
  await writeFile(path, text);
  await findingsOf(second, (all) => all.some(isLead) && !all.some(isLatch));
  await findingsOf(first, (all) => all.some(isLatch));
}

/** Side by side: what nobody looks at need not be current. */
async function cuts(): Promise<readonly [vscode.TextDocument, vscode.TextDocument]> {
  return [await open(placeOf(CUT, 0), vscode.ViewColumn.One), await open(placeOf(CUT, 1), vscode.ViewColumn.Two)];
}

function isLatch(finding: vscode.Diagnostic): boolean {
  return isLead(finding) && finding.range.start.line === LATCH_LINE;
}
