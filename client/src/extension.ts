/**
 * The extension without its host: what the desktop and the browser share.
 *
 * It starts the server, shows which report is used, and offers the commands of the manifest. It knows nothing of formats,
 * reports or findings; whatever is shown comes from the server as text.
 */

import type * as vscode from 'vscode';
import type { BaseLanguageClient, LanguageClientOptions } from 'vscode-languageclient';
import type { ClientOptions } from '../../server/src/lsp/messages.ts';
import { registerLagCharts } from './chart/chartPanels.ts';
import type { CommandLine } from './commandLine/commandLine.ts';
import { registerCommandLineCommands, registerCommands } from './commands.ts';
import { registerClapDesks } from './desk/deskPanels.ts';
import type { FileRanges } from './desk/fileRanges.ts';
import { offerDocumentationPages } from './documentationPages.ts';
import { answerFileRequests } from './files.ts';
import { READ_ONLY_MIDDLEWARE } from './readOnly.ts';
import { showStatus } from './status.ts';
import { registerTasks } from './tasks/taskProvider.ts';
import { TIMELINE_DOCUMENTS } from './timelines.ts';
import { registerWelcome } from './welcome/welcome.ts';

/** Languages and files that the server is told about. */
const DOCUMENTS = [...TIMELINE_DOCUMENTS, { pattern: '**/*.alignment.json' }, { pattern: '**/afterclap.json' }];

/** `commandLine` is null where no process can be started, `fileRanges` where no disk can be reached. */
export async function runExtension(
  context: vscode.ExtensionContext,
  createClient: (options: LanguageClientOptions) => BaseLanguageClient,
  commandLine: CommandLine | null,
  fileRanges: FileRanges | null,
): Promise<BaseLanguageClient> {
  const initializationOptions: ClientOptions = {
    showsStatus: true,
    asksForReason: true,
    readsFiles: true,
    documentationUri: offerDocumentationPages(context).toString(),
  };
  const client = createClient({
    documentSelector: DOCUMENTS,
    initializationOptions,
    diagnosticPullOptions: { onChange: true, onFocus: true },
    outputChannelName: 'Afterclap',
    middleware: READ_ONLY_MIDDLEWARE,
  });
  context.subscriptions.push(
    answerFileRequests(client),
    showStatus(client),
    registerCommands(client, { canMeasure: commandLine !== null }),
    registerLagCharts(context, client),
    registerClapDesks(context, client, fileRanges),
    registerCommandLineCommands(commandLine),
    registerWelcome(context),
    ...(commandLine === null ? [] : [registerTasks(commandLine)]),
  );
  await client.start();
  return client;
}
