/**
 * The tests of the editor's own view of them: one for each timeline that the server finds, by folders, kept as the files come and go.
 *
 * Nothing is asked for or watched before the view is looked at. A list that was made anew keeps what stands behind the names; the
 * results themselves the editor keeps, by the identifiers of the tests. What stands there is part of the label, because the editor
 * reads out a description in place of the label, and then nobody hears which file it is.
 *
 * Invariants
 * - What was found of a text or of its report is out of date as soon as either changes, saved or not, and is shown so.
 * - Tests are known by their identifiers: a tree that was made anew has other objects.
 */

import * as vscode from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import { TIMELINES_REQUEST } from '../../../server/src/lsp/timelineTestMessages.ts';
import { SIDE_FILE_PATTERNS, TIMELINE_PATTERNS } from '../../../server/src/lsp/watchedPatterns.ts';
import { type ListedTimeline, type TreeNode, timelineTree } from './timelineTree.ts';

/** Files come and go in bursts. */
const BURST_MS = 250;

export interface TimelineList {
  /** Asks the server, and makes the tree anew where it differs. */
  readonly look: (token?: vscode.CancellationToken) => Promise<void>;
  /** Looks where nobody looked before. */
  readonly lookOnce: () => Promise<void>;
  readonly itemNamed: (id: string) => vscode.TestItem | undefined;
  /** Puts a few words behind the name of a timeline; null takes them away. */
  readonly say: (id: string, words: string | null) => void;
  /** Shows what was found of them as out of date. */
  readonly invalidate: (ids: readonly string[]) => void;
  /** Names of the timelines that a run is asked for. */
  readonly timelinesOf: (request: vscode.TestRunRequest) => readonly string[];
  /** Told of timelines whose result may be another one now. */
  readonly onOutdated: vscode.Event<readonly string[]>;
  readonly dispose: () => void;
}

export function createTimelineList(controller: vscode.TestController, client: BaseLanguageClient): TimelineList {
  const items = new Map<string, vscode.TestItem>();
  /** Of each timeline, the name of its file. */
  const timelines = new Map<string, string>();
  const said = new Map<string, string>();
  const outdated = new vscode.EventEmitter<readonly string[]>();
  const subscriptions: vscode.Disposable[] = [outdated];
  let first: Promise<void> | null = null;
  let shown = '';
  let lookCount = 0;
  let shownCount = 0;
  let waiting: ReturnType<typeof setTimeout> | undefined;

  const look = async (token?: vscode.CancellationToken): Promise<void> => {
    lookCount += 1;
    const count = lookCount;
    try {
      // A token that is not there would be sent as a parameter.
      const uris = await (token === undefined
        ? client.sendRequest<readonly string[]>(TIMELINES_REQUEST, {})
        : client.sendRequest<readonly string[]>(TIMELINES_REQUEST, {}, token));
      // The answer to a later question is the later one, whichever comes first.
      if (count < shownCount) return;
      shownCount = count;
      show(uris.flatMap(listed));
    } catch (error) {
      // What the view shows is left as it was; a server that comes back is asked again.
      if (token?.isCancellationRequested === true) return;
      // Of a server that does not run the status tells.
      client.error('The timelines could not be listed.', error, client.isRunning());
    }
  };
  const lookSoon = (): void => {
    clearTimeout(waiting);
    waiting = setTimeout(look, BURST_MS);
  };

  const show = (found: readonly ListedTimeline[]): void => {
    const tree = timelineTree(found, (vscode.workspace.workspaceFolders ?? []).length > 1);
    const text = JSON.stringify(tree);
    if (text === shown) return;
    const isFirst = shown === '';
    shown = text;
    const known = new Set(timelines.keys());
    items.clear();
    timelines.clear();
    controller.items.replace(tree.map(itemOf));
    const added = [...timelines.keys()].filter((id) => !known.has(id));
    for (const id of known) if (!timelines.has(id)) said.delete(id);
    if (!isFirst && added.length > 0) outdated.fire(added);
  };
  const itemOf = (node: TreeNode): vscode.TestItem => {
    const { kind, id, label } = node;
    const item = controller.createTestItem(id, label, kind === 'folder' ? undefined : vscode.Uri.parse(id));
    item.sortText = `${kind === 'folder' ? 1 : 2} ${label}`;
    items.set(id, item);
    if (kind === 'folder') {
      item.children.replace(node.children.map(itemOf));
    } else {
      timelines.set(id, label);
      say(id, said.get(id) ?? null);
    }
    return item;
  };
  const say = (id: string, words: string | null): void => {
    const [item, name] = [items.get(id), timelines.get(id)];
    if (item === undefined || name === undefined) return;
    if (words === null) said.delete(id);
    else said.set(id, words);
    item.label = words === null ? name : `${name}: ${words}`;
  };

  const invalidate = (ids: readonly string[]): void => {
    const known = ids.filter((id) => said.has(id));
    for (const id of known) say(id, null);
    if (known.length > 0) controller.invalidateTestResults(known.flatMap((id) => items.get(id) ?? []));
  };
  /** Null for all of them. */
  const markOutdated = (uri: vscode.Uri | null): void => {
    const ids = [...timelines.keys()].filter((id) => uri === null || id === uri.toString());
    if (ids.length === 0) return;
    invalidate(ids);
    outdated.fire(ids);
  };
  const follow = (): void => {
    const unsaved = new Set<string>();
    const all = (): void => markOutdated(null);
    // Programs write a file anew by putting another one in its place.
    const created = (uri: vscode.Uri): void => {
      lookSoon();
      if (!isOpen(uri)) markOutdated(uri);
    };
    const isListed = (place: string): boolean => [...timelines.keys()].some((id) => id === place || id.startsWith(`${place}/`));
    subscriptions.push(
      ...TIMELINE_PATTERNS.map((pattern) => watch(pattern, { created, changed: markOutdated })),
      ...SIDE_FILE_PATTERNS.map((pattern) => watch(pattern, { created: all, changed: all, deleted: all })),
      // A folder that comes may bring its files before it is watched, one that goes takes them with it; nobody tells of them.
      watch('**', {
        created: async (uri) => {
          if (await isFolder(uri)) lookSoon();
        },
        deleted: (uri) => {
          if (isListed(uri.toString())) lookSoon();
        },
      }),
      vscode.workspace.onDidChangeWorkspaceFolders(lookSoon),
      vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
        if (contentChanges.length === 0) return;
        if (document.isDirty) unsaved.add(document.uri.toString());
        markOutdated(isSideFile(document) ? null : document.uri);
      }),
      vscode.workspace.onDidSaveTextDocument(({ uri }) => unsaved.delete(uri.toString())),
      // A text that is closed without saving is that of the disk again.
      vscode.workspace.onDidCloseTextDocument((document) => {
        if (unsaved.delete(document.uri.toString())) markOutdated(isSideFile(document) ? null : document.uri);
      }),
      client.onDidChangeState(({ newState }) => {
        if (newState === State.Running) lookSoon();
      }),
    );
  };

  const lookOnce = (): Promise<void> => {
    if (first === null) {
      follow();
      first = look();
    }
    return first;
  };
  return {
    look: async (token) => {
      if (first === null) await lookOnce();
      else await look(token);
    },
    lookOnce,
    itemNamed: (id) => items.get(id),
    say,
    invalidate,
    timelinesOf: ({ include, exclude = [] }) => {
      const left = new Set(exclude.map(({ id }) => id));
      const found = new Set<string>();
      const add = ({ id, children }: vscode.TestItem): void => {
        if (left.has(id)) return;
        if (timelines.has(id)) found.add(id);
        for (const [, child] of children) add(child);
      };
      const asked = include === undefined ? [...controller.items].map(([, item]) => item) : include;
      for (const { id } of asked) {
        const item = items.get(id);
        if (item !== undefined) add(item);
      }
      return [...found];
    },
    onOutdated: outdated.event,
    dispose: () => {
      clearTimeout(waiting);
      for (const subscription of subscriptions) subscription.dispose();
    },
  };
}

