/**
 * What server and client say to each other where an editor shows each timeline as a test: names and shapes, nothing else. The client
 * may import this file.
 *
 * Both questions are the client's, either may be taken back, and the server remembers nothing of them.
 */

import type { TimelineStatus } from './messages.ts';

/** Client to server: `{}`, answered with the URIs of all timelines of the workspace, those that are open among them. */
export const TIMELINES_REQUEST = 'afterclap/timelines';

/** Client to server: `{ uri }`, answered with a `TimelineCheck`. The text of an open timeline counts as it stands. */
export const CHECK_TIMELINE_REQUEST = 'afterclap/checkTimeline';

export type TimelineCheck =
  | {
      readonly isRead: true;
      readonly status: TimelineStatus;
      /** What became of all comparisons, as one line. */
      readonly summary: string;
      /** The findings, a list of the protocol's `Diagnostic`. */
      readonly findings: readonly unknown[];
    }
  /** Why the file can't be read, as the rest of a sentence that begins with its name. */
  | { readonly isRead: false; readonly reason: string };
