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
import { type Reading, reportNote } from './otioReading.ts';

/** Track numbers while walking down: kept per composition. */
export interface TrackScope {
  /** Index into the tracks; -1 outside every Track. */
  readonly track: number;
  /** Clips met so far that stand directly in the stacks of this scope; shared by nested stacks. */
  readonly layers: { count: number } | null;
}

export interface TrackList {
  readonly tracks: Track[];
  /** Layers by the track they belong to and their number. */
  readonly layers: Map<string, number>;
  readonly counts: { picture: number; sound: number; other: number };
  hasToldTrackless: boolean;
}

export const OUTSIDE_TRACKS: TrackScope = { track: -1, layers: null };

export function startTracks(): TrackList {
  return { tracks: [], layers: new Map(), counts: { picture: 0, sound: 0, other: 0 }, hasToldTrackless: false };
}

/** The scope inside a Track or Stack that stands in `outer`. */
export function enterComposition(
  reading: Reading,
  list: TrackList,
  item: Item,
  outer: TrackScope,
  isEnabled: boolean,
): TrackScope {
  if (item.kind === 'stack') return { track: outer.track, layers: outer.layers ?? { count: 0 } };
  const kind = roleOf(item.trackKind);
  const isNested = outer.track !== -1 || (item.parent !== null && item.parent.parent !== null);
  if (!isNested) list.counts[kind] += 1;
  list.tracks.push({
    index: list.tracks.length,
    kind,
    name: item.name === '' ? unnamedTrack(list, item, kind, isNested) : item.name,
    span: spanOf(reading.document, item.node),
    isEnabled,
  });
  if (kind === 'other' && item.children.length > 0) {
    const said =
      item.trackKind === '' ? 'does not say whether it is picture or sound' : `is of the kind "${item.trackKind.slice(0, 40)}"`;
    reportNote(reading, item.label, `This track ${said}: expected "Video" or "Audio". Its clips are not compared.`);
  }
  return { track: list.tracks.length - 1, layers: null };
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

function unnamedTrack(list: TrackList, item: Item, kind: Track['kind'], isNested: boolean): string {
  if (!isNested) return `${LETTERS[kind]}${list.counts[kind]}`;
  const around = item.parent?.name ?? '';
  const number = (item.parent?.children ?? []).filter(
    (other) => other.kind === 'track' && other.position <= item.position && roleOf(other.trackKind) === kind,
  ).length;
  return `${around === '' ? 'nested' : around} ${LETTERS[kind]}${number}`;
}
