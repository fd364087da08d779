/**
 * Clips that moved by the same amount and did nothing else, as blocks: what an insert or an extract does to all that follows.
 *
 * A block ends where, on one of its tracks, a clip stands between that did not move with it.
 */

import { compare, formatRational, type Rational } from '../time/rational.ts';
import type { ClipChange } from './clipChange.ts';
import type { ReviewClip } from './reviewClip.ts';

export interface MovedBlock {
  /** Seconds of record time; positive is later. */
  readonly by: Rational;
  /** As they stand now, in record order; two at least. */
  readonly clips: readonly ReviewClip[];
}

export interface BlocksAndRest {
  readonly blocks: readonly MovedBlock[];
  readonly rest: readonly ClipChange[];
}

type Changed = ClipChange & { readonly kind: 'changed' };

/** `now` are all clips of the new version. */
export function movedBlocks(changes: readonly ClipChange[], now: readonly ReviewClip[]): BlocksAndRest {
  const byShift = new Map<string, Changed[]>();
  for (const change of changes) {
    const [part, ...others] = change.kind === 'changed' ? change.parts : [];
    if (change.kind !== 'changed' || part?.kind !== 'moved' || others.length > 0) continue;
    const key = formatRational(part.by);
    const group = byShift.get(key);
    if (group === undefined) byShift.set(key, [change]);
    else group.push(change);
  }
  const places = byShift.size === 0 ? new Map<number, number>() : placesOnTracks(now);
  const blocks: MovedBlock[] = [];
  const inBlocks = new Set<ClipChange>();
  for (const group of byShift.values()) {
    for (const run of runsOf(group, places)) {
      const [part] = (run[0] as Changed).parts;
      if (run.length < 2 || part?.kind !== 'moved') continue;
      for (const change of run) inBlocks.add(change);
      blocks.push({ by: part.by, clips: run.map((change) => change.now) });
    }
  }
  blocks.sort((left, right) => compare((left.clips[0] as ReviewClip).start, (right.clips[0] as ReviewClip).start));
  return { blocks, rest: changes.filter((change) => !inBlocks.has(change)) };
}

/** The number each clip has on its track, in record order; by clip index. */
function placesOnTracks(now: readonly ReviewClip[]): ReadonlyMap<number, number> {
  const counts = new Map<number, number>();
  const places = new Map<number, number>();
  for (const clip of [...now].sort((left, right) => compare(left.start, right.start))) {
    const place = counts.get(clip.track) ?? 0;
    counts.set(clip.track, place + 1);
    places.set(clip.clip.index, place);
  }
  return places;
}

function runsOf(group: readonly Changed[], places: ReadonlyMap<number, number>): readonly (readonly Changed[])[] {
  const ordered = [...group].sort((left, right) => compare(left.now.start, right.now.start));
  const runs: Changed[][] = [];
  const lastPlaces = new Map<number, number>();
  for (const change of ordered) {
    const place = places.get(change.now.clip.index) ?? 0;
    const last = lastPlaces.get(change.now.track);
    const isNext = last === undefined || place === last + 1;
    if (runs.length === 0 || !isNext) {
      runs.push([]);
      lastPlaces.clear();
    }
    lastPlaces.set(change.now.track, place);
    runs.at(-1)?.push(change);
  }
  return runs;
}
