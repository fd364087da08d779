/**
 * What a clip stands in and what it plays, by the editor's own call hierarchy; and the colours of markers as swatches.
 */

import { strict as assert } from 'node:assert';
import * as vscode from 'vscode';
import { ask, firstLeadOf, open, revertAll } from './check.ts';
import type { Check } from './runChecks.ts';

export const nestingChecks: readonly Check[] = [
  [
    'a clip leads to the timeline it stands in, and its recording to every clip that plays it, in all three formats',
    findsHolders,
  ],
  ['the colour of a locator has a swatch, and another name is put in its place', changesColour],
];

const FILES = ['millrace.edl', 'millrace.otio', 'millrace.timeline.xml'];

async function findsHolders(): Promise<void> {
  for (const name of FILES) {
    const document = await open(name);
    const { range } = await firstLeadOf(document);
    const [clip] = await vscode.commands.executeCommand<vscode.CallHierarchyItem[]>(
      'vscode.prepareCallHierarchy',
      document.uri,
      range.start,
    );
    assert.ok(clip?.range.contains(range) === true, `${name}: nothing is prepared`);
    const chain = [clip];
    for (let [holder] = await incoming(clip); holder !== undefined; [holder] = await incoming(holder)) chain.push(holder);
    assert.ok(chain.length > 1 && chain.at(-1)?.name.startsWith('Millrace'), chain.map((item) => item.name).join(' in '));
    const [call] = await vscode.commands.executeCommand<vscode.CallHierarchyOutgoingCall[]>('vscode.provideOutgoingCalls', clip);
    assert.equal(call?.to.name, 'DECK_0001.wav');
    const users = await incoming(call.to);
    assert.ok(users.length > 1 && users.some((user) => user.range.isEqual(clip.range)), `${name}: ${users.length} clips`);
  }
}

async function incoming(item: vscode.CallHierarchyItem): Promise<readonly vscode.CallHierarchyItem[]> {
  const calls = await vscode.commands.executeCommand<vscode.CallHierarchyIncomingCall[]>('vscode.provideIncomingCalls', item);
  return calls.map(({ from }) => from);
}

async function changesColour(): Promise<void> {
  const document = await open('millrace.edl');
  const before = document.getText();
  const line = '* LOC: 01:00:01:00 RED     MORE AIR\n';
  const edit = new vscode.WorkspaceEdit();
  edit.insert(document.uri, document.positionAt(before.indexOf('002 ')), line);
  assert.ok(await vscode.workspace.applyEdit(edit));
  const [found] = await ask<vscode.ColorInformation[]>('DocumentColorProvider', document.uri);
  assert.ok(found !== undefined, 'no swatch');
  assert.equal(document.getText(found.range), 'RED');
  assert.deepEqual([found.color.red, found.color.green, found.color.blue], [1, 0, 0]);
  const green = new vscode.Color(0.1, 0.9, 0.1, 1);
  const place = { uri: document.uri, range: found.range };
  const [offered] = await ask<vscode.ColorPresentation[]>('ColorPresentationProvider', green, place);
  assert.ok(offered?.textEdit !== undefined, 'no name is offered');
  const change = new vscode.WorkspaceEdit();
  change.set(document.uri, [offered.textEdit]);
  assert.ok(await vscode.workspace.applyEdit(change));
  assert.ok(document.getText().includes(line.replace('RED', 'GREEN')));
  await revertAll();
  assert.equal(document.getText(), before);
}
