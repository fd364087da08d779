/**
 * The language server: which message goes where. Only this file and features.ts bind protocol methods.
 *
 * State is held per connection: the open texts, and what can be worked out from them and the files again at any time.
 * Everything a handler needs comes in a `Session`; everything it can't know of the platform comes in the `Ports`.
 */

import {
  type Connection,
  DidChangeConfigurationNotification,
  ErrorCodes,
  FileChangeType,
  type FileEvent,
  type InitializeParams,
  type InitializeResult,
  ResponseError,
} from 'vscode-languageserver';
import { createAudits } from './audits.ts';
import { abilitiesOf, serverCapabilities } from './capabilities.ts';
import { bindClapDesk } from './clapDesk.ts';
import { codeActionsOf } from './codeActions.ts';
import { acceptEdit, executeCommand } from './commands.ts';
import { createDiagnosticRuns } from './diagnosticRuns.ts';
import { createDisplaySource } from './display.ts';
import { createDocumentFiles } from './documentFiles.ts';
import { documentKindOf } from './documentKind.ts';
import { bindFeatures } from './features.ts';
import { hover } from './hover.ts';
import { createLagCharts, type LagCharts } from './lagChart.ts';
import { LAG_CHART_CLOSED_NOTIFICATION, LAG_CHART_REQUEST, type LagChartParams } from './lagChartMessages.ts';
import { createLagsTexts, type LagsTexts } from './lagsText.ts';
import { createLifeCycle } from './lifeCycle.ts';
import {
  ACCEPT_REQUEST,
  type AcceptRequestParams,
  STATUS_NOTIFICATION,
  STATUS_REQUEST,
  type TimelineStatus,
} from './messages.ts';
import type { Ports } from './ports.ts';
import { spanOf } from './positions.ts';
import { createProjectSource } from './projects.ts';
import { pullDiagnostics } from './pullDiagnostics.ts';
import { createPusher, type Pusher } from './pushDiagnostics.ts';
import { createRecordings } from './recordings.ts';
import { createRefresher, type Refresher, refreshDisplay } from './refresh.ts';
import { createSchedule } from './schedule.ts';
import type { Session } from './session.ts';
import { statusOf } from './status.ts';
import { tell } from './tell.ts';
import { createTextStore, type TextChange } from './textStore.ts';
import { bindTimelineTests } from './timelineTests.ts';
import { bindIllFormed } from './tolerantMessages.ts';
import { changesAtOnce, concernsOthers, foldersThatCame, isSameOrInside, watchFiles } from './watching.ts';
import { createChangeSignal } from './workspaceDiagnostics.ts';
import { bindWorkspace, followFolders } from './workspaceFeatures.ts';
import { createWorkspaceFiles } from './workspaceFiles.ts';

interface Running {
  readonly session: Session;
  /** Null for clients that ask for diagnostics themselves. */
  readonly pusher: Pusher | null;
  readonly refresher: Refresher;
  readonly charts: LagCharts;
  readonly lagsTexts: LagsTexts;
}

