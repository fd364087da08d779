/**
 * What the handlers of one connection share. Made when the client initializes; nothing of it outlives the connection.
 */

import type { Recordings } from '../sound/desk/recordings.ts';
import type { Audits } from './audits.ts';
import type { ClientAbilities } from './capabilities.ts';
import type { DiagnosticRuns } from './diagnosticRuns.ts';
import type { DisplaySource } from './display.ts';
import type { Ports } from './ports.ts';
import type { ProjectSource } from './projects.ts';
import type { Schedule } from './schedule.ts';
import type { TextStore } from './textStore.ts';
import type { WorkspaceFiles } from './workspaceFiles.ts';

export interface Session {
  readonly abilities: ClientAbilities;
  readonly ports: Ports;
  readonly store: TextStore;
  readonly projects: ProjectSource;
  readonly audits: Audits;
  readonly schedule: Schedule;
  readonly runs: DiagnosticRuns;
  readonly display: DisplaySource;
  readonly workspace: WorkspaceFiles;
  /** Loaded when it is first asked for; rejects, and is tried again, when it can't be. */
  readonly recordings: () => Promise<Recordings>;
  /** A line in the client's log: a limit that was met, or something that was left out. */
  readonly warn: (message: string) => void;
}
