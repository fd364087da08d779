/**
 * The first steps: the commands that the walkthrough of the manifest calls, and what it has to know to tick a step off.
 */

import * as vscode from 'vscode';
import { TIMELINE_LANGUAGES } from '../timelines.ts';
import { showFinding } from './nextFinding.ts';
import { openSample } from './openSample.ts';

/** True once a timeline was open in this window; the walkthrough's first step waits for it. */
const OPENED_CONTEXT = 'afterclap.hasOpenedTimeline';

export function registerWelcome({ extensionUri }: vscode.ExtensionContext): vscode.Disposable {
  const { registerCommand } = vscode.commands;
  const note = ({ languageId }: vscode.TextDocument): void => {
    if (TIMELINE_LANGUAGES.includes(languageId)) void vscode.commands.executeCommand('setContext', OPENED_CONTEXT, true);
  };
  vscode.workspace.textDocuments.forEach(note);
  return vscode.Disposable.from(
    registerCommand('afterclap.openSample', (parent?: vscode.Uri) => openSample(extensionUri, parent)),
    registerCommand('afterclap.showNextFinding', () => showFinding('hover')),
    registerCommand('afterclap.showFixes', () => showFinding('fixes')),
    vscode.workspace.onDidOpenTextDocument(note),
  );
}
