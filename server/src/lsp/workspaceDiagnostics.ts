/**
 * Diagnostics of the whole workspace for clients that ask for them, sent file by file where the client takes parts.
 *
 * Editors ask again as soon as they are answered. So a question that comes when nothing has changed since the last answer
 * is held until something does, or until the client takes it back; a workspace at rest costs nothing.
 */

import {
  type CancellationToken,
  DocumentDiagnosticReportKind,
  type WorkspaceDiagnosticParams,
  type WorkspaceDiagnosticReport,
  type WorkspaceDocumentDiagnosticReport,
} from 'vscode-languageserver';
import { refuseIfCancelled } from './lifeCycle.ts';
import type { Session } from './session.ts';
import { auditedFiles, shownName } from './workspaceFiles.ts';

/** Told of everything that may change findings of documents that nobody is typing in. */
export interface ChangeSignal {
  readonly count: () => number;
  readonly raise: () => void;
  /** Resolves at the next change, or when the request is cancelled. */
  readonly next: (token: CancellationToken) => Promise<void>;
}

/** What a long look at the workspace says of itself. */
export interface ScanProgress {
  readonly begin: (title: string) => void;
  readonly report: (percentage: number, message: string) => void;
  readonly done: () => void;
}

export interface WorkspaceDiagnostics {
  readonly pull: (
    session: Session,
    params: WorkspaceDiagnosticParams,
    token: CancellationToken,
    progress: ScanProgress,
    onPart: ((part: WorkspaceDiagnosticReport) => void) | null,
  ) => Promise<WorkspaceDiagnosticReport>;
}

/** Changes come in bursts. */
const BURST_MS = 300;

export function createChangeSignal(): ChangeSignal {
  let count = 0;
  const waiting = new Set<() => void>();
  return {
    count: () => count,
    raise: () => {
      count += 1;
      for (const wake of [...waiting]) wake();
    },
    next: (token) =>
      new Promise((resolve) => {
        const wake = (): void => {
          waiting.delete(wake);
          listener.dispose();
          resolve();
        };
        const listener = token.onCancellationRequested(wake);
        waiting.add(wake);
      }),
  };
}

export function createWorkspaceDiagnostics(signal: ChangeSignal): WorkspaceDiagnostics {
  let answeredAt: number | null = null;
  /** What was told of: a client may forget the result of a text that was just closed, and go on showing it. */
  const told = new Set<string>();
  return {
    pull: async (session, { previousResultIds }, token, progress, onPart) => {
      // Without word of changes on disk the only way to learn of them is to look.
      const isTold = session.abilities.watchesFiles;
      if (isTold && Array.isArray(previousResultIds) && previousResultIds.length > 0 && answeredAt === signal.count()) {
        await signal.next(token);
        refuseIfCancelled(token);
        await new Promise<void>((resolve) => session.ports.timers.after(BURST_MS, resolve));
      }
      const startedAt = signal.count();
      const report = await scan(session, previousOf(previousResultIds), told, token, progress, onPart);
      answeredAt = startedAt;
      return report;
    },
  };
}

async function scan(
  session: Session,
  previous: ReadonlyMap<string, string>,
  told: Set<string>,
  token: CancellationToken,
  progress: ScanProgress,
  onPart: ((part: WorkspaceDiagnosticReport) => void) | null,
): Promise<WorkspaceDiagnosticReport> {
  progress.begin('Checking timelines');
  try {
    const files = await session.workspace.list(session, token);
    const all: WorkspaceDocumentDiagnosticReport[] = [];
    const left = new Set([...previous.keys(), ...told]);
    const send = (item: WorkspaceDocumentDiagnosticReport): void => {
      if (onPart === null) all.push(item);
      else onPart({ items: [item] });
    };
    for await (const { file, audited, at } of auditedFiles(session, files, token)) {
      left.delete(file.uri);
      told.add(file.uri);
      const open = session.store.get(file.uri);
      const published = session.runs.ofAudited(audited);
      const { resultId } = published;
      const about = { uri: file.uri, version: open?.version ?? null, resultId };
      send(
        previous.get(file.uri) === resultId
          ? { ...about, kind: DocumentDiagnosticReportKind.Unchanged }
          : { ...about, kind: DocumentDiagnosticReportKind.Full, items: [...published.items] },
      );
      progress.report(Math.round((100 * (at + 1)) / files.length), `${at + 1} of ${files.length}, ${shownName(file.uri)}`);
    }
    // Files that were there before and are gone have no findings any more.
    for (const uri of left) {
      send({ uri, version: null, kind: DocumentDiagnosticReportKind.Full, items: [] });
      told.delete(uri);
    }
    return { items: all };
  } finally {
    progress.done();
  }
}

/** Clients are untrusted: a list of anything else counts as none. */
function previousOf(ids: unknown): ReadonlyMap<string, string> {
  const known = new Map<string, string>();
  if (!Array.isArray(ids)) return known;
  for (const id of ids as readonly { readonly uri?: unknown; readonly value?: unknown }[]) {
    if (typeof id?.uri === 'string' && typeof id.value === 'string') known.set(id.uri, id.value);
  }
  return known;
}
