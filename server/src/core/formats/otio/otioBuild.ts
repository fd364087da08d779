/**
 * The walk from the root down: items with their lengths in, the flat lists of the neutral timeline out.
 *
 * Items come parents before children, so the compositions around the current item form a stack of frames; a frame is closed
 * when the next item stands outside it, which is when its acceptances know their clips.
 */

import type { Span } from '../../text/span.ts';
import { sign, ZERO } from '../../time/rational.ts';
import type { Acceptance, Clip, OutlineNode, Timeline, Track, Transition } from '../../timeline/model.ts';
import { readAcceptances, type WrittenAcceptance } from './otioAcceptances.ts';
import { makeClip } from './otioClip.ts';
import { type Item, itemSpan } from './otioItem.ts';
import { named } from './otioLengths.ts';
import { addBranch, addLeaf, type OutlineBranch } from './otioOutline.ts';
import { type ChildPlace, type Place, placeChild, placeInside, placeRoot, recordEnd, recordLength } from './otioPlaces.ts';
import { type Reading, reportNote } from './otioReading.ts';
import { enterComposition, startTracks, type TrackList, type TrackScope, topScope, trackOfClip } from './otioTracks.ts';

export interface Built extends Pick<Timeline, 'duration' | 'tracks' | 'clips' | 'transitions' | 'acceptances'> {
  readonly outline: OutlineNode[];
}

interface Frame {
  readonly item: Item;
  readonly place: Place;
  readonly scope: TrackScope;
  readonly branch: OutlineBranch;
  readonly acceptances: readonly WrittenAcceptance[];
  readonly firstClip: number;
}

interface Building {
  readonly reading: Reading;
  readonly trackList: TrackList;
  readonly clips: Clip[];
  readonly transitions: Transition[];
  readonly acceptances: Acceptance[];
  /** Clips of which nothing is left, by the composition whose source_range leaves nothing. */
  readonly hidden: Map<Item, number>;
}

export function buildClips(reading: Reading, items: readonly Item[], timelineMetadata: number): Built {
  const building: Building = {
    reading,
    trackList: startTracks(),
    clips: [],
    transitions: [],
    acceptances: [],
    hidden: new Map(),
  };
  const outline: OutlineNode[] = [];
  const root = items[0];
  acceptEverywhere(building, readAcceptances(reading, timelineMetadata));
  if (root === undefined) {
    return { duration: ZERO, tracks: [], clips: [], transitions: [], acceptances: building.acceptances, outline };
  }
  acceptEverywhere(building, readAcceptances(reading, root.metadataNode));
  const frames: Frame[] = [enterRoot(root, outline)];
  for (let index = 1; index < items.length; index += 1) {
    const item = items[index] as Item;
    while ((frames.at(-1) as Frame).item !== item.parent) closeFrame(building, frames.pop() as Frame);
    const inner = placeItem(building, frames.at(-1) as Frame, item);
    if (inner !== null) frames.push(inner);
  }
  while (frames.length > 0) closeFrame(building, frames.pop() as Frame);
  reportHidden(building);
  const { clips, transitions, acceptances } = building;
  return { duration: recordEnd(root), tracks: building.trackList.tracks, clips, transitions, acceptances, outline };
}

function enterRoot(root: Item, outline: OutlineNode[]): Frame {
  return {
    item: root,
    place: placeRoot(root),
    scope: topScope(),
    branch: { depth: 0, children: outline },
    acceptances: [],
    firstClip: 0,
  };
}

/** Places one item; the frame of its inside when it is a composition. */
function placeItem(building: Building, parent: Frame, item: Item): Frame | null {
  const { reading, trackList } = building;
  const at = placeChild(parent.item, parent.place, item);
  const span = itemSpan(reading, item);
  switch (item.kind) {
    case 'stack':
    case 'track': {
      const place = placeInside(item, at, parent.place, parent.item);
      const firstTrack = trackList.tracks.length;
      const scope = enterComposition(reading, trackList, item, parent.scope, place.isEnabled);
      const name = item.kind === 'track' ? (trackList.tracks[firstTrack]?.name ?? '') : item.name === '' ? 'Stack' : item.name;
      return {
        item,
        place,
        scope,
        branch: addBranch(parent.branch, item, span, name, null),
        acceptances: readAcceptances(reading, item.metadataNode),
        firstClip: building.clips.length,
      };
    }
    case 'clip': {
      const clip = placeClip(building, parent, item, at, span);
      addLeaf(parent.branch, item, span, item.name === '' ? 'Clip' : item.name, clip?.index ?? null);
      return null;
    }
    case 'transition':
      addLeaf(parent.branch, item, span, item.name === '' ? 'Transition' : item.name, null);
      placeTransition(building, parent, item, at);
      return null;
    case 'gap':
      addLeaf(parent.branch, item, span, item.name === '' ? 'Gap' : item.name, null);
      return null;
    case 'opaque':
      addLeaf(parent.branch, item, span, 'Not readable', null);
      return null;
  }
}

function placeClip(building: Building, parent: Frame, item: Item, at: ChildPlace, span: Span): Clip | null {
  const { reading, clips, trackList } = building;
  const trackIndex = trackOfClip(reading, trackList, item, parent.item, parent.scope);
  const track = trackList.tracks[trackIndex] as Track;
  const clip = makeClip(reading, item, at, parent.place, track, clips.length, span);
  if (clip === null) {
    reportAbsence(building, parent, item);
    return null;
  }
  clips.push(clip);
  for (const acceptance of readAcceptances(reading, item.metadataNode)) {
    building.acceptances.push({ ...acceptance, clips: [clip.index] });
  }
  return clip;
}

function reportAbsence(building: Building, parent: Frame, item: Item): void {
  if (sign(item.length) > 0) {
    const cause = parent.place.hiddenBy ?? parent.place.cutBy ?? parent.item;
    building.hidden.set(cause, (building.hidden.get(cause) ?? 0) + 1);
  } else if (item.lengthDoubt === null) {
    reportNote(
      building.reading,
      item.range?.duration?.span ?? item.label,
      'This clip has no length, so it is never seen or heard and is not checked.',
    );
  }
}

function reportHidden(building: Building): void {
  for (const [item, count] of building.hidden) {
    const clips = count === 1 ? 'One clip lies' : `${count} clips lie`;
    const what = item.range === null ? `the time that ${named(item)} takes` : `the source_range of ${named(item)}`;
    reportNote(building.reading, item.label, `${clips} wholly outside ${what}: never seen or heard, so not checked.`);
  }
}

function placeTransition(building: Building, parent: Frame, item: Item, at: ChildPlace): void {
  const { place, scope } = parent;
  if (!item.isEnabled || scope.track === -1) return;
  // A transition has no length of its own, so its window is the cut; one that the windows around it leave out has moved.
  if (!at.hasOwnHead || !at.hasOwnTail) return;
  building.transitions.push({
    track: scope.track,
    span: itemSpan(building.reading, item),
    name: item.name,
    at: at.window.start,
    before: recordLength(place, item.before),
    after: recordLength(place, item.after),
  });
}

function closeFrame(building: Building, frame: Frame): void {
  if (frame.acceptances.length === 0) return;
  const clips: number[] = [];
  for (let index = frame.firstClip; index < building.clips.length; index += 1) clips.push(index);
  for (const acceptance of frame.acceptances) building.acceptances.push({ ...acceptance, clips });
}

function acceptEverywhere(building: Building, acceptances: readonly WrittenAcceptance[]): void {
  for (const acceptance of acceptances) building.acceptances.push({ ...acceptance, clips: 'all' });
}
