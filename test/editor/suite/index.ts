/**
 * What must work inside a real editor, run in its extension host: in the browser-driven host of editor.test.ts and, unchanged,
 * on a desktop by runDesktop.mjs.
 *
 * The workspace is a copy of samples/. The server's answers are held to account elsewhere; here it is about what the editor
 * makes of them.
 */

import { strict as assert } from 'node:assert';
import * as vscode from 'vscode';

type Check = readonly [name: string, run: () => Promise<void>];

const PATIENCE_MS = 60_000;

const checks: readonly Check[] = [
  ['nothing is started before a timeline is opened', staysAsleep],
  ['the three formats have their languages', knowsLanguages],
  ['the same lead and lag are underlined in all three formats', underlinesFindings],
  ['a finding links to its page, its picture and its pair in the report', linksFindings],
  ['the hover says in one sentence what is wrong', hovers],
  ['the preferred fix changes one number, and the finding goes', fixes],
  ['all safe findings are fixed by one command', fixesAll],
  ['an unsaved report is believed before the one on disk', followsReport],
  ['settings and report are held against their schemas while they are written', checksSchemas],
  ['the commands of the manifest are there', hasCommands],
  ['findings come back after a restart', restarts],
];

/** Called by the editor; a rejection is a failed run. */
export async function run(): Promise<void> {
  const failures: string[] = [];
  for (const [name, check] of checks) {
    try {
      await check();
      console.log(`ok: ${name}`);
    } catch (error) {
      const reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
      failures.push(`${name}: ${reason}`);
      console.log(`not ok: ${name}: ${reason}`);
    }
  }
  if (failures.length > 0) throw new Error(failures.join('\n'));
}

async function staysAsleep(): Promise<void> {
  const extension = ours();
  await vscode.window.showTextDocument(await vscode.workspace.openTextDocument({ language: 'plaintext', content: 'notes' }));
  assert.equal(extension.isActive, false);
  await vscode.commands.executeCommand('workbench.action.revertAndCloseActiveEditor');
}

async function knowsLanguages(): Promise<void> {
  const languages = { 'millrace.otio': 'otio', 'millrace.edl': 'afterclap-edl', 'millrace.timeline.xml': 'afterclap-xml' };
  for (const [name, language] of Object.entries(languages)) assert.equal((await open(name)).languageId, language);
}

async function underlinesFindings(): Promise<void> {
  for (const name of ['millrace.otio', 'millrace.edl', 'millrace.timeline.xml']) {
    const document = await open(name);
    const found = await findingsOf(document, (all) => all.length > 0);
    const codes = new Set(found.map(codeOf));
    assert.ok(codes.has('sound-leads') && codes.has('sound-lags'), `${name} shows ${[...codes].join(', ')}`);
    for (const finding of found.filter((each) => codeOf(each) === 'sound-leads')) {
      assert.match(document.getText(finding.range), /^[\d:;.]+$/, `${name} underlines no number`);
    }
  }
}

async function linksFindings(): Promise<void> {
  const [lead] = await leadsOf(await open('millrace.otio'));
  const { code, relatedInformation } = lead as vscode.Diagnostic;
  assert.ok(typeof code === 'object' && code.target instanceof vscode.Uri);
  const page = new TextDecoder().decode(await vscode.workspace.fs.readFile(code.target));
  assert.match(page, /sound-leads/);
  const places = (relatedInformation ?? []).map(({ location }) => location.uri.path.split('/').at(-1));
  assert.deepEqual(places, ['millrace.otio', 'millrace.alignment.json']);
}

async function hovers(): Promise<void> {
  const document = await open('millrace.otio');
  const [lead] = await leadsOf(document);
  const hovers = await vscode.commands.executeCommand<vscode.Hover[]>(
    'vscode.executeHoverProvider',
    document.uri,
    (lead as vscode.Diagnostic).range.start,
  );
  const text = hovers
    .flatMap(({ contents }) => contents.map((part) => (typeof part === 'string' ? part : part.value)))
    .join('\n');
  assert.match(text, /^\*\*\S+ leads \S+ by .*frame.*\.\*\*/m);
}

async function fixes(): Promise<void> {
  const document = await open('millrace.otio');
  const [lead] = await leadsOf(document);
  const { range } = lead as vscode.Diagnostic;
  const actions = await vscode.commands.executeCommand<vscode.CodeAction[]>(
    'vscode.executeCodeActionProvider',
    document.uri,
    range,
  );
  const preferred = actions.find(({ isPreferred }) => isPreferred === true);
  assert.ok(preferred?.edit !== undefined, `offered: ${actions.map(({ title }) => title).join('; ')}`);
  const before = document.getText();
  const leadCount = (await leadsOf(document)).length;
  assert.ok(await vscode.workspace.applyEdit(preferred.edit));
  const difference = differenceOf(before, document.getText());
  assert.match(difference.removed, /^[\d.]+$/);
  assert.match(difference.added, /^[\d.]+$/);
  await findingsOf(document, (all) => all.filter((each) => codeOf(each) === 'sound-leads').length === leadCount - 1);
  await revert();
}

