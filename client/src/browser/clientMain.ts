/**
 * The extension in a browser: the server is a worker.
 *
 * A worker that was shut down can't be used again, so each start of the client, a restart too, makes one of its own.
 */

import * as vscode from 'vscode';
import {
  type BaseLanguageClient,
  BrowserMessageReader,
  BrowserMessageWriter,
  LanguageClient,
} from 'vscode-languageclient/browser';
import { runExtension } from '../extension.ts';

let running: BaseLanguageClient | undefined;
let worker: Worker | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  const address = vscode.Uri.joinPath(context.extensionUri, 'dist', 'browser', 'server.js').toString(true);
  const startServer = async () => {
    worker?.terminate();
    worker = new Worker(address);
    return { reader: new BrowserMessageReader(worker), writer: new BrowserMessageWriter(worker) };
  };
  running = await runExtension(
    context,
    (options) => new LanguageClient('afterclap', 'Afterclap', startServer, options),
    null,
    null,
  );
}

export async function deactivate(): Promise<void> {
  await running?.stop();
  worker?.terminate();
}
