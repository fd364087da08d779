/**
 * The extension without its host: what the desktop and the browser share.
 *
 * It starts the server, shows which report is used, and offers the commands of the manifest. It knows nothing of formats,
 * reports or findings; whatever is shown comes from the server as text.
 */

import * as vscode from 'vscode';
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
import { registerTimelineTests } from './tests/timelineTests.ts';
import { TIMELINE_DOCUMENTS } from './timelines.ts';
import { registerWelcome } from './welcome/welcome.ts';

/** Languages and files that the server is told about. */
const DOCUMENTS = [...TIMELINE_DOCUMENTS, { pattern: '**/*.alignment.json' }, { pattern: '**/afterclap.json' }];

/** `commandLine` is null where no process can be started, `disk` where none can be reached. */
export async function runExtension(
  context: vscode.ExtensionContext,
  createClient: (options: LanguageClientOptions) => BaseLanguageClient,
  commandLine: CommandLine | null,
  disk: FileRanges | null,
): Promise<BaseLanguageClient> {
  const initializationOptions: ClientOptions = {
    showsStatus: true,
    asksForReason: true,
    asksBeforeFixing: true,
    readsFiles: true,
    readsBytes: true,
    ...(disk === null ? { soundEngineUri: soundEngineIn(context.extensionUri) } : {}),
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
    registerClapDesks(context, client, disk),
    registerCommandLineCommands(commandLine),
    registerWelcome(context),
    registerTimelineTests(client),
    ...(commandLine === null ? [] : [registerTasks(commandLine)]),
  );
  await client.start();
  return client;
}

/** A server in a worker can't know where its own script lies, and so not what lies beside it. */
function soundEngineIn(extensionUri: vscode.Uri): string {
  return vscode.Uri.joinPath(extensionUri, 'dist', 'browser', 'recordings.js').toString(true);
}
