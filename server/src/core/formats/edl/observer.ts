/**
 * Collects what a reader notices, with a limit per kind of trouble.
 *
 * A list read at the wrong rate has trouble in every label; a hundred times the same sentence helps nobody and a finding for
 * each costs memory and screen. What the limit leaves out is counted and said.
 */

import type { Observation } from '../../timeline/model.ts';

const MOST_OF_ONE_KIND = 100;

export interface Observer {
  readonly list: Observation[];
  readonly counts: Map<string, { count: number; firstLeftOut: Observation | null }>;
}

export function emptyObserver(): Observer {
  return { list: [], counts: new Map() };
}

/** `kind` says in the plural what is counted together: 'labels that do not fit the rate'. */
export function observe(observer: Observer, kind: string, observation: Observation): void {
  const entry = observer.counts.get(kind) ?? { count: 0, firstLeftOut: null };
  entry.count += 1;
  observer.counts.set(kind, entry);
  if (entry.count <= MOST_OF_ONE_KIND) observer.list.push(observation);
  else entry.firstLeftOut ??= observation;
}

/** All observations in text order, with one for each limit that was reached. */
export function finishObservations(observer: Observer): readonly Observation[] {
  for (const [kind, { count, firstLeftOut }] of observer.counts) {
    if (firstLeftOut === null) continue;
    const message = `There are ${count - MOST_OF_ONE_KIND} more ${kind} from here on; the first ${MOST_OF_ONE_KIND} are listed.`;
    observer.list.push({ kind: 'limit', span: firstLeftOut.span, message });
  }
  return observer.list.sort((left, right) => left.span.start - right.span.start || left.span.end - right.span.end);
}
