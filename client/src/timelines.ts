/**
 * Timelines as the editor knows them: their languages, which one a command means, and what is said where there is none.
 */

import * as vscode from 'vscode';

/** As the manifest declares them. */
export const TIMELINE_LANGUAGES: readonly string[] = ['otio', 'afterclap-xml', 'afterclap-edl', 'afterclap-cpl'];

export const TIMELINE_DOCUMENTS: readonly { readonly language: string }[] = TIMELINE_LANGUAGES.map((language) => ({ language }));

/**
 * The timeline that a command means: the one it was asked for, else the one in front, else one that is visible beside a chart or a
 * page, else one in a tab behind a page, which is brought to the front. Null after saying that there is none, and offering a way to
 * one.
 */
export async function timelineFor(asked?: unknown): Promise<vscode.TextDocument | null> {
  const document = asked instanceof vscode.Uri ? await vscode.workspace.openTextDocument(asked) : await timelineInFront();
  if (document !== null && isTimeline(document)) return document;
  await sayNoTimeline();
  return null;
}

async function timelineInFront(): Promise<vscode.TextDocument | null> {
  const { activeTextEditor, visibleTextEditors } = vscode.window;
  // Another text in front is what the person means, and it is no timeline.
  if (activeTextEditor !== undefined) return activeTextEditor.document;
  return visibleTextEditors.map(({ document }) => document).find(isTimeline) ?? timelineBehind();
}

async function timelineBehind(): Promise<vscode.TextDocument | null> {
  const { activeTabGroup, all } = vscode.window.tabGroups;
  for (const { tabs, viewColumn } of [activeTabGroup, ...all]) {
    for (const { input } of tabs) {
      if (!(input instanceof vscode.TabInputText)) continue;
      const document = vscode.workspace.textDocuments.find(({ uri }) => uri.toString() === input.uri.toString());
      if (document === undefined || !isTimeline(document)) continue;
      await vscode.window.showTextDocument(document, { viewColumn, preview: false });
      return document;
    }
  }
  return null;
}

function isTimeline({ languageId }: vscode.TextDocument): boolean {
  return TIMELINE_LANGUAGES.includes(languageId);
}

async function sayNoTimeline(): Promise<void> {
  const openFile = 'Open a File...';
  const openSample = 'Open the Sample...';
  const chosen = await vscode.window.showInformationMessage(
    'No timeline is in front. Open one (.otio, .timeline.xml, .edl or a composition playlist), or the sample to try it on.',
    openFile,
    openSample,
  );
  if (chosen === openFile) await vscode.commands.executeCommand('workbench.action.files.openFile');
  else if (chosen === openSample) await vscode.commands.executeCommand('afterclap.openSample');
}
