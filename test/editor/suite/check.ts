/**
 * What the checks of all suites share: they run in the extension host of a real editor, one after the other, and each leaves the
 * workspace as it found it.
 *
 * The editor tells nobody when it is done, so everything is waited for. Nothing here needs Node: in a page there is none.
 */

import * as vscode from 'vscode';
import { type Check, codeOf, runEach, waitUntil } from './runChecks.ts';

const PATIENCE_MS = 60_000;
/** Where one check failed others may, and each would take its time. */
const PATIENCE_AFTER_FAILURE_MS = 5_000;
let patienceMs = PATIENCE_MS;

export function expect(isSo: boolean, complaint: string): asserts isSo {
  if (!isSo) throw new Error(complaint);
}

export function expectEqual(found: unknown, expected: unknown, what: string): void {
  const [left, right] = [JSON.stringify(found), JSON.stringify(expected)];
  expect(left === right, `${what}: ${left} instead of ${right}`);
}

export function runChecks(checks: readonly Check[]): Promise<void> {
  const quietly = checks.map(
    ([name, run]): Check => [
      name,
      async () => {
        await run();
        await vscode.commands.executeCommand('notifications.clearAll');
      },
    ],
  );
  return runEach(quietly, async () => {
    patienceMs = PATIENCE_AFTER_FAILURE_MS;
    await revertAll();
    await vscode.commands.executeCommand('notifications.clearAll');
  });
}

/** In the first folder of the workspace, or in the one at `folder`. */
export function placeOf(name: string, folder = 0): vscode.Uri {
  const opened = vscode.workspace.workspaceFolders?.[folder];
  expect(opened !== undefined, `no folder ${folder} is open`);
  return vscode.Uri.joinPath(opened.uri, name);
}

export async function open(place: string | vscode.Uri, viewColumn = vscode.ViewColumn.One): Promise<vscode.TextDocument> {
  const document = await vscode.workspace.openTextDocument(typeof place === 'string' ? placeOf(place) : place);
  await vscode.window.showTextDocument(document, { preview: false, viewColumn });
  return document;
}

/** Throws away what was changed in the document in front. */
export async function revert(): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.files.revert');
}

/** Throws away what was changed in any document. */
export async function revertAll(): Promise<void> {
  for (const document of vscode.workspace.textDocuments.filter(({ isDirty, isUntitled }) => isDirty && !isUntitled)) {
    await vscode.window.showTextDocument(document, { preview: false });
    await revert();
    await until(
      () => !document.isDirty,
      () => `${document.uri.path} was not reverted`,
    );
  }
}

/** Asks the editor what its providers answer. */
export async function ask<Answer>(provider: string, ...words: readonly unknown[]): Promise<Answer> {
  return vscode.commands.executeCommand<Answer>(`vscode.execute${provider}`, ...words);
}

/** The one place that the editor would go to. */
export async function definitionAt(uri: vscode.Uri, position: vscode.Position): Promise<vscode.Location> {
  const found = await ask<(vscode.Location | vscode.LocationLink)[]>('DefinitionProvider', uri, position);
  const [first] = found;
  expect(first !== undefined && found.length === 1, `${found.length} definitions`);
  return 'uri' in first ? first : new vscode.Location(first.targetUri, first.targetSelectionRange ?? first.targetRange);
}

/** Our findings on a document as soon as they are as expected. */
export async function findingsOf(
  { uri }: { readonly uri: vscode.Uri },
  isExpected: (findings: readonly vscode.Diagnostic[]) => boolean,
): Promise<readonly vscode.Diagnostic[]> {
  const findings = (): readonly vscode.Diagnostic[] =>
    vscode.languages.getDiagnostics(uri).filter(({ source }) => source === 'afterclap');
  await until(
    () => isExpected(findings()),
    () => `${uri.path} shows ${sorted(findings()) || 'nothing'}`,
  );
  return findings();
}

/** Code and line of each, in the order of their places. */
export function sorted(findings: readonly vscode.Diagnostic[]): string {
  return [...findings]
    .sort((left, right) => left.range.start.line - right.range.start.line || (codeOf(left) < codeOf(right) ? -1 : 1))
    .map((finding) => `${codeOf(finding)} ${finding.range.start.line + 1}`)
    .join(', ');
}

export async function leadsOf(document: vscode.TextDocument): Promise<readonly vscode.Diagnostic[]> {
  return (await findingsOf(document, (all) => all.some(isLead))).filter(isLead);
}

export async function firstLeadOf(document: vscode.TextDocument): Promise<vscode.Diagnostic> {
  const [lead] = await leadsOf(document);
  expect(lead !== undefined, 'no lead');
  return lead;
}

export function isLead(finding: vscode.Diagnostic): boolean {
  return codeOf(finding) === 'sound-leads';
}

export function until(isSo: () => boolean | Promise<boolean>, complaint: () => string): Promise<void> {
  return waitUntil(isSo, complaint, patienceMs);
}

/** What was taken out and put in between the common start and the common end of two texts. */
export function differenceOf(before: string, after: string): { readonly removed: string; readonly added: string } {
  let start = 0;
  while (start < before.length && before[start] === after[start]) start += 1;
  let tail = 0;
  while (tail < Math.min(before.length, after.length) - start && before.at(-1 - tail) === after.at(-1 - tail)) tail += 1;
  return { removed: before.slice(start, before.length - tail), added: after.slice(start, after.length - tail) };
}
