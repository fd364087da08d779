/**
 * What a person is asked before recordings are measured: the folder, the clap log, and where the report goes.
 *
 * Every question can be left by Escape, and then nothing happens. A report that exists is never replaced from here: it is merged
 * into, or another name is taken.
 */

import * as vscode from 'vscode';
import { freeReportName, isReportName, reportNameProblem } from './reportNames.ts';

/** What can be said beforehand, by a menu or a key binding; the rest is asked. */
export interface MeasureAnswers {
  /** A file of the folder, or any other; null: there is none. */
  readonly clapLog?: vscode.Uri | null;
  readonly report?: ReportChoice;
}

export interface ReportChoice {
  readonly name: string;
  readonly isMerging: boolean;
}

export async function askFolder(): Promise<vscode.Uri | null> {
  const first = vscode.workspace.workspaceFolders?.[0]?.uri;
  const chosen = await vscode.window.showOpenDialog({
    title: 'Folder with the recordings',
    openLabel: 'Measure',
    canSelectFiles: false,
    canSelectFolders: true,
    canSelectMany: false,
    ...(first === undefined ? {} : { defaultUri: first }),
  });
  return chosen?.[0] ?? null;
}

/** Undefined when the person left. Cameras without sound of their own need a log; others are better with it. */
export async function askClapLog(folder: vscode.Uri, names: readonly string[]): Promise<vscode.Uri | null | undefined> {
  const tables = names.filter((name) => /\.csv$/i.test(name));
  const items: readonly (vscode.QuickPickItem & { readonly answer: 'none' | 'other' | string })[] = [
    ...tables.map((name) => ({
      label: name,
      description: 'in this folder',
      iconPath: new vscode.ThemeIcon('table'),
      answer: name,
    })),
    {
      label: 'No clap log',
      detail: 'Pictures are matched by the sound that their cameras recorded.',
      iconPath: new vscode.ThemeIcon('mic'),
      answer: 'none',
    },
    {
      label: 'Choose a file...',
      detail: 'A table (CSV) that says in which frame of which camera the hands meet.',
      iconPath: new vscode.ThemeIcon('folder-opened'),
      answer: 'other',
    },
  ];
  const chosen = await vscode.window.showQuickPick(items, { title: 'Is there a clap log?', ignoreFocusOut: true });
  if (chosen === undefined) return undefined;
  if (chosen.answer === 'none') return null;
  if (chosen.answer !== 'other') return vscode.Uri.joinPath(folder, chosen.answer);
  const files = await vscode.window.showOpenDialog({
    title: 'Clap log',
    openLabel: 'Use',
    defaultUri: folder,
    filters: { 'Clap log (CSV)': ['csv'], 'All files': ['*'] },
  });
  return files?.[0];
}

/** Null when the person left. Asks nothing where no report stands yet. */
export async function askReport(folderName: string, names: readonly string[]): Promise<ReportChoice | null> {
  const free = freeReportName(folderName, names);
  const standing = names.filter(isReportName);
  if (standing.length === 0) return { name: free, isMerging: false };
  const items: readonly (vscode.QuickPickItem & { readonly answer: ReportChoice | null })[] = [
    ...standing.map((name) => ({
      label: `Merge into ${name}`,
      detail: 'Notes and everything else in it stay; only pairs that are measured again are replaced.',
      iconPath: new vscode.ThemeIcon('git-merge'),
      answer: { name, isMerging: true },
    })),
    {
      label: 'Write another report...',
      detail: 'Timelines then need afterclap.json to know which one is meant.',
      iconPath: new vscode.ThemeIcon('new-file'),
      answer: null,
    },
  ];
  const chosen = await vscode.window.showQuickPick(items, {
    title: standing.length === 1 ? 'There is an alignment report already' : 'There are alignment reports already',
    ignoreFocusOut: true,
  });
  if (chosen === undefined) return null;
  if (chosen.answer !== null) return chosen.answer;
  const name = await vscode.window.showInputBox({
    title: 'Name of the new report',
    value: free,
    valueSelection: [0, free.indexOf('.')],
    ignoreFocusOut: true,
    validateInput: (written) => reportNameProblem(written.trim(), names),
  });
  return name === undefined ? null : { name: name.trim(), isMerging: false };
}
