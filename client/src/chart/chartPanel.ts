/**
 * One lag chart in its panel: hands the server's data to the page, and does for the page what only the editor can.
 *
 * It keeps the last answer and nothing else. While the panel is hidden it follows nothing, so that a chart in the background
 * costs nothing; a page that comes back is built anew and asks again.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import {
  type ClipPlace,
  LAG_CHART_CLOSED_NOTIFICATION,
  LAG_CHART_REQUEST,
  type LagChartAnswer,
  type LagChartParams,
  type WireSpan,
} from '../../../server/src/lsp/lagChartMessages.ts';
import { fillPanel } from '../pages/panelPage.ts';
import type { FromPage, ToPage } from './chartMessages.ts';

export interface ChartPanel {
  readonly show: (answer: LagChartAnswer) => void;
  /** Asks the server for the chart and to be told of changes. */
  readonly follow: () => void;
  readonly reveal: () => void;
}

export interface ChartPanelInput {
  readonly panel: vscode.WebviewPanel;
  /** Of the timeline. */
  readonly uri: vscode.Uri;
  readonly client: BaseLanguageClient;
  readonly extensionUri: vscode.Uri;
}

export function openChartPanel({ panel, uri, client, extensionUri }: ChartPanelInput): ChartPanel {
  const name = uri.path.slice(uri.path.lastIndexOf('/') + 1);
  const wireUri = client.code2ProtocolConverter.asUri(uri);
  let last: LagChartAnswer | null = null;
  let isPageReady = false;

  const send = (message: ToPage): void => {
    if (isPageReady) void panel.webview.postMessage(message);
  };
  const show = (answer: LagChartAnswer): void => {
    last = answer;
    send({ kind: 'chart', chart: answer.chart, version: answer.version });
    showCaret();
  };
  const showCaret = (): void => {
    if (last !== null) send({ kind: 'caret', clips: clipsAtCaret(uri, last) });
  };
  const ask = async (): Promise<LagChartAnswer | null> => {
    const params: LagChartParams = { uri: wireUri, isFollowed: true };
    return client.sendRequest<LagChartAnswer | null>(LAG_CHART_REQUEST, params);
  };
  const follow = async (): Promise<void> => {
    if (!isPageReady || !panel.visible) return;
    if (client.state !== State.Running) {
      send({ kind: 'notice', words: 'The server is not running. The chart comes back with it.', canOpen: false });
      return;
    }
    try {
      const answer = await ask();
      if (answer !== null) show(answer);
      else send({ kind: 'notice', words: `${name} is not open. Its chart follows the text while it is.`, canOpen: true });
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      send({ kind: 'notice', words: `There is no chart: ${reason}`, canOpen: true });
    }
  };
  const unfollow = (): void => {
    if (client.state === State.Running) void client.sendNotification(LAG_CHART_CLOSED_NOTIFICATION, { uri: wireUri });
  };

  const onPageMessage = async (message: FromPage): Promise<void> => {
    switch (message.kind) {
      case 'ready':
        isPageReady = true;
        return follow();
      case 'open':
        await openTimeline(uri, panel);
        return follow();
      case 'reveal':
        return revealClip(message.clip, message.version);
      case 'export':
        return saveChart(uri, message.svg);
    }
  };
  const revealClip = async (clip: number, version: number): Promise<void> => {
    const editor = await openTimeline(uri, panel);
    const known = last;
    if (known === null) return;
    const isCurrent = known.version === version && editor.document.version === version;
    const place = isCurrent ? known.places[clip] : await placeInNewText(known, clip);
    if (place === undefined) {
      void vscode.window.setStatusBarMessage('Afterclap: that clip is no longer in the text.', 5000);
      return;
    }
    select(editor, place);
  };
  /** The text has moved on since the chart was drawn: the clip is looked for by name and place on the record. */
  const placeInNewText = async (drawn: LagChartAnswer, clip: number): Promise<ClipPlace | undefined> => {
    const wanted = drawn.chart.clips[clip];
    const fresh = await ask();
    if (fresh === null || wanted === undefined) return undefined;
    show(fresh);
    const named = fresh.chart.clips.map(({ name: other }, at) => ({ other, at })).filter(({ other }) => other === wanted.name);
    const same =
      named.find(({ at }) => fresh.chart.clips[at]?.start === wanted.start) ?? (named.length === 1 ? named[0] : undefined);
    return same === undefined ? undefined : fresh.places[same.at];
  };

  const listeners = vscode.Disposable.from(
    panel.webview.onDidReceiveMessage(onPageMessage),
    panel.onDidChangeViewState(() => {
      // A hidden page is thrown away; the one that takes its place says when it is ready. Being in front or not changes nothing.
      if (panel.visible || !isPageReady) return;
      isPageReady = false;
      unfollow();
    }),
    vscode.window.onDidChangeTextEditorSelection(({ textEditor }) => {
      if (isSame(textEditor.document.uri, uri)) showCaret();
    }),
    vscode.workspace.onDidOpenTextDocument((document) => {
      if (isSame(document.uri, uri)) void follow();
    }),
    vscode.workspace.onDidCloseTextDocument((document) => {
      if (isSame(document.uri, uri)) void follow();
    }),
  );
  panel.onDidDispose(() => {
    listeners.dispose();
    unfollow();
  });
  fillPanel(panel, extensionUri, { bundle: 'chart', title: 'Lag chart', uri });

  return {
    show: (answer) => {
      if (panel.visible) show(answer);
    },
    follow: () => void follow(),
    reveal: () => panel.reveal(undefined, false),
  };
}

