/**
 * Goes to a finding of the timeline in front and shows what it says, or what can be done about it.
 *
 * Unlike the editor's own 'next problem' it works from a page beside the text, such as the walkthrough, and passes over the problems
 * of other extensions.
 */

import * as vscode from 'vscode';
import { timelineFor } from '../timelines.ts';

/** The name under which the server's findings come. */
const SOURCE = 'afterclap';
/** A timeline that was opened just now is checked within this; a large one says so in its status. */
const PATIENCE_MS = 3000;

/** `hover`: of the next one. `fixes`: of the one at the caret, else of the next. */
export async function showFinding(what: 'hover' | 'fixes'): Promise<void> {
  const document = await timelineFor();
  if (document === null) return;
  const findings = await findingsOf(document.uri);
  if (findings.length === 0) {
    await vscode.window.showInformationMessage(
      'Nothing is found in this timeline. What was compared, and against which report, is in its status, at the end of the status bar.',
    );
    return;
  }
  const visible = vscode.window.visibleTextEditors.find((editor) => editor.document === document);
  const editor = await vscode.window.showTextDocument(document, visible?.viewColumn);
  const caret = editor.selection.active;
  const here = what === 'fixes' ? findings.find(({ range }) => range.contains(caret)) : undefined;
  const finding = here ?? after(findings, caret);
  editor.selection = new vscode.Selection(finding.range.start, finding.range.start);
  editor.revealRange(finding.range, vscode.TextEditorRevealType.InCenterIfOutsideViewport);
  await vscode.commands.executeCommand(what === 'fixes' ? 'editor.action.quickFix' : 'editor.action.showHover');
}

async function findingsOf(uri: vscode.Uri): Promise<readonly vscode.Diagnostic[]> {
  const read = (): readonly vscode.Diagnostic[] =>
    vscode.languages
      .getDiagnostics(uri)
      .filter(({ source }) => source === SOURCE)
      .toSorted((left, right) => left.range.start.compareTo(right.range.start));
  const deadline = Date.now() + PATIENCE_MS;
  while (read().length === 0 && Date.now() < deadline) await new Promise((resolve) => setTimeout(resolve, 100));
  return read();
}

/** The first after the caret; the first of all when there is none. One at the caret is the one that was shown last. */
function after(findings: readonly vscode.Diagnostic[], caret: vscode.Position): vscode.Diagnostic {
  return findings.find(({ range }) => range.start.isAfter(caret)) ?? (findings[0] as vscode.Diagnostic);
}