async function fixesAll(): Promise<void> {
  const document = await open('millrace.edl');
  const before = (await findingsOf(document, (all) => all.length > 0)).length;
  // The message that says what was done waits for nobody.
  void vscode.commands.executeCommand('afterclap.fixAllSafe');
  await findingsOf(document, (all) => all.length < before);
  await vscode.commands.executeCommand('notifications.clearAll');
  await revert();
}

async function followsReport(): Promise<void> {
  const timeline = await open('millrace.otio');
  const before = (await leadsOf(timeline)).length;
  const report = await open('millrace.alignment.json');
  const edit = new vscode.WorkspaceEdit();
  edit.replace(
    report.uri,
    new vscode.Range(0, 0, report.lineCount, 0),
    '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }\n',
  );
  assert.ok(await vscode.workspace.applyEdit(edit));
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => !all.some((each) => codeOf(each) === 'sound-leads'));
  await vscode.window.showTextDocument(report);
  await revert();
  await vscode.window.showTextDocument(timeline);
  await findingsOf(timeline, (all) => all.filter((each) => codeOf(each) === 'sound-leads').length === before);
}

async function checksSchemas(): Promise<void> {
  for (const name of ['afterclap.json', 'millrace.alignment.json']) {
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
  for (const command of ['showReport', 'fixAllSafe', 'openReport', 'restart']) assert.ok(known.includes(`afterclap.${command}`));
}

async function restarts(): Promise<void> {
  const document = await open('millrace.edl');
  await findingsOf(document, (all) => all.length > 0);
  await vscode.commands.executeCommand('afterclap.restart');
  await findingsOf(document, (all) => all.length > 0);
  const [hover] = await vscode.commands.executeCommand<vscode.Hover[]>(
    'vscode.executeHoverProvider',
    document.uri,
    (await leadsOf(document))[0]?.range.start,
  );
  assert.ok(hover !== undefined, 'the restarted server answers no hover');
}

function ours(): vscode.Extension<unknown> {
  const extension = vscode.extensions.getExtension('afterclap.afterclap');
  assert.ok(extension !== undefined, 'the extension is not installed');
  return extension;
}

async function open(name: string): Promise<vscode.TextDocument> {
  const [folder] = vscode.workspace.workspaceFolders ?? [];
  assert.ok(folder !== undefined, 'no folder is open');
  const document = await vscode.workspace.openTextDocument(vscode.Uri.joinPath(folder.uri, name));
  await vscode.window.showTextDocument(document, { preview: false });
  return document;
}

async function revert(): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.files.revert');
}

async function leadsOf(document: vscode.TextDocument): Promise<readonly vscode.Diagnostic[]> {
  const isLead = (finding: vscode.Diagnostic): boolean => codeOf(finding) === 'sound-leads';
  return (await findingsOf(document, (all) => all.some(isLead))).filter(isLead);
}

/** The findings as soon as they are as expected. */
async function findingsOf(
  document: vscode.TextDocument,
  isExpected: (findings: readonly vscode.Diagnostic[]) => boolean,
): Promise<readonly vscode.Diagnostic[]> {
  const findings = (): readonly vscode.Diagnostic[] =>
    vscode.languages.getDiagnostics(document.uri).filter(({ source }) => source === 'afterclap');
  await until(
    () => isExpected(findings()),
    () => `${document.uri.path} shows ${findings().map(codeOf).join(', ') || 'nothing'}`,
  );
  return findings();
}

async function until(isSo: () => boolean, complaint: () => string): Promise<void> {
  const deadline = Date.now() + PATIENCE_MS;
  while (!isSo()) {
    if (Date.now() > deadline) throw new Error(complaint());
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

function codeOf({ code }: vscode.Diagnostic): string {
  return String(typeof code === 'object' ? code.value : code);
}

/** What was taken out and put in between the common start and the common end of two texts. */
function differenceOf(before: string, after: string): { readonly removed: string; readonly added: string } {
  let start = 0;
  while (start < before.length && before[start] === after[start]) start += 1;
  let tail = 0;
  while (tail < Math.min(before.length, after.length) - start && before.at(-1 - tail) === after.at(-1 - tail)) tail += 1;
  return { removed: before.slice(start, before.length - tail), added: after.slice(start, after.length - tail) };
}
