/**
 * The pages of the finding codes, at addresses that the editor itself opens.
 *
 * On the desktop the extension's files are files like any other. On the web they have web addresses, and a click on one would ask
 * whether to leave the editor, to show bare text in another window. There the pages are read-only documents of the editor.
 * Both are shown as pages, not as Markdown, by the associations in the manifest.
 */

import * as vscode from 'vscode';

const SCHEME = 'afterclap-page';

/** The folder of the pages, as the server puts it before their names. */
export function offerDocumentationPages(context: vscode.ExtensionContext): vscode.Uri {
  const folder = vscode.Uri.joinPath(context.extensionUri, 'server', 'docs', 'codes');
  if (!/^https?$/.test(folder.scheme)) return folder;
  context.subscriptions.push(
    vscode.workspace.registerTextDocumentContentProvider(SCHEME, {
      provideTextDocumentContent: async ({ path }) => {
        const name = path.slice(path.lastIndexOf('/') + 1);
        return new TextDecoder().decode(await vscode.workspace.fs.readFile(vscode.Uri.joinPath(folder, name)));
      },
    }),
  );
  return vscode.Uri.from({ scheme: SCHEME, path: '/codes' });
}
