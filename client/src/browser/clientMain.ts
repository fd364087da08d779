/** The extension in a browser: the server is a worker. */

import * as vscode from 'vscode';
import { type BaseLanguageClient, LanguageClient } from 'vscode-languageclient/browser';
import { runExtension } from '../extension.ts';

declare class Worker {
  constructor(address: string);
}

let running: BaseLanguageClient | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  const address = vscode.Uri.joinPath(context.extensionUri, 'dist', 'browser', 'server.js').toString(true);
  running = await runExtension(
    context,
    (options) => new LanguageClient('afterclap', 'Afterclap', options, new Worker(address) as never),
    null,
  );
}

export async function deactivate(): Promise<void> {
  await running?.stop();
}