/** The editor of the timeline: one that is visible, else a new one beside the chart. */
async function openTimeline(uri: vscode.Uri, panel: vscode.WebviewPanel): Promise<vscode.TextEditor> {
  const visible = vscode.window.visibleTextEditors.find(({ document }) => isSame(document.uri, uri));
  if (visible !== undefined) return visible;
  const document = await vscode.workspace.openTextDocument(uri);
  const column = panel.viewColumn === vscode.ViewColumn.One ? vscode.ViewColumn.Beside : vscode.ViewColumn.One;
  return vscode.window.showTextDocument(document, { viewColumn: column, preserveFocus: true });
}

/** The focus stays in the chart, so that keys go on there; the text is shown, and its caret set, beside it. */
function select(editor: vscode.TextEditor, { number, clip }: ClipPlace): void {
  const range = rangeOf(number);
  editor.selection = new vscode.Selection(range.start, range.end);
  const isTall = clip[2] - clip[0] > 40;
  editor.revealRange(isTall ? range : rangeOf(clip), vscode.TextEditorRevealType.InCenterIfOutsideViewport);
}

async function saveChart(uri: vscode.Uri, svg: string): Promise<void> {
  const target = await vscode.window.showSaveDialog({
    title: 'Save the lag chart',
    defaultUri: uri.with({ path: `${uri.path.replace(/\.[^./]*$/, '')}.lag-chart.svg` }),
    filters: { 'SVG picture': ['svg'] },
  });
  if (target === undefined) return;
  try {
    await vscode.workspace.fs.writeFile(target, new TextEncoder().encode(svg));
    void vscode.window.setStatusBarMessage(`Afterclap: saved ${target.path.slice(target.path.lastIndexOf('/') + 1)}.`, 5000);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    await vscode.window.showErrorMessage(`The chart was not saved: ${reason}`);
  }
}

/** Clips of the chart under the caret; none while the text has moved on, since their places are not known then. */
function clipsAtCaret(uri: vscode.Uri, { places, version }: LagChartAnswer): readonly number[] {
  const editor = vscode.window.visibleTextEditors.find(({ document }) => isSame(document.uri, uri));
  if (editor === undefined || editor.document.version !== version) return [];
  const { line, character } = editor.selection.active;
  const found: number[] = [];
  for (const [at, { clip }] of places.entries()) {
    const [startLine, startCharacter, endLine, endCharacter] = clip;
    const isAfterStart = line > startLine || (line === startLine && character >= startCharacter);
    const isBeforeEnd = line < endLine || (line === endLine && character <= endCharacter);
    if (isAfterStart && isBeforeEnd) found.push(at);
  }
  return found;
}

function rangeOf([startLine, startCharacter, endLine, endCharacter]: WireSpan): vscode.Range {
  return new vscode.Range(startLine, startCharacter, endLine, endCharacter);
}

function isSame(left: vscode.Uri, right: vscode.Uri): boolean {
  return left.toString() === right.toString();
}
