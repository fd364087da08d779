/**
 * From place to place: a clip to its entry in the report, an entry to all that use it, a name changed everywhere at once.
 */

import { strict as assert } from 'node:assert';
import * as vscode from 'vscode';
import { ask, definitionAt, findingsOf, firstLeadOf, isLead, leadsOf, open, placeOf, revertAll } from './check.ts';
import type { Check } from './runChecks.ts';

export const navigationChecks: readonly Check[] = [
  ['a clip leads to its entry in the report', findsDefinition],
  ['an entry of the report leads to every clip that uses it, in all three formats', findsReferences],
  ['a recording is renamed in the report and in every timeline at once, and is the same recording', renames],
  ['a name that another recording has is refused', refusesTakenName],
];

const REPORT = 'millrace.alignment.json';
const FILES = ['millrace.edl', 'millrace.otio', 'millrace.timeline.xml'];

async function findsDefinition(): Promise<void> {
  for (const name of FILES) {
    const document = await open(name);
    const { range } = await firstLeadOf(document);
    const { uri, range: target } = await definitionAt(document.uri, range.start);
    assert.equal(uri.toString(), placeOf(REPORT).toString());
    const report = await vscode.workspace.openTextDocument(uri);
    // 'door, latch' is heard from the first recording of the main recorder.
    assert.equal(report.getText(target), '"deck-01"');
  }
}

async function findsReferences(): Promise<void> {
  const report = await open(REPORT);
  const at = report.positionAt(report.getText().indexOf('"deck-01"') + 2);
  const uses = await ask<vscode.Location[]>('ReferenceProvider', report.uri, at);
  const lines = async (name: string): Promise<readonly number[]> =>
    uses.filter(({ uri }) => uri.path.endsWith(`/${name}`)).map(({ range }) => range.start.line + 1);
  // A clip of an edit list is shown at its name, in the line after its event; event 007 stands for two clips, one for each channel.
  const events = (await vscode.workspace.openTextDocument(placeOf('millrace.edl')))
    .getText()
    .split('\n')
    .flatMap((line, index) => (/^\d+ {2}DECK0001 /.test(line) ? [index + 2] : []));
  assert.deepEqual([...new Set(await lines('millrace.edl'))], events);
  for (const name of ['millrace.otio', 'millrace.timeline.xml', REPORT]) assert.ok((await lines(name)).length > 0, name);
}

async function renames(): Promise<void> {
  const [from, to] = ['DECK_0001.wav', 'DECK_0091.wav'];
  const document = await open('millrace.otio');
  const leadCount = (await leadsOf(document)).length;
  const at = document.positionAt(document.getText().indexOf(from) + 2);
  const edit = await ask<vscode.WorkspaceEdit>('DocumentRenameProvider', document.uri, at, to);
  const all = await Promise.all([REPORT, ...FILES].map((name) => vscode.workspace.openTextDocument(placeOf(name))));
  const before = all.map((each) => each.getText());
  assert.ok(await vscode.workspace.applyEdit(edit));
  for (const [index, each] of all.entries()) assert.equal(each.getText(), before[index]?.replaceAll(from, to), each.uri.path);
  // Still measured under its new name: what led, leads.
  await findingsOf(document, (found) => found.filter(isLead).length === leadCount);
  await revertAll();
  assert.deepEqual(
    all.map((each) => each.getText()),
    before,
  );
}

async function refusesTakenName(): Promise<void> {
  const document = await open('millrace.otio');
  const at = document.positionAt(document.getText().indexOf('DECK_0001.wav') + 2);
  await assert.rejects(ask('DocumentRenameProvider', document.uri, at, 'DECK_0002.wav'), /DECK_0002\.wav/);
}
