/**
 * Tracks of the flattened timeline: which one a clip belongs to, what it is called, whether it is picture or sound.
 *
 * Every Track of the file is a track, nested ones too. Clips that stand in a Stack directly lie on top of each other, so
 * the first stays on the track around the stack and each further one gets a layer of its own; otherwise two layers of one
 * stack would look like two clips on one track at the same time.
 */

import { spanOf } from '../../syntax/json/jsonDocument.ts';
import type { Track } from '../../timeline/model.ts';
import type { Item } from './otioItem.ts';
import { type Reading, reportNote, shortened } from './otioReading.ts';

/** What is known about tracks inside one composition. */
export interface TrackScope {
  /** Index into the tracks; -1 outside every Track. */
  readonly track: number;
  /** Clips met so far that stand directly in the stacks of this scope; shared by nested stacks. */
  readonly layers: { count: number } | null;
  /** Tracks met so far that are children of this composition, by kind. */
  readonly counts: Record<Track['kind'], number>;
  /** Name of the composition, for tracks in it that have none; null at the top, where V1 and A1 say enough. */
  readonly name: string | null;
}

export interface TrackList {
  readonly tracks: Track[];
  /** Layers by the track they belong to and their number. */
  readonly layers: Map<string, number>;
  hasToldTrackless: boolean;
}

export function startTracks(): TrackList {
  return { tracks: [], layers: new Map(), hasToldTrackless: false };
}

/** The scope of the topmost composition, which is a stack. */
export function topScope(): TrackScope {
  return { track: -1, layers: { count: 0 }, counts: noTracks(), name: null };
}

/** The scope inside a Track or Stack that stands in `outer`. */
export function enterComposition(
  reading: Reading,
  list: TrackList,
  item: Item,
  outer: TrackScope,
  isEnabled: boolean,
): TrackScope {
  if (item.kind === 'stack') {
    return { track: outer.track, layers: outer.layers ?? { count: 0 }, counts: noTracks(), name: shortened(item.name) };
  }
  const kind = roleOf(item.trackKind);
  outer.counts[kind] += 1;
  const number = `${LETTERS[kind]}${outer.counts[kind]}`;
  const unnamed = outer.name === null ? number : `${outer.name === '' ? 'nested' : outer.name} ${number}`;
  list.tracks.push({
    index: list.tracks.length,
    kind,
    name: item.name === '' ? unnamed : item.name,
    span: spanOf(reading.document, item.node),
    isEnabled,
  });
  if (kind === 'other' && item.children.length > 0) {
    const said =
      item.trackKind === '' ? 'does not say whether it is picture or sound' : `is of the kind "${shortened(item.trackKind)}"`;
    reportNote(reading, item.label, `This track ${said}: expected "Video" or "Audio". Its clips are not compared.`);
  }
  return { track: list.tracks.length - 1, layers: null, counts: noTracks(), name: shortened(item.name) };
}

function noTracks(): TrackScope['counts'] {
  return { picture: 0, sound: 0, other: 0 };
}

/** The track of a clip that stands in `parent`, whose scope is `scope`. */
export function trackOfClip(reading: Reading, list: TrackList, clip: Item, parent: Item, scope: TrackScope): number {
  if (parent.kind === 'track' || scope.layers === null) return scope.track;
  const layer = scope.layers.count;
  scope.layers.count += 1;
  if (layer === 0 && scope.track !== -1) return scope.track;
  const key = `${scope.track}:${layer}`;
  const known = list.layers.get(key);
  if (known !== undefined) return known;
  const around = list.tracks[scope.track];
  const index = list.tracks.length;
  list.layers.set(key, index);
  list.tracks.push({
    index,
    kind: around?.kind ?? 'other',
    name: around === undefined ? `Layer ${layer + 1}` : `${around.name} layer ${layer + 1}`,
    span: spanOf(reading.document, parent.node),
    isEnabled: around?.isEnabled ?? true,
  });
  if (around === undefined && !list.hasToldTrackless) {
    list.hasToldTrackless = true;
    reportNote(
      reading,
      clip.label,
      'This clip stands on no track, so nothing says whether it is picture or sound. It is not compared.',
    );
  }
  return index;
}

/** "Video" and "Audio" are the only kinds OTIO defines; capitals are not looked at. */
function roleOf(trackKind: string): Track['kind'] {
  const kind = trackKind.trim().toLowerCase();
  return kind === 'video' ? 'picture' : kind === 'audio' ? 'sound' : 'other';
}

const LETTERS: Readonly<Record<Track['kind'], string>> = { picture: 'V', sound: 'A', other: 'T' };
