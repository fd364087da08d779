/**
 * Diagnostics for clients that do not ask for them.
 *
 * A document has at most one run waiting; a newer text takes its place. What is shown stays until the next result is there:
 * an empty set is sent only when a document is closed. Runs of several documents take turns with the client's messages.
 */

import type { Connection } from 'vscode-languageserver';
import type { LifeCycle } from './lifeCycle.ts';
import type { Session } from './session.ts';
import { tell } from './tell.ts';

export interface Pusher {
  /** Runs the document as soon as its pause is over. */
  readonly schedule: (uri: string) => void;
  /** Takes back what waits, and clears what is shown. */
  readonly clear: (uri: string) => void;
}

export function createPusher(session: Session, connection: Connection, lifeCycle: LifeCycle): Pusher {
  const { ports, store, runs, schedule, abilities } = session;
  const waiting = new Map<string, () => void>();
  let queue: Promise<void> = Promise.resolve();

  const run = async (uri: string): Promise<void> => {
    const document = store.get(uri);
    if (document === null || waiting.has(uri)) return;
    const published = await runs.of(document);
    if (published === null || store.get(uri) !== document) return;
    const version = abilities.takesDiagnosticVersion ? { version: document.version } : {};
    await connection.sendDiagnostics({ uri, ...version, diagnostics: [...published.items] });
    await ports.timers.yieldNow();
  };

  return {
    schedule: (uri) => {
      waiting.get(uri)?.();
      const takeBack = ports.timers.after(schedule.waitFor(uri), () => {
        waiting.delete(uri);
        queue = queue.then(() => run(uri)).catch((error: unknown) => lifeCycle.reportBug('Checking a timeline', error));
      });
      waiting.set(uri, takeBack);
    },
    clear: (uri) => {
      waiting.get(uri)?.();
      waiting.delete(uri);
      tell(connection.sendDiagnostics({ uri, diagnostics: [] }));
    },
  };
}
