/**
 * The test's own extension in the page: a read-only virtual folder `shelf:/`, as timelines under review come in, and commands that
 * ask ours for what no menu offers in a browser.
 */

import * as vscode from 'vscode';

/** Put in when this is bundled. */
declare const SHELF_FILES: Readonly<Record<string, string>>;

export function activate(context: vscode.ExtensionContext): void {
  const { registerCommand, executeCommand } = vscode.commands;
  context.subscriptions.push(
    vscode.workspace.registerFileSystemProvider('shelf', shelf, { isReadonly: true, isCaseSensitive: true }),
    registerCommand('driver.measure', () => executeCommand('afterclap.measureFolder')),
    registerCommand('driver.compare', () => executeCommand('afterclap.compareWithCommit')),
    registerCommand('driver.changeReport', changeReport),
  );
}

/** As somebody else would, outside of any editor: the first clap one frame of sound later in the file. */
async function changeReport(): Promise<void> {
  const [folder] = vscode.workspace.workspaceFolders ?? [];
  if (folder === undefined) return;
  const place = vscode.Uri.joinPath(folder.uri, 'millrace', 'millrace.alignment.json');
  const text = new TextDecoder().decode(await vscode.workspace.fs.readFile(place));
  const changed = text.replace('"frame": 132, "sample": 440286 }', '"frame": 132, "sample": 442288 }');
  await vscode.workspace.fs.writeFile(place, new TextEncoder().encode(changed));
}

const refuse = (place: vscode.Uri): never => {
  throw vscode.FileSystemError.NoPermissions(place);
};

function contentAt({ path }: vscode.Uri): Uint8Array | null {
  const text = SHELF_FILES[path.slice(1)];
  return text === undefined ? null : new TextEncoder().encode(text);
}

const shelf: vscode.FileSystemProvider = {
  onDidChangeFile: new vscode.EventEmitter<vscode.FileChangeEvent[]>().event,
  watch: () => new vscode.Disposable(() => undefined),
  stat: (place) => {
    const content = contentAt(place);
    if (content !== null) return { type: vscode.FileType.File, ctime: 0, mtime: 0, size: content.length };
    if (place.path === '/') return { type: vscode.FileType.Directory, ctime: 0, mtime: 0, size: 0 };
    throw vscode.FileSystemError.FileNotFound(place);
  },
  readDirectory: (place) => {
    if (place.path !== '/') throw vscode.FileSystemError.FileNotFound(place);
    return Object.keys(SHELF_FILES).map((name) => [name, vscode.FileType.File]);
  },
  readFile: (place) => {
    const content = contentAt(place);
    if (content === null) throw vscode.FileSystemError.FileNotFound(place);
    return content;
  },
  createDirectory: refuse,
  writeFile: refuse,
  delete: refuse,
  rename: refuse,
};
