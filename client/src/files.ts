/**
 * Reads files for the server: those of virtual workspaces, and all of them where the server runs in a browser.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { type FileAnswer, type FolderAnswer, READ_FILE_REQUEST, READ_FOLDER_REQUEST } from '../../server/src/lsp/messages.ts';

/** Reports and settings are small; what is larger is no report, and the editor would stall on it. */
const LARGEST_FILE_BYTES = 50 * 1024 * 1024;

interface UriParams {
  readonly uri: string;
}

export function answerFileRequests(client: BaseLanguageClient): vscode.Disposable {
  return vscode.Disposable.from(
    client.onRequest(READ_FILE_REQUEST, async ({ uri }: UriParams): Promise<FileAnswer> => ({ text: await readText(uri) })),
    client.onRequest(READ_FOLDER_REQUEST, ({ uri }: UriParams): Promise<FolderAnswer> => folderAt(uri)),
  );
}

async function readText(uri: string): Promise<string | null> {
  try {
    const place = vscode.Uri.parse(uri, true);
    const { size, type } = await vscode.workspace.fs.stat(place);
    if (size > LARGEST_FILE_BYTES || (type & vscode.FileType.File) === 0) return null;
    return new TextDecoder().decode(await vscode.workspace.fs.readFile(place));
  } catch {
    // A file that is not there is an answer, not a failure: the server asks for many that may not exist.
    return null;
  }
}

async function folderAt(uri: string): Promise<FolderAnswer> {
  try {
    const entries = await vscode.workspace.fs.readDirectory(vscode.Uri.parse(uri, true));
    const namesOf = (kind: vscode.FileType): readonly string[] =>
      entries.filter(([, type]) => (type & kind) !== 0).map(([name]) => name);
    return { files: namesOf(vscode.FileType.File), folders: namesOf(vscode.FileType.Directory) };
  } catch {
    return { files: null };
  }
}
