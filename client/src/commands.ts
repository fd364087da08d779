/**
 * The commands of the manifest. Each asks the server and shows its answer.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import {
  ACCEPT_REQUEST,
  type AcceptArgument,
  type AcceptRequestParams,
  type EditAnswer,
  type FileLink,
  STATUS_REQUEST,
  type TimelineStatus,
} from '../../server/src/lsp/messages.ts';
import type { CommandLine } from './commandLine/commandLine.ts';
import type { CommandLineHost } from './commandLine/offer.ts';
import { measureFolder } from './measure/measureFolder.ts';
import type { MeasureAnswers } from './measure/measureQuestions.ts';
import { readOnlyReason } from './readOnly.ts';
import { createCommitReviews } from './review/compareWithCommit.ts';
import { timelineFor } from './timelines.ts';
import { type FixAnswers, fixWorkspace } from './workspaceFixes.ts';

interface CommandAbilities {
  /** Recordings can be measured: not in a browser. */
  readonly canMeasure: boolean;
}

export function registerCommands(client: BaseLanguageClient, abilities: CommandAbilities): vscode.Disposable {
  const { registerCommand } = vscode.commands;
  return vscode.Disposable.from(
    registerCommand('afterclap.showReport', () => showReport(client, abilities)),
    registerCommand('afterclap.openReport', () => openReport(client, abilities)),
    registerCommand('afterclap.fixAllSafe', () => fixAllSafe()),
    registerCommand('afterclap.fixAllSafeInWorkspace', (code?: string, answers?: FixAnswers) =>
      fixWorkspace(client, code ?? null, answers),
    ),
    registerCommand('afterclap.acceptWithReason', (argument: AcceptArgument) => acceptWithReason(client, argument)),
    registerCommand('afterclap.restart', () => restart(client)),
  );
}

/** Those that run our command line; where there is none they say why. */
export function registerCommandLineCommands(commandLine: CommandLine | null): vscode.Disposable {
  const output = vscode.window.createOutputChannel('Afterclap: Measure and Compare');
  const host: CommandLineHost = { commandLine, output };
  const reviews = createCommitReviews(host);
  const { registerCommand } = vscode.commands;
  return vscode.Disposable.from(
    output,
    reviews,
    registerCommand('afterclap.measureFolder', (folder?: vscode.Uri, _selected?: unknown, answers?: MeasureAnswers) =>
      measureFolder(host, folder, answers),
    ),
    registerCommand('afterclap.compareWithCommit', (timeline?: vscode.Uri) => reviews.compare(timeline)),
  );
}

async function restart(client: BaseLanguageClient): Promise<void> {
  try {
    // One that never started can't be stopped; starting it again says why it did not.
    if (client.state !== State.StartFailed) await client.stop();
    await client.start();
  } catch (error) {
    const reload = 'Load the Window Anew';
    const reason = error instanceof Error ? error.message : String(error);
    if ((await vscode.window.showErrorMessage(`The server could not be started again: ${reason}`, reload)) === reload) {
      await vscode.commands.executeCommand('workbench.action.reloadWindow');
    }
  }
}

async function showReport(client: BaseLanguageClient, { canMeasure }: CommandAbilities): Promise<void> {
  const status = await statusOfTimeline(client);
  if (status === null) return;
  const openReports = status.reports.map((link) => ({ title: `Open ${link.label}`, run: () => open(link) }));
  const { settings } = status;
  const openSettings = settings === null ? [] : [{ title: `Open ${settings.label}`, run: () => open(settings) }];
  // Without a report, making one is the way on, where there are programs to make it with.
  const measure = { title: 'Measure Recordings...', run: () => vscode.commands.executeCommand('afterclap.measureFolder') };
  const ways = [...openReports.slice(0, 3), ...openSettings, ...(status.reports.length === 0 && canMeasure ? [measure] : [])];
  const chosen = await vscode.window.showInformationMessage(status.reportReason, ...ways);
  await chosen?.run();
}

async function openReport(client: BaseLanguageClient, abilities: CommandAbilities): Promise<void> {
  const status = await statusOfTimeline(client);
  if (status === null) return;
  const [first, second] = status.reports;
  if (first === undefined) {
    await showReport(client, abilities);
    return;
  }
  if (second === undefined) {
    await open(first);
    return;
  }
  const chosen = await vscode.window.showQuickPick(
    status.reports.map((link) => ({ label: link.label, link })),
    { placeHolder: 'Several reports serve this timeline' },
  );
  if (chosen !== undefined) await open(chosen.link);
}

async function fixAllSafe(): Promise<void> {
  const document = await timelineFor();
  if (document === null) return;
  const answer = await vscode.commands.executeCommand<EditAnswer | null>('afterclap.applySafeFixes', document.uri.toString());
  if (answer !== null && answer !== undefined) await vscode.window.showInformationMessage(answer.message);
}

async function acceptWithReason(client: BaseLanguageClient, argument: AcceptArgument): Promise<void> {
  const refusal = await readOnlyReason(vscode.Uri.parse(argument.uri));
  if (refusal !== null) {
    await vscode.window.showInformationMessage(`Nothing can be accepted: ${refusal}, and the reason is written into it.`);
    return;
  }
  const reason = await vscode.window.showInputBox({
    title: `Accept ${argument.code} on ${argument.subject}`,
    prompt: 'Why is this as it should be? The reason is written into the timeline beside the clip.',
    validateInput: (text) => (text.trim() === '' ? 'An acceptance needs a reason.' : null),
  });
  if (reason === undefined) return;
  const params: AcceptRequestParams = { ...argument, reason: reason.trim() };
  const answer = await client.sendRequest<EditAnswer>(ACCEPT_REQUEST, params);
  const edit = await client.protocol2CodeConverter.asWorkspaceEdit(answer.edit as null);
  if (edit === undefined || edit === null) await vscode.window.showInformationMessage(answer.message);
  else await vscode.workspace.applyEdit(edit);
}

async function statusOfTimeline(client: BaseLanguageClient): Promise<TimelineStatus | null> {
  const document = await timelineFor();
  if (document === null) return null;
  const params = { uri: client.code2ProtocolConverter.asUri(document.uri) };
  const status = await client.sendRequest<TimelineStatus | null>(STATUS_REQUEST, params);
  if (status === null) {
    await vscode.window.showInformationMessage(
      'This text is no timeline that can be checked: neither its name nor its first lines say so.',
    );
  }
  return status;
}

async function open(link: FileLink): Promise<void> {
  await vscode.window.showTextDocument(vscode.Uri.parse(link.uri));
}
