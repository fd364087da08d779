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
    worker = await loadedWorker(address);
    return { reader: new BrowserMessageReader(worker), writer: new BrowserMessageWriter(worker) };
  };
  running = await runExtension(
    context,
    (options) => new LanguageClient('afterclap', 'Afterclap', startServer, options),
    null,
    null,
  );
}

/**
 * The worker as soon as it answers anything: here a question that no server knows. One whose script can't be loaded never answers, and
 * the client would wait for it for ever.
 */
function loadedWorker(address: string): Promise<Worker> {
  const started = new Worker(address);
  return new Promise((resolve, reject) => {
    started.onmessage = () => {
      started.onmessage = null;
      started.onerror = null;
      resolve(started);
    };
    started.onerror = ({ message }) => {
      started.terminate();
      reject(new Error(`The server could not be loaded. ${message}`));
    };
    started.postMessage({ jsonrpc: '2.0', id: 0, method: 'afterclap/isLoaded' });
  });
}

export async function deactivate(): Promise<void> {
  await running?.stop();
  worker?.terminate();
}
