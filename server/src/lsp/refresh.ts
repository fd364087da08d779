/**
 * What happens to timelines when something else that decides their findings changes: a report, the settings.
 *
 * Changes come in bursts (a branch switch touches many files, typing in a report sends a change per key), so they are
 * gathered. Clients that ask for diagnostics are told to ask again; to the others the results are sent. Timelines that the
 * change does not concern come out the same and cost one comparison.
 */

import type { Connection } from 'vscode-languageserver';
import type { ClientAbilities } from './capabilities.ts';
import type { Pusher } from './pushDiagnostics.ts';
import type { Session } from './session.ts';
import { tell } from './tell.ts';

const DISK_PAUSE_MS = 50;
const TYPING_PAUSE_MS = 250;

export interface Refresher {
  /** Something on disk changed. */
  readonly filesChanged: () => void;
  /** The text of an open report or settings file changed, came or went. */
  readonly textChanged: () => void;
}

export function createRefresher(session: Session, connection: Connection, pusher: Pusher | null): Refresher {
  const { abilities, ports, projects, store } = session;
  let takeBack: (() => void) | null = null;
  const refresh = (): void => {
    takeBack = null;
    if (pusher !== null) for (const { uri } of store.all()) pusher.schedule(uri);
    // A client that can't be told to ask again asks when the next change is made, or when the document is shown again.
    else if (abilities.refreshesDiagnostics) tell(connection.languages.diagnostics.refresh());
    refreshDisplay(connection, abilities);
  };
  const after = (milliseconds: number): void => {
    takeBack?.();
    takeBack = ports.timers.after(milliseconds, refresh);
  };
  return {
    filesChanged: () => {
      projects.forget();
      after(DISK_PAUSE_MS);
    },
    textChanged: () => {
      projects.forget();
      after(TYPING_PAUSE_MS);
    },
  };
}

/** Asks for everything drawn into the text again: hints, lenses, colours. */
export function refreshDisplay(connection: Connection, abilities: ClientAbilities): void {
  if (abilities.refreshesHints) tell(connection.languages.inlayHint.refresh());
  if (abilities.refreshesLenses) tell(connection.sendRequest('workspace/codeLens/refresh'));
  if (abilities.refreshesTokens) tell(connection.sendRequest('workspace/semanticTokens/refresh'));
}
