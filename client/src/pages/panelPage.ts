/**
 * What fills a panel: the page's own bundle from the extension's folder, with a fresh nonce.
 */

import * as vscode from 'vscode';
import { pageHtml } from './pageHtml.ts';

/** `bundle` names a script and a style sheet in `dist`; `uri` is of the text that the page is about. */
export function panelPage(
  webview: vscode.Webview,
  extensionUri: vscode.Uri,
  { bundle, title, uri }: { readonly bundle: 'chart' | 'desk'; readonly title: string; readonly uri: vscode.Uri },
): string {
  const part = (file: string): string => webview.asWebviewUri(vscode.Uri.joinPath(extensionUri, 'dist', file)).toString();
  return pageHtml({
    title,
    source: webview.cspSource,
    scriptUri: part(`${bundle}.js`),
    styleUri: part(`${bundle}.css`),
    nonce: crypto.randomUUID().replaceAll('-', ''),
    uri: uri.toString(),
  });
}
