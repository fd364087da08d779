/** The extension on the desktop and on remote machines: the server is a process of its own. */

import * as vscode from 'vscode';
import { type BaseLanguageClient, LanguageClient, TransportKind } from 'vscode-languageclient/node';
import { runExtension } from '../extension.ts';
import { diskRanges } from './diskRanges.ts';
import { processCommandLine } from './processCommandLine.ts';

let running: BaseLanguageClient | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  const module = vscode.Uri.joinPath(context.extensionUri, 'dist', 'server.cjs').fsPath;
  running = await runExtension(
    context,
    (options) =>
      new LanguageClient(
        'afterclap',
        'Afterclap',
        {
          run: { module, transport: TransportKind.ipc },
          debug: { module, transport: TransportKind.ipc, options: { execArgv: ['--nolazy', '--inspect=6041'] } },
        },
        options,
      ),
    processCommandLine(vscode.Uri.joinPath(context.extensionUri, 'dist', 'afterclap.mjs').fsPath),
    diskRanges,
  );
}

export async function deactivate(): Promise<void> {
  await running?.stop();
}
