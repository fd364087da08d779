/**
 * What the checks share: opening, waiting for findings, and saying what is not as it should be.
 */

import * as vscode from 'vscode';
import { codeOf, waitUntil } from '../../suite/runChecks.ts';

const PATIENCE_MS = 60_000;

export function expect(isSo: boolean, complaint: string): asserts isSo {
  if (!isSo) throw new Error(complaint);
}

export function expectEqual(found: unknown, expected: unknown, what: string): void {
  const [left, right] = [JSON.stringify(found), JSON.stringify(expected)];
  expect(left === right, `${what}: ${left} instead of ${right}`);
}

export function placeOf(name: string): vscode.Uri {
  const [folder] = vscode.workspace.workspaceFolders ?? [];
  expect(folder !== undefined, 'no folder is open');
  return vscode.Uri.joinPath(folder.uri, name);
}

export async function open(name: string): Promise<vscode.TextDocument> {
  const document = await vscode.workspace.openTextDocument(placeOf(name));
  await vscode.window.showTextDocument(document, { preview: false });
  return document;
}

export async function revert(): Promise<void> {
  await vscode.commands.executeCommand('workbench.action.files.revert');
}

/** Our findings as soon as they are as expected. */
export async function findingsOf(
  document: { readonly uri: vscode.Uri },
  isExpected: (findings: readonly vscode.Diagnostic[]) => boolean,
): Promise<readonly vscode.Diagnostic[]> {
  const findings = (): readonly vscode.Diagnostic[] =>
    vscode.languages.getDiagnostics(document.uri).filter(({ source }) => source === 'afterclap');
  await until(
    () => isExpected(findings()),
    () => `${document.uri.path} shows ${shown(findings()) || 'nothing'}`,
  );
  return findings();
}

function shown(findings: readonly vscode.Diagnostic[]): string {
  return findings.map((finding) => `${codeOf(finding)} ${finding.range.start.line + 1}`).join(', ');
}

/** In the order of their places, for comparison. */
export function sorted(findings: readonly vscode.Diagnostic[]): string {
  return shown(
    [...findings].sort(
      (left, right) => left.range.start.line - right.range.start.line || (codeOf(left) < codeOf(right) ? -1 : 1),
    ),
  );
}

export async function leadsOf(document: vscode.TextDocument): Promise<readonly vscode.Diagnostic[]> {
  return (await findingsOf(document, (all) => all.some(isLead))).filter(isLead);
}

export const isLead = (finding: vscode.Diagnostic): boolean => codeOf(finding) === 'sound-leads';

export async function firstLeadOf(document: vscode.TextDocument): Promise<vscode.Diagnostic> {
  const [lead] = await leadsOf(document);
  expect(lead !== undefined, 'no lead');
  return lead;
}

export function until(isSo: () => boolean | Promise<boolean>, complaint: () => string): Promise<void> {
  return waitUntil(isSo, complaint, PATIENCE_MS);
}

/** What the editor says to `vscode.execute…Provider`. */
export async function ask<Answer>(command: string, ...words: readonly unknown[]): Promise<Answer> {
  return (await vscode.commands.executeCommand(`vscode.execute${command}`, ...words)) as Answer;
}

/** What was taken out and put in between the common start and the common end of two texts. */
export function differenceOf(before: string, after: string): { readonly removed: string; readonly added: string } {
  let start = 0;
  while (start < before.length && before[start] === after[start]) start += 1;
  let tail = 0;
  while (tail < Math.min(before.length, after.length) - start && before.at(-1 - tail) === after.at(-1 - tail)) tail += 1;
  return { removed: before.slice(start, before.length - tail), added: after.slice(start, after.length - tail) };
}
