/**
 * One clap desk in its panel: carries the page's questions to the language server, the files and the person, and the answers back.
 *
 * It follows the text of the report while it is seen. What is chosen at the desk lives in the page; the report is changed by an
 * ordinary edit of its text, which can be undone there.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import { bytesOfBase64 } from '../../../server/src/lsp/base64.ts';
import {
  CLAP_DESK_CLAPS_REQUEST,
  CLAP_DESK_MEDIA_REQUEST,
  CLAP_DESK_PEAKS_REQUEST,
  CLAP_DESK_REQUEST,
  CLAP_DESK_SOUND_REQUEST,
  CLAP_DESK_WRITE_REQUEST,
  type DeskAnswer,
  type DeskClapsAnswer,
  type DeskMediaAnswer,
  type DeskParams,
  type DeskPeaksAnswer,
  type DeskSoundAnswer,
  type DeskWriteParams,
} from '../../../server/src/lsp/clapDeskMessages.ts';
import type { EditAnswer } from '../../../server/src/lsp/messages.ts';
import { fillPanel } from '../pages/panelPage.ts';
import { readOnlyReason } from '../readOnly.ts';
import type { AskKind, Asks, FromPage, PagePeaks, ToPage, Wanted } from './deskMessages.ts';
import type { FileRanges } from './fileRanges.ts';
import type { GivenFiles } from './givenFiles.ts';

/** After typing in the report, the desk follows when it pauses this long. */
const FOLLOW_PAUSE_MS = 250;

export interface DeskPanel {
  /** Shows a pair, and the panel. */
  readonly show: (wanted: Wanted) => void;
  /** Asks for the report again. */
  readonly follow: () => void;
  readonly progress: (id: number, share: number) => void;
}

export interface DeskPanelInput {
  readonly panel: vscode.WebviewPanel;
  /** Of the report. */
  readonly uri: vscode.Uri;
  readonly client: BaseLanguageClient;
  readonly extensionUri: vscode.Uri;
  readonly ranges: FileRanges;
  /** Files that persons gave pages; null where the editor reaches the disk itself. */
  readonly given: GivenFiles | null;
  /** Null lets the page remember. */
  readonly wanted: Wanted | null;
  /** Of a search for claps: unlike any other panel's. */
  readonly freshId: () => number;
}

