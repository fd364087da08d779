/**
 * Findings and what is drawn, offered and looked up for them, on the three formats.
 */

import * as vscode from 'vscode';
import {
  ask,
  definitionAt,
  differenceOf,
  expect,
  expectEqual,
  findingsOf,
  firstLeadOf,
  leadsOf,
  open,
  placeOf,
  revert,
  sorted,
  until,
} from '../../suite/check.ts';
import { type Check, codeOf } from '../../suite/runChecks.ts';

/** What the command line finds in the same files: name, then code and line of each finding. Put in when the suite is bundled. */
declare const EXPECTED_FINDINGS: Readonly<Record<string, string>>;

export const languageChecks: readonly Check[] = [
  ['this is a browser, and the folder is a virtual one', isVirtual],
  ['all three formats show what the command line finds, and closed files do too', findsTheSame],
  ['a finding links to its page, its picture and its pair in the report', linksFindings],
  ['the hover says in one sentence what is wrong', hovers],
  ['the preferred fix changes one place; undo brings text and finding back', fixes],
  ['all safe findings are fixed by one command, and undone by one', fixesAll],
  ['hints stand behind the clips that are out, with their tooltip', hints],
  ['the lens counts the comparisons and opens the report', lens],
  ['a clip leads into the report, and the report to all clips that use it', navigates],
  ['names are renamed in the report', renames],
  ['outline, search, folds and colours are there', outlines],
];

const FILES = ['millrace/millrace.otio', 'millrace/millrace.edl', 'millrace/millrace.timeline.xml'];

async function isVirtual(): Promise<void> {
  expectEqual(vscode.env.uiKind, vscode.UIKind.Web, 'kind of editor');
  expectEqual(placeOf('').scheme, 'vscode-test-web', 'scheme of the folder');
}

async function findsTheSame(): Promise<void> {
  await open('millrace/millrace.otio');
  for (const name of FILES) {
    const expected = EXPECTED_FINDINGS[name] as string;
    // The other two are not open yet: these come from the search through the workspace.
    await findingsOf({ uri: placeOf(name) }, (all) => sorted(all) === expected);
  }
  for (const name of FILES) {
    const document = await open(name);
    await findingsOf(document, (all) => sorted(all) === EXPECTED_FINDINGS[name]);
  }
}

async function linksFindings(): Promise<void> {
  const { code, relatedInformation } = await firstLeadOf(await open('millrace/millrace.otio'));
  expect(typeof code === 'object', 'the code has no page');
  // An address of the web would leave the editor.
  expect(!code.target.scheme.startsWith('http'), `the page is at ${code.target}`);
  const page = await vscode.workspace.openTextDocument(code.target);
  expect(page.getText().includes('sound-leads'), `the page says ${page.getText().slice(0, 80)}`);
  const places = (relatedInformation ?? []).map(({ location }) => location.uri.path.split('/').at(-1));
  expectEqual(places, ['millrace.otio', 'millrace.alignment.json'], 'related places');
}

async function hovers(): Promise<void> {
  for (const name of FILES) {
    const document = await open(name);
    const { range } = await firstLeadOf(document);
    const found = await ask<vscode.Hover[]>('HoverProvider', document.uri, range.start);
    const text = found
      .flatMap(({ contents }) => contents.map((part) => (typeof part === 'string' ? part : part.value)))
      .join('\n');
    expect(/^\*\*\S+ leads \S+ by .*frame.*\.\*\*/m.test(text), `the hover on ${name} says ${text}`);
  }
}

async function fixes(): Promise<void> {
  for (const name of FILES) {
    const document = await open(name);
    const leadCount = (await leadsOf(document)).length;
    const { range } = await firstLeadOf(document);
    const actions = await ask<vscode.CodeAction[]>('CodeActionProvider', document.uri, range);
    const preferred = actions.find(({ isPreferred }) => isPreferred === true);
    expect(preferred?.edit !== undefined, `${name} offers ${actions.map(({ title }) => title).join('; ')}`);
    const before = document.getText();
    expect(await vscode.workspace.applyEdit(preferred.edit), 'the edit was refused');
    const { removed, added } = differenceOf(before, document.getText());
    // An edit list writes where a clip begins and where it ends: both move.
    const number = name.endsWith('.edl') ? /^\d+ \d\d:\d\d:\d\d:\d\d$/ : /^[\d.]+$/;
    expect(number.test(removed) && number.test(added), `'${removed}' became '${added}' in ${name}`);
    await findingsOf(document, (all) => all.filter((each) => codeOf(each) === 'sound-leads').length === leadCount - 1);
    await vscode.commands.executeCommand('undo');
    expect(document.getText() === before, `undo left '${differenceOf(before, document.getText()).added}' in ${name}`);
    await findingsOf(document, (all) => all.filter((each) => codeOf(each) === 'sound-leads').length === leadCount);
    await revert();
  }
}

