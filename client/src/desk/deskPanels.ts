/**
 * The clap desks: one for each alignment report, opened on a pair of its text or on a recording, shown again after a restart.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { base64OfBytes } from '../../../server/src/lsp/base64.ts';
import {
  CLAP_DESK_PROGRESS_NOTIFICATION,
  CLAP_DESK_REPORTS_REQUEST,
  CLAP_DESK_REQUEST,
  type DeskAnswer,
  type DeskParams,
  type DeskProgress,
  type DeskReportLink,
  type DeskReportsAnswer,
} from '../../../server/src/lsp/clapDeskMessages.ts';
import { type BytesAnswer, type BytesParams, OPEN_BYTES_REQUEST, READ_BYTES_REQUEST } from '../../../server/src/lsp/messages.ts';
import type { PageMemory, Wanted } from './deskMessages.ts';
import { type DeskPanel, openDeskPanel } from './deskPanel.ts';
import { type FileRanges, rangesOf } from './fileRanges.ts';
import { createGivenFiles } from './givenFiles.ts';
import { createWholeFiles } from './wholeFiles.ts';

const PANEL_TYPE = 'afterclap.clapDesk';
const REPORT_NAME = /\.alignment\.json$/i;
const RECORDING_NAME = /\.(wav|bwf|rf64|bw64)$/i;

/** `disk` is null where none can be reached: then a person gives files to the page, which is kept alive while it is hidden. */
export function registerClapDesks(
  context: vscode.ExtensionContext,
  client: BaseLanguageClient,
  disk: FileRanges | null,
): vscode.Disposable {
  const panels = new Map<string, DeskPanel>();
  const given = createGivenFiles();
  const whole = createWholeFiles();
  const ranges = rangesOf({ disk, given, whole });
  let lastId = 0;
  const freshId = (): number => {
    lastId += 1;
    return lastId;
  };
  const options: vscode.WebviewPanelOptions & vscode.WebviewOptions = {
    enableScripts: true,
    localResourceRoots: [vscode.Uri.joinPath(context.extensionUri, 'dist')],
    retainContextWhenHidden: disk === null,
  };
  const adopt = (panel: vscode.WebviewPanel, uri: vscode.Uri, wanted: Wanted | null): void => {
    const key = uri.toString();
    panel.webview.options = options;
    panel.onDidDispose(() => {
      panels.delete(key);
      if (panels.size === 0) whole.forget();
    });
    const { extensionUri } = context;
    const files = { ranges, given: disk === null ? given : null };
    panels.set(key, openDeskPanel({ panel, uri, client, extensionUri, ...files, wanted, freshId }));
  };
  const open = async (resource?: unknown): Promise<void> => {
    const place = resource instanceof vscode.Uri ? resource : placeInFront();
    const target = place === undefined ? null : await targetOf(client, place);
    if (place === undefined) {
      await vscode.window.showInformationMessage(
        'Open an alignment report (*.alignment.json) and put the caret on a pair, or start from a WAV file in the explorer.',
      );
    }
    if (target === null) return;
    const known = panels.get(target.uri.toString());
    if (known !== undefined) {
      known.show(target.wanted);
      return;
    }
    const isTextInFront = vscode.window.activeTextEditor !== undefined;
    const column = { viewColumn: isTextInFront ? vscode.ViewColumn.Beside : vscode.ViewColumn.Active, preserveFocus: false };
    adopt(vscode.window.createWebviewPanel(PANEL_TYPE, 'Clap desk', column, options), target.uri, target.wanted);
  };
  return vscode.Disposable.from(
    vscode.commands.registerCommand('afterclap.openClapDesk', open),
    vscode.window.registerWebviewPanelSerializer(PANEL_TYPE, {
      deserializeWebviewPanel: async (panel: vscode.WebviewPanel, memory: PageMemory | undefined): Promise<void> => {
        if (memory === undefined || memory.uri === '') panel.dispose();
        else adopt(panel, vscode.Uri.parse(memory.uri), null);
      },
    }),
    client.onRequest(OPEN_BYTES_REQUEST, ({ uri }: { readonly uri: string }): Promise<BytesAnswer> => ranges.open(uri)),
    client.onRequest(READ_BYTES_REQUEST, async ({ uri, ranges: wanted }: BytesParams): Promise<readonly string[] | null> => {
      // What the server still asks for when the last desk was closed would be kept for nobody.
      const blocks = panels.size === 0 ? null : await ranges.read(uri, wanted);
      return blocks === null ? null : blocks.map(base64OfBytes);
    }),
    client.onNotification(CLAP_DESK_PROGRESS_NOTIFICATION, ({ id, share }: DeskProgress) => {
      for (const panel of panels.values()) panel.progress(id, share);
    }),
    client.onDidChangeState(() => {
      for (const panel of panels.values()) panel.follow();
    }),
  );
}

/** The text in front, or the file of a tab that is no text: a recording that the editor can't show is one. */
function placeInFront(): vscode.Uri | undefined {
  const document = vscode.window.activeTextEditor?.document.uri;
  if (document !== undefined) return document;
  const { input } = vscode.window.tabGroups.activeTabGroup.activeTab ?? {};
  return input instanceof vscode.TabInputCustom || input instanceof vscode.TabInputText ? input.uri : undefined;
}

async function targetOf(
  client: BaseLanguageClient,
  place: vscode.Uri,
): Promise<{ readonly uri: vscode.Uri; readonly wanted: Wanted } | null> {
  if (REPORT_NAME.test(place.path)) return { uri: place, wanted: await wantedAtCaret(client, place) };
  if (RECORDING_NAME.test(place.path)) return targetOfRecording(client, place);
  await vscode.window.showInformationMessage(
    'The clap desk opens on an alignment report (*.alignment.json) or on a WAV file that a report names.',
  );
  return null;
}

async function wantedAtCaret(client: BaseLanguageClient, report: vscode.Uri): Promise<Wanted> {
  const editor = vscode.window.visibleTextEditors.find(({ document }) => document.uri.toString() === report.toString());
  const nothing: Wanted = { pair: null, picture: null, sound: null };
  if (editor === undefined) return nothing;
  const position = client.code2ProtocolConverter.asPosition(editor.selection.active);
  const params: DeskParams = { uri: client.code2ProtocolConverter.asUri(report), position };
  const answer = await client.sendRequest<DeskAnswer | null>(CLAP_DESK_REQUEST, params);
  return { ...nothing, pair: answer?.pairAtCaret ?? null };
}

async function targetOfRecording(
  client: BaseLanguageClient,
  place: vscode.Uri,
): Promise<{ readonly uri: vscode.Uri; readonly wanted: Wanted } | null> {
  const uri = client.code2ProtocolConverter.asUri(place);
  const { reports, words } = await client.sendRequest<DeskReportsAnswer>(CLAP_DESK_REPORTS_REQUEST, { uri });
  const [first, second] = reports;
  if (first === undefined) {
    await vscode.window.showInformationMessage(words);
    return null;
  }
  const chosen = second === undefined ? first : await pickReport(reports);
  if (chosen === undefined) return null;
  const wanted: Wanted = { pair: null, picture: null, sound: null, [chosen.role]: chosen.key };
  return { uri: vscode.Uri.parse(chosen.uri), wanted };
}

async function pickReport(reports: readonly DeskReportLink[]): Promise<DeskReportLink | undefined> {
  const chosen = await vscode.window.showQuickPick(
    reports.map((link) => ({ label: link.label, description: link.key, link })),
    { placeHolder: 'Several reports name this recording' },
  );
  return chosen?.link;
}