export function openDeskPanel(input: DeskPanelInput): DeskPanel {
  const { panel, uri, client, extensionUri, ranges, given } = input;
  const name = uri.path.slice(uri.path.lastIndexOf('/') + 1);
  const wireUri = client.code2ProtocolConverter.asUri(uri);
  let wanted = input.wanted;
  let isPageReady = false;
  let pause: ReturnType<typeof setTimeout> | undefined;
  const running = new Map<number, { readonly search: number; readonly source: vscode.CancellationTokenSource }>();
  const givenHere = givenTo(given, (message) => send(message));

  const send = (message: ToPage): void => {
    if (isPageReady) void panel.webview.postMessage(message);
  };
  const follow = async (): Promise<void> => {
    if (!isPageReady || !panel.visible) return;
    if (client.state !== State.Running) {
      send({ kind: 'notice', words: 'The server is not running. The desk comes back with it.', canOpen: false });
      return;
    }
    try {
      // Opened without being shown, so that the server sees the text that an edit will go into.
      await vscode.workspace.openTextDocument(uri);
      const params: DeskParams = { uri: wireUri, position: null };
      const answer = await client.sendRequest<DeskAnswer | null>(CLAP_DESK_REQUEST, params);
      if (answer === null) send({ kind: 'notice', words: `${name} can't be read as an alignment report.`, canOpen: true });
      else send({ kind: 'desk', answer, wanted, isGivenFiles: given !== null });
      wanted = null;
    } catch (error) {
      send({ kind: 'notice', words: `There is no report to show: ${reasonOf(error)}`, canOpen: true });
    }
  };
  const cancelAll = (): void => {
    for (const { source } of running.values()) source.cancel();
    running.clear();
  };

  const ask = <Answer>(method: string, params: object, token?: vscode.CancellationToken): Promise<Answer | null> =>
    token === undefined
      ? client.sendRequest<Answer | null>(method, params)
      : client.sendRequest<Answer | null>(method, params, token);
  /** What one kind of question asks of whom. */
  const answers: { readonly [Kind in AskKind]: (ask: Asks[Kind]['ask'], id: number) => Promise<Asks[Kind]['answer']> } = {
    media: async (params) => {
      const found = await ask<DeskMediaAnswer>(CLAP_DESK_MEDIA_REQUEST, { ...params, uri: wireUri });
      if (found === null) return null;
      if (params.role === 'sound' || found.file === null) return { ...found, size: null };
      return { ...found, ...(await ranges.open(found.file)) };
    },
    peaks: async (params) => peaksOf(await ask<DeskPeaksAnswer>(CLAP_DESK_PEAKS_REQUEST, params)),
    sound: async (params) => {
      const found = await ask<DeskSoundAnswer>(CLAP_DESK_SOUND_REQUEST, params);
      return found === null ? null : { start: found.start, samples: floatsOf(found.samples) };
    },
    claps: async (params, id) => {
      const source = new vscode.CancellationTokenSource();
      const search = input.freshId();
      running.set(id, { search, source });
      try {
        const found = await ask<DeskClapsAnswer>(CLAP_DESK_CLAPS_REQUEST, { ...params, id: search }, source.token);
        return found === null ? null : { ...found, peaks: peaksOf(found.peaks) };
      } finally {
        running.delete(id);
        source.dispose();
      }
    },
    bytes: async ({ file, start, end }) => (await ranges.read(file, [{ start, end }]))?.[0] ?? null,
    give: async (file) => givenHere.add(file),
    choose: (params) => chooseFile(uri, params),
    write: (params) => write(params),
  };
  const write = async ({ version, change }: Asks['write']['ask']): Promise<Asks['write']['answer']> => {
    const whyNot = await readOnlyReason(uri);
    if (whyNot !== null) return { isWritten: false, words: `Nothing was written: ${whyNot}.` };
    const params: DeskWriteParams = { uri: wireUri, version, change };
    const answer = await ask<EditAnswer>(CLAP_DESK_WRITE_REQUEST, params);
    const edit = await client.protocol2CodeConverter.asWorkspaceEdit((answer?.edit ?? null) as null);
    if (edit === undefined || edit === null) {
      void follow();
      return { isWritten: false, words: answer?.message ?? 'Nothing was written.' };
    }
    if (!(await vscode.workspace.applyEdit(edit))) {
      void follow();
      return {
        isWritten: false,
        words: 'The editor did not take the edit: the report changed meanwhile. Look again, then write.',
      };
    }
    return {
      isWritten: true,
      words: `Written into ${name}, as text that is not saved yet. Undo in that file takes it back; look and listen once more before you save it.`,
    };
  };

  const onPageMessage = async (message: FromPage): Promise<void> => {
    switch (message.kind) {
      case 'ready':
        // What an earlier page was given went with it.
        givenHere.close();
        isPageReady = true;
        return follow();
      case 'open':
        await showReport(uri, panel);
        return follow();
      case 'bytes':
        givenHere.take(message.id, message.blocks);
        return;
      case 'stop':
        running.get(message.id)?.source.cancel();
        return;
      case 'ask': {
        const { id, about, ask: question } = message;
        const answer = answers[about] as (ask: unknown, id: number) => Promise<unknown>;
        // A question that fails is answered: the page must not wait for ever.
        const value = await answer(question, id).catch(() => null);
        send({ kind: 'answer', id, value });
      }
    }
  };

  const listeners = vscode.Disposable.from(
    panel.webview.onDidReceiveMessage(onPageMessage),
    panel.onDidChangeViewState(() => {
      if (panel.options.retainContextWhenHidden === true) {
        void follow();
        return;
      }
      // A hidden page is thrown away; the one that takes its place says when it is ready.
      if (panel.visible || !isPageReady) return;
      isPageReady = false;
      cancelAll();
    }),
    vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
      if (contentChanges.length === 0 || document.uri.toString() !== uri.toString()) return;
      clearTimeout(pause);
      pause = setTimeout(() => void follow(), FOLLOW_PAUSE_MS);
    }),
    // The editor lets go of texts that nobody looks at; the edit needs one that is open.
    vscode.workspace.onDidCloseTextDocument((document) => {
      if (document.uri.toString() === uri.toString()) void follow();
    }),
  );
  panel.onDidDispose(() => {
    clearTimeout(pause);
    listeners.dispose();
    givenHere.close();
    cancelAll();
  });
  fillPanel(panel, extensionUri, { bundle: 'desk', title: 'Clap desk', uri });

  return {
    show: (next) => {
      // Opened again from nowhere in particular, it goes on with what it shows.
      const isAnything = next.pair !== null || next.picture !== null || next.sound !== null;
      wanted = isAnything ? next : wanted;
      panel.reveal(undefined, false);
      void follow();
    },
    follow: () => void follow(),
    progress: (search, share) => {
      for (const [id, one] of running) if (one.search === search) send({ kind: 'progress', id, share });
    },
  };
}