async function fixesAll(): Promise<void> {
  const document = await open('millrace/millrace.edl');
  const before = (await findingsOf(document, (all) => all.length > 0)).length;
  const text = document.getText();
  // The message that says what was done waits for nobody.
  void vscode.commands.executeCommand('afterclap.fixAllSafe');
  await findingsOf(document, (all) => all.length < before);
  await vscode.commands.executeCommand('notifications.clearAll');
  await vscode.commands.executeCommand('undo');
  expect(document.getText() === text, 'one undo does not bring the text back');
  await findingsOf(document, (all) => all.length === before);
  await revert();
}

async function hints(): Promise<void> {
  const document = await open('millrace/millrace.edl');
  const whole = new vscode.Range(0, 0, document.lineCount, 0);
  const found = await ask<vscode.InlayHint[]>('InlayHintProvider', document.uri, whole);
  const labels = found.map(({ label }) => (typeof label === 'string' ? label : label.map(({ value }) => value).join('')));
  // samples/README.md: 'door, latch' is a frame early, a frame is 1001/24000 s = 41.7 ms (SMPTE ST 12-1).
  expect(labels.includes('leads 41.7 ms, 1 f'), `the hints are ${labels.join('; ')}`);
}

async function lens(): Promise<void> {
  for (const name of FILES) {
    const document = await open(name);
    await findingsOf(document, (all) => all.length > 0);
    const [found] = await ask<vscode.CodeLens[]>('CodeLensProvider', document.uri, 5);
    expectEqual(found?.command?.title, '9 in, 3 lead, 5 lag, 1 drifts', `the lens of ${name}`);
    await vscode.commands.executeCommand(found?.command?.command as string);
    expectEqual(activeName(), 'millrace.alignment.json', 'a click opens');
  }
}

function activeName(): string | undefined {
  return vscode.window.activeTextEditor?.document.uri.path.split('/').at(-1);
}

async function navigates(): Promise<void> {
  const document = await open('millrace/millrace.otio');
  const lead = await firstLeadOf(document);
  const target = await definitionAt(document.uri, lead.range.start);
  expectEqual(target.uri.toString(), placeOf('millrace/millrace.alignment.json').toString(), 'the definition');
  const report = await vscode.workspace.openTextDocument(target.uri);
  expect(/^"?deck-01"?$/.test(report.getText(target.range)), `the definition is '${report.getText(target.range)}'`);
  const uses = await ask<vscode.Location[]>('ReferenceProvider', target.uri, target.range.start);
  const names = [...new Set(uses.map(({ uri }) => uri.path.slice(1)))].sort();
  // The two days have reports of their own.
  expectEqual(
    names,
    ['alignment.json', 'edl', 'otio', 'timeline.xml'].map((end) => `millrace/millrace.${end}`),
    'files that use deck-01',
  );
}

async function renames(): Promise<void> {
  const report = await open('millrace/millrace.alignment.json');
  const at = report.positionAt(report.getText().indexOf('"deck-05"') + 2);
  const edit = await ask<vscode.WorkspaceEdit>('DocumentRenameProvider', report.uri, at, 'deck-five');
  const before = report.getText();
  expect(await vscode.workspace.applyEdit(edit), 'the edit was refused');
  expect(report.getText().includes('"deck-five"') && !report.getText().includes('"deck-05"'), 'the name is still there');
  await vscode.window.showTextDocument(report);
  await revert();
  expect(report.getText() === before, 'the report was not reverted');
}

async function outlines(): Promise<void> {
  const document = await open('millrace/millrace.timeline.xml');
  await findingsOf(document, (all) => all.length > 0);
  const symbols = await ask<vscode.DocumentSymbol[]>('DocumentSymbolProvider', document.uri);
  expect(symbols.length > 0, 'there is no outline');
  const folds = await ask<vscode.FoldingRange[]>('FoldingRangeProvider', document.uri);
  expect(folds.length > 0, 'nothing folds');
  const tokens = await vscode.commands.executeCommand<vscode.SemanticTokens>(
    'vscode.provideDocumentSemanticTokens',
    document.uri,
  );
  expect(tokens.data.length > 0, 'nothing is coloured by meaning');
  await until(
    async () => (await ask<vscode.SymbolInformation[]>('WorkspaceSymbolProvider', 'latch')).length > 0,
    () => 'the search finds no clip',
  );
}
