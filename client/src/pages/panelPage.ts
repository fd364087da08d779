/**
 * What fills a panel: its title, the icon, and the page's own bundle from the extension's folder, with a fresh nonce.
 */

import * as vscode from 'vscode';
import { pageHtml } from './pageHtml.ts';

interface PanelPage {
  /** Names a script and a style sheet in `dist`. */
  readonly bundle: 'chart' | 'desk';
  readonly title: string;
  /** Of the text that the page is about. */
  readonly uri: vscode.Uri;
}

export function fillPanel(panel: vscode.WebviewPanel, extensionUri: vscode.Uri, { bundle, title, uri }: PanelPage): void {
  const { webview } = panel;
  const part = (file: string): string => webview.asWebviewUri(vscode.Uri.joinPath(extensionUri, 'dist', file)).toString();
  panel.title = `${title}: ${nameAmongFolders(uri)}`;
  panel.iconPath = vscode.Uri.joinPath(extensionUri, 'client', 'media', 'icon.png');
  webview.html = pageHtml({
    title,
    source: webview.cspSource,
    scriptUri: part(`${bundle}.js`),
    styleUri: part(`${bundle}.css`),
    nonce: crypto.randomUUID().replaceAll('-', ''),
    uri: uri.toString(),
  });
}

/** Two days may have a cut of one name, and the editor tells apart the tabs of texts only. */
function nameAmongFolders(uri: vscode.Uri): string {
  const name = uri.path.slice(uri.path.lastIndexOf('/') + 1);
  const folder = vscode.workspace.getWorkspaceFolder(uri);
  const isOneOfMany = folder !== undefined && (vscode.workspace.workspaceFolders?.length ?? 0) > 1;
  return isOneOfMany ? `${name} (${folder.name})` : name;
}