async function showReport(uri: vscode.Uri, panel: vscode.WebviewPanel): Promise<void> {
  const column = panel.viewColumn === vscode.ViewColumn.One ? vscode.ViewColumn.Beside : vscode.ViewColumn.One;
  const visible = vscode.window.visibleTextEditors.find(({ document }) => document.uri.toString() === uri.toString());
  await vscode.window.showTextDocument(uri, { viewColumn: visible?.viewColumn ?? column, preserveFocus: false });
}

async function chooseFile(report: vscode.Uri, { role, name }: Asks['choose']['ask']): Promise<string | null> {
  const filters: Record<string, string[]> =
    role === 'sound'
      ? { Recordings: ['wav', 'bwf', 'rf64', 'bw64'] }
      : { 'Camera files': ['mov', 'mp4', 'm4v', 'webm', 'mkv', 'mxf', 'wav'], 'All files': ['*'] };
  const chosen = await vscode.window.showOpenDialog({
    title: `Where is ${name}?`,
    openLabel: 'Show at the Desk',
    defaultUri: vscode.Uri.joinPath(report, '..'),
    filters,
  });
  return chosen?.[0]?.toString() ?? null;
}

type Blocks = Awaited<ReturnType<FileRanges['read']>>;

/** What a person gave to this page, until it is closed or loaded anew. */
function givenTo(
  given: GivenFiles | null,
  ask: (message: Extract<ToPage, { kind: 'read' }>) => void,
): {
  readonly add: (file: Asks['give']['ask']) => string | null;
  readonly take: (id: number, blocks: Blocks) => void;
  readonly close: () => void;
} {
  const waiting = new Map<number, (blocks: Blocks) => void>();
  const uris: string[] = [];
  let lastId = 0;
  const take = (id: number, blocks: Blocks): void => {
    waiting.get(id)?.(blocks);
    waiting.delete(id);
  };
  const read: FileRanges['read'] = (file, ranges) =>
    new Promise((resolve) => {
      lastId += 1;
      waiting.set(lastId, resolve);
      ask({ kind: 'read', id: lastId, file, ranges });
    });
  return {
    add: ({ name, size }) => {
      const uri = given?.add({ name, size, read }) ?? null;
      if (uri !== null) uris.push(uri);
      return uri;
    },
    take,
    close: () => {
      for (const uri of uris.splice(0)) given?.remove(uri);
      for (const id of [...waiting.keys()]) take(id, null);
    },
  };
}

function peaksOf(answer: DeskPeaksAnswer | null): PagePeaks | null {
  return answer === null ? null : { ...answer, lows: floatsOf(answer.lows), highs: floatsOf(answer.highs) };
}

/** 32-bit floats out of base64, low byte first as on every machine that runs an editor. */
function floatsOf(base64: string): Float32Array {
  return new Float32Array(bytesOfBase64(base64).buffer);
}

function reasonOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
