/**
 * The lag charts beside their timelines: one for each timeline, opened by command, shown again after a restart.
 */

import * as vscode from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { LAG_CHART_NOTIFICATION, type LagChartAnswer } from '../../../server/src/lsp/lagChartMessages.ts';
import { timelineFor } from '../timelines.ts';
import type { PageMemory } from './chartMessages.ts';
import { type ChartPanel, openChartPanel } from './chartPanel.ts';

const PANEL_TYPE = 'afterclap.lagChart';

export function registerLagCharts(context: vscode.ExtensionContext, client: BaseLanguageClient): vscode.Disposable {
  const panels = new Map<string, ChartPanel>();
  const options: vscode.WebviewPanelOptions & vscode.WebviewOptions = {
    enableScripts: true,
    localResourceRoots: [vscode.Uri.joinPath(context.extensionUri, 'dist')],
  };
  const adopt = (panel: vscode.WebviewPanel, uri: vscode.Uri): void => {
    const key = uri.toString();
    panel.webview.options = options;
    panel.onDidDispose(() => panels.delete(key));
    panels.set(key, openChartPanel({ panel, uri, client, extensionUri: context.extensionUri }));
  };
  const open = async (resource?: vscode.Uri): Promise<void> => {
    const document = await timelineFor(resource);
    if (document === null) return;
    const known = panels.get(document.uri.toString());
    if (known !== undefined) {
      known.reveal();
      return;
    }
    const column = { viewColumn: vscode.ViewColumn.Beside, preserveFocus: false };
    adopt(vscode.window.createWebviewPanel(PANEL_TYPE, 'Lag chart', column, options), document.uri);
  };
  return vscode.Disposable.from(
    vscode.commands.registerCommand('afterclap.openLagChart', open),
    vscode.window.registerWebviewPanelSerializer(PANEL_TYPE, {
      deserializeWebviewPanel: async (panel: vscode.WebviewPanel, memory: PageMemory | undefined): Promise<void> => {
        if (memory === undefined || memory.uri === '') panel.dispose();
        else adopt(panel, vscode.Uri.parse(memory.uri));
      },
    }),
    client.onNotification(LAG_CHART_NOTIFICATION, (answer: LagChartAnswer) => {
      panels.get(vscode.Uri.parse(answer.uri).toString())?.show(answer);
    }),
    client.onDidChangeState(() => {
      for (const panel of panels.values()) panel.follow();
    }),
  );
}
