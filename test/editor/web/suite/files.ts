/**
 * Reports and settings that change, come and go on the virtual folder, and several of them in one workspace.
 */

import * as vscode from 'vscode';
import {
  ask,
  expect,
  expectEqual,
  findingsOf,
  firstLeadOf,
  isLead,
  leadsOf,
  open,
  placeOf,
  revert,
  sorted,
  until,
} from '../../suite/check.ts';
import type { Check } from '../../suite/runChecks.ts';

export const fileChecks: readonly Check[] = [
  ['an unsaved report is believed before the saved one', followsUnsaved],
  ['a report changed by others is read again', followsChange],
  ['a deleted report clears its findings, and they come back with it', followsDeletion],
  ['two reports in two folders serve their own timelines', keepsFoldersApart],
  ['settings changed by others are read again', followsNewSettings],
  ['a closed file in UTF-16 is read like any other, and a report that holds no text is told of', readsBytes],
  ['nothing is offered that a read-only text can not take, and the server changes none', sparesReadOnly],
  ['settings and report are held against their schemas while they are written', checksSchemas],
];

/** What the command line finds, see language.ts. */
declare const EXPECTED_FINDINGS: Readonly<Record<string, string>>;

const EMPTY = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }\n';

async function followsUnsaved(): Promise<void> {
  const timeline = await open('millrace/millrace.otio');
  const before = (await leadsOf(timeline)).length;
  const report = await open('millrace/millrace.alignment.json');
  const edit = new vscode.WorkspaceEdit();
  edit.replace(report.uri, new vscode.Range(0, 0, report.lineCount, 0), EMPTY);
  expect(await vscode.workspace.applyEdit(edit), 'the edit was refused');
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => !all.some(isLead));
  await vscode.window.showTextDocument(report);
  await revert();
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function followsChange(): Promise<void> {
  await closeAll();
  const timeline = await open('millrace/millrace.edl');
  const before = (await leadsOf(timeline)).length;
  const place = placeOf('millrace/millrace.alignment.json');
  const saved = await vscode.workspace.fs.readFile(place);
  // One frame of sound later in the file: what led by a frame is exact now.
  const text = new TextDecoder().decode(saved).replace('"frame": 132, "sample": 440286 }', '"frame": 132, "sample": 442288 }');
  await vscode.workspace.fs.writeFile(place, new TextEncoder().encode(text));
  await findingsOf(timeline, (all) => all.filter(isLead).length === before - 1);
  await vscode.workspace.fs.writeFile(place, saved);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function followsDeletion(): Promise<void> {
  await closeAll();
  const timeline = await open('days/one/cut.edl');
  const before = (await leadsOf(timeline)).length;
  const place = placeOf('days/one/day.alignment.json');
  const saved = await vscode.workspace.fs.readFile(place);
  await vscode.workspace.fs.delete(place);
  await findingsOf(timeline, (all) => !all.some(isLead));
  await vscode.workspace.fs.writeFile(place, saved);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function keepsFoldersApart(): Promise<void> {
  // The report of day two holds the sound of the first clap a frame later: there this clip is exact.
  const isLatch = (finding: vscode.Diagnostic): boolean => isLead(finding) && finding.range.start.line === 19;
  const second = await open('days/two/cut.edl');
  const first = await open('days/one/cut.edl');
  await findingsOf(first, (all) => all.some(isLatch));
  await findingsOf(second, (all) => all.length > 0 && !all.some(isLatch));
}

async function followsNewSettings(): Promise<void> {
  const timeline = await open('days/one/cut.edl');
  const before = (await leadsOf(timeline)).length;
  const place = placeOf('days/one/afterclap.json');
  const saved = await vscode.workspace.fs.readFile(place);
  const text = '{ "edlRate": "24000/1001", "rules": { "sound-leads": "off" } }';
  await vscode.workspace.fs.writeFile(place, new TextEncoder().encode(text));
  await findingsOf(timeline, (all) => all.length > 0 && !all.some(isLead));
  await vscode.workspace.fs.writeFile(place, saved);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function readsBytes(): Promise<void> {
  const expected = EXPECTED_FINDINGS['millrace/millrace.edl'] as string;
  await findingsOf({ uri: placeOf('utf-16/cut.edl') }, (all) => sorted(all) === expected);
  const saysWhy = ({ message }: vscode.Diagnostic): boolean =>
    message.includes('cut.alignment.json') && message.includes('holds no text, but binary data');
  await findingsOf({ uri: placeOf('broken/cut.edl') }, (all) => all.some(saysWhy));
}

/** The folder of the driver, which is no folder of this workspace. */
async function sparesReadOnly(): Promise<void> {
  const document = await vscode.workspace.openTextDocument(vscode.Uri.parse('shelf:/millrace.edl'));
  await vscode.window.showTextDocument(document, { preview: false });
  const { range } = await firstLeadOf(document);
  const actions = await ask<vscode.CodeAction[]>('CodeActionProvider', document.uri, range);
  expectEqual(
    actions.map(({ title }) => title),
    [],
    'what is offered',
  );
  const before = document.getText();
  const answer = await vscode.commands.executeCommand<{ readonly message: string }>(
    'afterclap.applySafeFixes',
    document.uri.toString(),
  );
  expectEqual(answer.message, 'Nothing was changed: millrace.edl is read-only here.', 'the answer');
  expect(document.getText() === before, 'the text was changed');
}

async function checksSchemas(): Promise<void> {
  for (const name of ['millrace/afterclap.json', 'millrace/millrace.alignment.json']) {
    const document = await open(name);
    const edit = new vscode.WorkspaceEdit();
    edit.replace(document.uri, new vscode.Range(0, 0, document.lineCount, 0), '{ "alignment": true }');
    expect(await vscode.workspace.applyEdit(edit), 'the edit was refused');
    // The editor's own JSON service speaks here, not our server.
    await until(
      () => vscode.languages.getDiagnostics(document.uri).some(({ source }) => source !== 'afterclap'),
      () => `the schema says nothing about ${name}`,
    );
    await revert();
  }
}

async function closeAll(): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.closeAllEditors');
}
