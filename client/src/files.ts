/**
 * Reads files for the server: those of virtual workspaces, and all of them where the server runs in a browser.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { type FileAnswer, type FolderAnswer, READ_FILE_REQUEST, READ_FOLDER_REQUEST } from '../../server/src/lsp/messages.ts';
import { decodeText } from '../../server/src/project/decodeText.ts';

/** Reports and settings are small; what is larger is no report, and the editor would stall on it. */
const LARGEST_FILE_BYTES = 50 * 1024 * 1024;

interface UriParams {
  readonly uri: string;
}

export function answerFileRequests(client: BaseLanguageClient): vscode.Disposable {
  return vscode.Disposable.from(
    client.onRequest(READ_FILE_REQUEST, ({ uri }: UriParams): Promise<FileAnswer> => fileAt(uri)),
    client.onRequest(READ_FOLDER_REQUEST, ({ uri }: UriParams): Promise<FolderAnswer> => folderAt(uri)),
  );
}

const MISSING: FileAnswer = { text: null };

async function fileAt(uri: string): Promise<FileAnswer> {
  const place = vscode.Uri.parse(uri, true);
  const { fs } = vscode.workspace;
  try {
    const { size, type } = await fs.stat(place);
    if ((type & vscode.FileType.File) === 0) return { text: null, refusal: 'is a folder, not a file' };
    if (size > LARGEST_FILE_BYTES) return { text: null, refusal: tooLarge(size) };
  } catch {
    // A file that is not there is an answer, not a failure: the server asks for many that may not exist. What else a folder far away
    // may answer here is not told apart, since many say of a missing file no more than that something failed.
    return MISSING;
  }
  try {
    const decoded = decodeText(await fs.readFile(place));
    return decoded.ok ? { text: decoded.text, encoding: decoded.encoding } : { text: null, refusal: decoded.reason };
  } catch (error) {
    return { text: null, refusal: `can't be read: ${error instanceof Error ? error.message : String(error)}` };
  }
}

function tooLarge(bytes: number): string {
  const megabytes = (amount: number): number => Math.ceil(amount / 1024 / 1024);
  return `has ${megabytes(bytes)} MB; files of more than ${megabytes(LARGEST_FILE_BYTES)} MB are not read in an editor`;
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
