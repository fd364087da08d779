/**
 * Reports and settings while they are written, changed by others and taken away, and a server that is started again.
 */

import { strict as assert } from 'node:assert';
import { cp, mkdir, mkdtemp, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as vscode from 'vscode';
import { ask, findingsOf, firstLeadOf, isLead, leadsOf, open, placeOf, revert, until } from './check.ts';
import { type Check, codeOf } from './runChecks.ts';

/**
 * What other programs do to files. An editor believes a text that is open before the one on disk, and keeps texts for minutes after
 * their tabs were closed: these go before all that open the report.
 */
export const diskChecks: readonly Check[] = [
  ['a report that another program writes is read again', followsDisk],
  ['a report that is deleted takes its findings with it, and brings them back', followsDeletion],
  ['settings that another program writes are read again', followsSettings],
  ['a folder that another program moves takes its findings with it, and brings them back', followsFolder],
];

export const fileChecks: readonly Check[] = [
  ['an unsaved report is believed before the one on disk', followsReport],
  ['settings and report are held against their schemas while they are written', checksSchemas],
  ['the commands of the manifest are there', hasCommands],
  ['findings come back after a restart', restarts],
];

const REPORT = 'millrace.alignment.json';

async function followsReport(): Promise<void> {
  const timeline = await open('millrace.otio');
  const before = (await leadsOf(timeline)).length;
  const report = await open(REPORT);
  const edit = new vscode.WorkspaceEdit();
  edit.replace(
    report.uri,
    new vscode.Range(0, 0, report.lineCount, 0),
    '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }\n',
  );
  assert.ok(await vscode.workspace.applyEdit(edit));
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => !all.some(isLead));
  await vscode.window.showTextDocument(report);
  await revert();
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function followsFolder(): Promise<void> {
  const away = await mkdtemp(join(tmpdir(), 'afterclap-moved-'));
  const inside = placeOf('reel 2');
  const cut = { uri: vscode.Uri.joinPath(inside, 'millrace.edl') };
  await mkdir(join(away, 'reel 2'));
  for (const name of ['millrace.edl', REPORT, 'afterclap.json']) await cp(placeOf(name).fsPath, join(away, 'reel 2', name));
  await rename(join(away, 'reel 2'), inside.fsPath);
  await findingsOf(cut, (all) => all.some(isLead));
  await rename(inside.fsPath, join(away, 'reel 2'));
  await findingsOf(cut, (all) => all.length === 0);
  await rm(away, { recursive: true });
}

async function followsDisk(): Promise<void> {
  const timeline = await open('millrace.edl');
  const before = (await leadsOf(timeline)).length;
  const path = placeOf(REPORT).fsPath;
  const text = await readFile(path, 'utf8');
  // One frame of sound later in the file: what led by a frame is exact now.
  await writeFile(path, text.replace('"frame": 132, "sample": 440286 }', '"frame": 132, "sample": 442288 }'));
  await findingsOf(timeline, (all) => all.filter(isLead).length === before - 1);
  await writeFile(path, text);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function followsDeletion(): Promise<void> {
  const timeline = await open('millrace.edl');
  const before = (await leadsOf(timeline)).length;
  const path = placeOf(REPORT).fsPath;
  const text = await readFile(path, 'utf8');
  await rm(path);
  try {
    await expectMissing(timeline);
  } finally {
    await writeFile(path, text);
  }
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

/** That there is nothing to hold the cut against is said: silence would look like a good cut. */
async function expectMissing(timeline: vscode.TextDocument): Promise<void> {
  await findingsOf(timeline, (all) => !all.some(isLead) && all.some((each) => codeOf(each) === 'report-invalid'));
}

async function followsSettings(): Promise<void> {
  const timeline = await open('millrace.edl');
  const before = (await leadsOf(timeline)).length;
  const path = placeOf('afterclap.json').fsPath;
  const text = await readFile(path, 'utf8');
  await writeFile(path, text.replace('"lead": "1ms"', '"lead": "1f"'));
  // 'door, latch' leads by one frame exactly, which is allowed now.
  await findingsOf(timeline, (all) => all.filter(isLead).length === before - 1);
  await writeFile(path, text);
  await findingsOf(timeline, (all) => all.filter(isLead).length === before);
}

async function checksSchemas(): Promise<void> {
  for (const name of ['afterclap.json', REPORT]) {
    const document = await open(name);
    const edit = new vscode.WorkspaceEdit();
    edit.replace(document.uri, new vscode.Range(0, 0, document.lineCount, 0), '{ "alignment": true }');
    assert.ok(await vscode.workspace.applyEdit(edit));
    // The editor's own JSON service speaks here, not our server.
    await until(
      () => vscode.languages.getDiagnostics(document.uri).some(({ source }) => source !== 'afterclap'),
      () => `the schema says nothing about ${name}`,
    );
    await revert();
  }
}

async function hasCommands(): Promise<void> {
  const known = await vscode.commands.getCommands(true);
  const { packageJSON } = vscode.extensions.getExtension('afterclap.afterclap') ?? {};
  for (const { command } of packageJSON.contributes.commands) assert.ok(known.includes(command), command);
}

async function restarts(): Promise<void> {
  const document = await open('millrace.edl');
  await findingsOf(document, (all) => all.length > 0);
  await vscode.commands.executeCommand('afterclap.restart');
  await findingsOf(document, (all) => all.length > 0);
  const { range } = await firstLeadOf(document);
  const [hover] = await ask<vscode.Hover[]>('HoverProvider', document.uri, range.start);
  assert.ok(hover !== undefined, 'the restarted server answers no hover');
}
