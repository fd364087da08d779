/**
 * When to audit a document: at once when it is opened, a little after the last key press while it is being edited.
 *
 * The pause follows the cost. 150 ms at first, then twice what the last audit of this document took, between 100 ms and
 * 1 s; and no more than 1 s after the first change that still waits, so that steady typing does not starve the findings.
 * Push and pull go through the same pauses.
 */

import type { Timers } from './ports.ts';

const FIRST_PAUSE_MS = 150;
const SHORTEST_PAUSE_MS = 100;
const LONGEST_PAUSE_MS = 1000;

interface Pause {
  /** Instant of the oldest change not yet audited; null when nothing waits. */
  readonly since: number | null;
  readonly dueAt: number;
  readonly lastRunMs: number | null;
}

export interface Schedule {
  readonly opened: (uri: string) => void;
  readonly changed: (uri: string) => void;
  readonly closed: (uri: string) => void;
  /** Records that an audit of the current text took `milliseconds`. */
  readonly ran: (uri: string, milliseconds: number) => void;
  /** Milliseconds to wait before an audit is due; 0 for documents nobody changed. */
  readonly waitFor: (uri: string) => number;
}

export function createSchedule(timers: Timers): Schedule {
  const pauses = new Map<string, Pause>();
  return {
    opened: (uri) => pauses.set(uri, { since: null, dueAt: timers.now(), lastRunMs: null }),
    changed: (uri) => {
      const now = timers.now();
      const { since, lastRunMs } = pauses.get(uri) ?? { since: null, lastRunMs: null };
      const pause = lastRunMs === null ? FIRST_PAUSE_MS : Math.min(Math.max(2 * lastRunMs, SHORTEST_PAUSE_MS), LONGEST_PAUSE_MS);
      const first = since ?? now;
      pauses.set(uri, { since: first, dueAt: Math.min(now + pause, first + LONGEST_PAUSE_MS), lastRunMs });
    },
    closed: (uri) => pauses.delete(uri),
    ran: (uri, milliseconds) => {
      if (pauses.has(uri)) pauses.set(uri, { since: null, dueAt: timers.now(), lastRunMs: milliseconds });
    },
    waitFor: (uri) => Math.max(0, (pauses.get(uri)?.dueAt ?? 0) - timers.now()),
  };
}