/** Of a timeline that no folder of the workspace holds, nothing: it is open by itself. */
function listed(uriText: string): readonly ListedTimeline[] {
  const uri = vscode.Uri.parse(uriText);
  const folder = vscode.workspace.getWorkspaceFolder(uri);
  if (folder === undefined) return [];
  const inFolder = uri.path.slice(folder.uri.path.length).split('/');
  const path = inFolder.filter((name) => name !== '');
  return [{ id: uri.toString(), root: folder.uri.toString(), rootLabel: folder.name, path }];
}

interface Watched {
  readonly created?: (uri: vscode.Uri) => unknown;
  readonly changed?: (uri: vscode.Uri) => void;
  readonly deleted?: (uri: vscode.Uri) => void;
}

function watch(pattern: string, { created, changed, deleted }: Watched): vscode.Disposable {
  const watcher = vscode.workspace.createFileSystemWatcher(pattern, !created, !changed, !deleted);
  const subscriptions: vscode.Disposable[] = [watcher];
  if (created !== undefined) subscriptions.push(watcher.onDidCreate(created));
  if (deleted !== undefined) subscriptions.push(watcher.onDidDelete(deleted));
  // Of an open text the editor's own counts, which tells of its changes itself.
  if (changed !== undefined) subscriptions.push(watcher.onDidChange((uri) => (isOpen(uri) ? undefined : changed(uri))));
  return vscode.Disposable.from(...subscriptions);
}

async function isFolder(uri: vscode.Uri): Promise<boolean> {
  try {
    return ((await vscode.workspace.fs.stat(uri)).type & vscode.FileType.Directory) !== 0;
  } catch {
    // Gone again.
    return false;
  }
}

function isOpen(uri: vscode.Uri): boolean {
  return vscode.workspace.textDocuments.some((document) => document.uri.toString() === uri.toString());
}

function isSideFile(document: vscode.TextDocument): boolean {
  return SIDE_FILE_PATTERNS.some((pattern) => vscode.languages.match({ pattern }, document) > 0);
}