/** Binds all handlers and listens. Returns at once, with a way to learn whether the client asked for the end. */
export function startServer(
  connection: Connection,
  ports: Ports,
  serverInfo: { name: string; version: string },
): { readonly isShutDown: () => boolean } {
  let running: Running | null = null;
  const lifeCycle = createLifeCycle(connection, () => running?.session.abilities.showsStatus === true);
  const { request, notification } = lifeCycle;
  const changes = createChangeSignal();
  const current = (): Running => {
    if (running === null) throw new ResponseError(ErrorCodes.ServerNotInitialized, 'The server was not initialized yet.');
    return running;
  };

  connection.onInitialize((params): InitializeResult => {
    if (lifeCycle.stage() !== 'starting') {
      throw new ResponseError(ErrorCodes.InvalidRequest, 'The server was initialized before.');
    }
    running = startSession(connection, ports, params, lifeCycle);
    lifeCycle.enter('running');
    return { capabilities: serverCapabilities(running.session.abilities), serverInfo };
  });
  connection.onInitialized(
    notification('Watching files', async () => {
      const { session } = current();
      const { abilities } = session;
      // The library asks the client to register this, which a client that has no answer to 'initialize' yet refuses.
      if (abilities.tellsFolders) followFolders(connection, session, changes);
      if (abilities.watchesFiles) await watchFiles(connection);
      if (abilities.tellsConfiguration) {
        await connection.client.register(DidChangeConfigurationNotification.type, { section: 'afterclap' });
      }
    }),
  );
  connection.onShutdown(() => {
    lifeCycle.refuseUnlessRunning();
    lifeCycle.enter('stopped');
  });
  connection.onRequest((method) => {
    lifeCycle.refuseUnlessRunning();
    throw new ResponseError(ErrorCodes.MethodNotFound, `There is no method '${method}'.`);
  });

  connection.onDidOpenTextDocument(
    notification('Opening a document', ({ textDocument: { uri, languageId, version, text } }) => {
      const { session, pusher, refresher } = current();
      session.store.open(uri, languageId, version, text);
      session.schedule.opened(uri);
      pusher?.schedule(uri);
      if (!decidesOthers(uri)) return;
      changes.raise();
      refresher.textChanged();
    }),
  );
  connection.onDidChangeTextDocument(
    notification('Changing a document', ({ textDocument: { uri, version }, contentChanges }) => {
      const { session, pusher, refresher, charts, lagsTexts } = current();
      const changed = session.store.change(uri, version, contentChanges as readonly TextChange[], session.abilities.columnUnit);
      if (changed === null) return;
      session.schedule.changed(uri);
      pusher?.schedule(uri);
      charts.textChanged(uri);
      lagsTexts.changed(uri);
      if (decidesOthers(uri)) refresher.textChanged();
    }),
  );
  connection.onDidCloseTextDocument(
    notification('Closing a document', ({ textDocument: { uri } }) => {
      const { session, pusher, refresher, charts, lagsTexts } = current();
      session.store.close(uri);
      session.schedule.closed(uri);
      session.projects.closed(uri);
      session.audits.closed(uri);
      pusher?.clear(uri);
      charts.closed(uri);
      lagsTexts.changed(uri);
      changes.raise();
      if (decidesOthers(uri)) refresher.textChanged();
    }),
  );
  connection.onDidSaveTextDocument(
    notification('Saving a document', () => {
      const { session, refresher } = current();
      if (session.abilities.watchesFiles) return;
      changes.raise();
      refresher.filesChanged();
    }),
  );
  connection.onDidChangeWatchedFiles(
    notification('Following a change on disk', async ({ changes: changed }) => {
      const { session, refresher } = current();
      const follow = (events: readonly FileEvent[]): void => {
        if (events.length === 0) return;
        changes.raise();
        for (const { uri: place, type } of events) {
          const inside = session.store.all().filter(({ uri }) => isSameOrInside(uri, place));
          for (const { uri } of inside) session.store.setGone(uri, type === FileChangeType.Deleted);
        }
        if (events.some(({ uri, type }) => concernsOthers(uri, type))) refresher.filesChanged();
      };
      // Before anything is waited for: the next message may tell the contrary.
      follow(changesAtOnce(session, changed));
      follow(await foldersThatCame(session, changed));
    }),
  );

  connection.onDidChangeConfiguration(
    notification('Following changed settings', ({ settings }) => {
      const { session } = current();
      session.display.changed(settings);
      refreshDisplay(connection, session.abilities);
    }),
  );

  bindIllFormed(connection, lifeCycle);
  bindFeatures(connection, lifeCycle, () => current().session);
  bindWorkspace(connection, lifeCycle, () => current().session, changes);
  bindClapDesk(connection, lifeCycle, () => current().session);
  bindTimelineTests(connection, lifeCycle, () => current().session);
  connection.languages.diagnostics.on(
    request('Checking a timeline', (params, token) => pullDiagnostics(current().session, params, token)),
  );
  connection.onHover(request('The hover', (params, token) => hover(current().session, params, token)));
  connection.onCodeAction(
    request('Working out fixes', async ({ textDocument, range, context }) => {
      const { session } = current();
      const document = session.store.get(textDocument.uri);
      const audited = document === null ? null : await session.audits.of(document);
      if (document === null || audited === null || audited.result === null) return [];
      const { abilities } = session;
      const span = spanOf(document.index, range, abilities.columnUnit);
      const hasWorkspace = session.workspace.hasFolders();
      return [...codeActionsOf({ document, result: audited.result, span, context, abilities, hasWorkspace })];
    }),
  );
  connection.onExecuteCommand(request('A command', (params) => executeCommand(current().session, connection, params)));
  connection.onRequest(
    ACCEPT_REQUEST,
    request('Accepting a finding', (params: AcceptRequestParams) => acceptEdit(current().session, params)),
  );
  connection.onRequest(
    STATUS_REQUEST,
    request('The status', async ({ uri }: { readonly uri: string }): Promise<TimelineStatus | null> => {
      const { session } = current();
      const document = session.store.get(uri);
      const audited = document === null ? null : await session.audits.of(document);
      return audited === null ? null : statusOf(audited);
    }),
  );
  connection.onRequest(
    LAG_CHART_REQUEST,
    request('The lag chart', (params: LagChartParams) => current().charts.answer(params)),
  );
  connection.onNotification(
    LAG_CHART_CLOSED_NOTIFICATION,
    notification('Closing a lag chart', ({ uri }: { readonly uri: string }) => current().charts.closed(uri)),
  );
  connection.listen();
  return { isShutDown: () => lifeCycle.stage() === 'stopped' };
}

