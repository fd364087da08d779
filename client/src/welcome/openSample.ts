/**
 * The command 'Open the Sample': copies the invented shoot Millrace to where the person says, and opens its cut.
 *
 * It goes into a folder of its own and never over anything. The extension's own copy is not opened in its place: a first fix would
 * change the extension itself.
 */

import * as vscode from 'vscode';
import { FIRST_FILE, freeSampleFolder, SAMPLE_FILES } from './sampleFiles.ts';

/** `parent` can be said beforehand, by a key binding; else the person is asked. */
export async function openSample(extensionUri: vscode.Uri, parent?: vscode.Uri): Promise<void> {
  const place = parent instanceof vscode.Uri ? parent : await askParent();
  if (place === null) return;
  let folder: vscode.Uri;
  try {
    folder = await copySample(vscode.Uri.joinPath(extensionUri, 'samples'), place);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    await vscode.window.showErrorMessage(
      `The sample could not be copied to ${shown(place)}: ${reason} Choose a folder that can be written to.`,
    );
    return;
  }
  await vscode.window.showTextDocument(vscode.Uri.joinPath(folder, FIRST_FILE), { preview: false });
  void offerFolder(folder);
}

async function askParent(): Promise<vscode.Uri | null> {
  const first = vscode.workspace.workspaceFolders?.[0]?.uri;
  const chosen = await vscode.window.showOpenDialog({
    title: 'Where shall the folder of the sample go?',
    openLabel: 'Copy the Sample Here',
    canSelectFiles: false,
    canSelectFolders: true,
    canSelectMany: false,
    ...(first === undefined ? {} : { defaultUri: first }),
  });
  return chosen?.[0] ?? null;
}

/** The new folder. Reads all before it writes anything, so that a sample that can't be read leaves nothing behind. */
async function copySample(source: vscode.Uri, parent: vscode.Uri): Promise<vscode.Uri> {
  const { fs } = vscode.workspace;
  const texts = await Promise.all(SAMPLE_FILES.map((name) => fs.readFile(vscode.Uri.joinPath(source, name))));
  const taken = (await fs.readDirectory(parent)).map(([name]) => name);
  const folder = vscode.Uri.joinPath(parent, freeSampleFolder(taken));
  await fs.createDirectory(folder);
  for (const [index, name] of SAMPLE_FILES.entries()) {
    await fs.writeFile(vscode.Uri.joinPath(folder, name), texts[index] as Uint8Array);
  }
  return folder;
}

/** Its cut is open already; the folder as a whole shows all three formats, the report and the settings. */
async function offerFolder(folder: vscode.Uri): Promise<void> {
  const openFolder = 'Open the Folder';
  const isInside = vscode.workspace.getWorkspaceFolder(folder) !== undefined;
  const chosen = await vscode.window.showInformationMessage(
    `The sample is in ${shown(folder)}. Everything in it is invented; change it as you like.`,
    ...(isInside ? [] : [openFolder]),
  );
  if (chosen === openFolder) {
    const forceNewWindow = (vscode.workspace.workspaceFolders ?? []).length > 0;
    await vscode.commands.executeCommand('vscode.openFolder', folder, { forceNewWindow });
  }
}

function shown(place: vscode.Uri): string {
  if (vscode.workspace.getWorkspaceFolder(place) !== undefined) return vscode.workspace.asRelativePath(place);
  return place.scheme === 'file' ? place.fsPath : place.path;
}
