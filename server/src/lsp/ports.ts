/**
 * What the server needs of the platform it runs on. The Node and the browser entry each bring one; tests bring fakes.
 */

import type { FileSystem } from '../project/fileSystem.ts';
import type { MakeRecordings } from '../sound/desk/recordings.ts';

export interface Timers {
  /** Milliseconds from some fixed instant; never goes back. */
  readonly now: () => number;
  /** Calls back after `milliseconds`; the answer takes the call back. */
  readonly after: (milliseconds: number, callback: () => void) => () => void;
  /** Lets waiting messages in: resolves once the platform has looked at its input. */
  readonly yieldNow: () => Promise<void>;
}

export interface Ports {
  readonly timers: Timers;
  /** Files the server can reach itself, by path; null where it can't reach any, as in a browser. */
  readonly localFiles: FileSystem | null;
  /** Loads the sound engine: the clap desk alone needs it. `address` of its script, as the client says; Node knows its own. */
  readonly soundEngine: (address: string | null) => Promise<MakeRecordings>;
  /** Address of the folder that holds a page per finding code; null when there is none. */
  readonly documentationUri: string | null;
}