function startSession(
  connection: Connection,
  ports: Ports,
  params: InitializeParams,
  lifeCycle: ReturnType<typeof createLifeCycle>,
): Running {
  const abilities = abilitiesOf(params);
  const store = createTextStore();
  const schedule = createSchedule(ports.timers);
  const projects = createProjectSource({ connection, ports, abilities, store });
  const audits = createAudits(projects, ports.timers);
  const runs = createDiagnosticRuns({
    audits,
    schedule,
    abilities,
    documentationUri: documentationUriOf(params) ?? ports.documentationUri,
    openClosed: async (uri) => {
      const text = documentKindOf(uri, null) === null ? null : await projects.readText(uri);
      return text === null ? null : createTextStore().open(uri, '', 0, text);
    },
    onAudited: (audited) => {
      const status = abilities.showsStatus ? statusOf(audited) : null;
      if (status !== null) tell(connection.sendNotification(STATUS_NOTIFICATION, status));
    },
  });
  const display = createDisplaySource(connection, ports, abilities);
  const warn = (message: string): void => connection.console.warn(message);
  const files = createDocumentFiles({ store, local: ports.localFiles, connection: abilities.readsFiles ? connection : null });
  const workspace = createWorkspaceFiles(foldersOf(params), files);
  const recordings = createRecordings(connection, ports, abilities);
  const session: Session = { abilities, ports, store, projects, audits, schedule, runs, display, workspace, recordings, warn };
  const pusher = abilities.pullsDiagnostics ? null : createPusher(session, connection, lifeCycle);
  const charts = createLagCharts(session, connection, lifeCycle);
  const lagsTexts = createLagsTexts(session, connection, lifeCycle);
  const refresher = createRefresher(session, connection, pusher);
  return { session, pusher, refresher: alsoTelling(refresher, charts, lagsTexts), charts, lagsTexts };
}

/** What changes findings elsewhere changes charts as well. */
function alsoTelling(refresher: Refresher, ...charts: readonly Pick<LagCharts, 'projectChanged'>[]): Refresher {
  return {
    filesChanged: () => {
      refresher.filesChanged();
      for (const { projectChanged } of charts) projectChanged();
    },
    textChanged: () => {
      refresher.textChanged();
      for (const { projectChanged } of charts) projectChanged();
    },
  };
}

/** Reports and settings decide the findings of other documents. */
function decidesOthers(uri: string): boolean {
  const kind = documentKindOf(uri, null)?.kind;
  return kind === 'alignment' || kind === 'settings';
}

/** The roots of the workspace; clients of all ages send them, untrusted like everything else. */
function foldersOf({ workspaceFolders, rootUri }: InitializeParams): readonly string[] {
  const folders: readonly unknown[] = Array.isArray(workspaceFolders) ? workspaceFolders : [];
  const uris = folders.map((folder) => (folder as { readonly uri?: unknown } | null)?.uri);
  const named = uris.filter((uri): uri is string => typeof uri === 'string');
  return named.length === 0 && typeof rootUri === 'string' ? [rootUri] : named;
}

function documentationUriOf(params: InitializeParams): string | null {
  const options: unknown = params.initializationOptions;
  if (typeof options !== 'object' || options === null) return null;
  const { documentationUri } = options as { readonly documentationUri?: unknown };
  return typeof documentationUri === 'string' ? documentationUri : null;
}
