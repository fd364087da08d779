/**
 * Which tracks go into which edit list.
 *
 * A classic list holds one picture and four sound channels (common practice). More sound goes into further lists of four, each
 * with the picture, so that sync can be seen in every one of them; a further picture track gets a list of its own.
 */

import type { Track } from '../timeline/model.ts';

export interface EdlGroup {
  readonly picture: Track | null;
  /** Four at most; the first is channel A1. */
  readonly sounds: readonly Track[];
  /** Stands in the file name, as in `A1-A4`; null where one list holds all. */
  readonly label: string | null;
}

export type EdlGroups =
  | { readonly ok: true; readonly groups: readonly EdlGroup[]; readonly leftOut: readonly Track[] }
  /** Why the tracks asked for can't be had, as a sentence for people. */
  | { readonly ok: false; readonly reason: string };

const MOST_SOUNDS = 4;

/** `tracks` are those to be written. `wanted` holds names of tracks, or V1, A2 by their order; empty for the usual groups. */
export function edlGroups(tracks: readonly Track[], wanted: readonly (readonly string[])[]): EdlGroups {
  const pictures = tracks.filter(({ kind }) => kind === 'picture');
  const sounds = tracks.filter(({ kind }) => kind === 'sound');
  return wanted.length === 0 ? usualGroups(pictures, sounds) : groupsAskedFor(pictures, sounds, wanted);
}

function usualGroups(pictures: readonly Track[], sounds: readonly Track[]): EdlGroups {
  const first = pictures[0] ?? null;
  const groups: EdlGroup[] = [];
  for (let at = 0; at < Math.max(1, sounds.length); at += MOST_SOUNDS) {
    const part = sounds.slice(at, at + MOST_SOUNDS);
    groups.push({ picture: first, sounds: part, label: labelOf(pictures, sounds, first, part) });
  }
  for (const picture of pictures.slice(1)) {
    groups.push({ picture, sounds: [], label: labelOf(pictures, sounds, picture, []) });
  }
  const [only] = groups;
  return { ok: true, groups: groups.length === 1 && only !== undefined ? [{ ...only, label: null }] : groups, leftOut: [] };
}

function groupsAskedFor(pictures: readonly Track[], sounds: readonly Track[], wanted: readonly (readonly string[])[]): EdlGroups {
  const groups: EdlGroup[] = [];
  for (const names of wanted) {
    const group = names.join(',');
    const found = new Set<Track>();
    for (const name of names) {
      const track = trackCalled(name, pictures, sounds);
      if (track === null) {
        const known = [...pictures, ...sounds].map((one) => one.name).join(', ');
        return { ok: false, reason: `there is no track '${name}' to put into a list; tracks: ${known}` };
      }
      found.add(track);
    }
    const ownPictures = [...found].filter(({ kind }) => kind === 'picture');
    const ownSounds = sounds.filter((track) => found.has(track));
    if (ownPictures.length > 1)
      return { ok: false, reason: `the group ${group} has ${ownPictures.length} picture tracks; a list holds one` };
    if (ownSounds.length > MOST_SOUNDS) {
      return {
        ok: false,
        reason: `the group ${group} has ${ownSounds.length} sound tracks; a list holds ${MOST_SOUNDS}, so give more groups`,
      };
    }
    const picture = ownPictures[0] ?? pictures[0] ?? null;
    groups.push({ picture, sounds: ownSounds, label: labelOf(pictures, sounds, picture, ownSounds) });
  }
  const labels = groups.map(({ label }) => label);
  const repeated = labels.find((label, index) => labels.indexOf(label) !== index);
  if (repeated !== undefined) return { ok: false, reason: `two groups hold the same tracks (${repeated})` };
  const used = new Set(groups.flatMap(({ picture, sounds: own }) => [picture, ...own]));
  return { ok: true, groups, leftOut: [...pictures, ...sounds].filter((track) => !used.has(track)) };
}

/** By its name, else by its place: V is the first picture track, A3 the third sound track. */
function trackCalled(name: string, pictures: readonly Track[], sounds: readonly Track[]): Track | null {
  const wanted = name.trim().toLowerCase();
  const byName = [...pictures, ...sounds].find((track) => track.name.toLowerCase() === wanted);
  if (byName !== undefined) return byName;
  const match = /^([va])(\d{0,3})$/.exec(wanted);
  if (match === null) return null;
  const among = match[1] === 'v' ? pictures : sounds;
  return among[Number(match[2] === '' ? 1 : match[2]) - 1] ?? null;
}

/** `A1-A4`, `A5`, `A1+A3`, `V2`, `V2+A1-A2`: by place, since names of tracks may hold what file names can't. */
function labelOf(pictures: readonly Track[], sounds: readonly Track[], picture: Track | null, own: readonly Track[]): string {
  const pictureNumber = picture === null ? 0 : pictures.indexOf(picture) + 1;
  const parts = pictureNumber > 1 || own.length === 0 ? [`V${Math.max(1, pictureNumber)}`] : [];
  const numbers = own.map((track) => sounds.indexOf(track) + 1);
  const [first] = numbers;
  const last = numbers.at(-1);
  if (first !== undefined && last !== undefined) {
    const isRun = last - first === numbers.length - 1;
    parts.push(first === last ? `A${first}` : isRun ? `A${first}-A${last}` : numbers.map((number) => `A${number}`).join('+'));
  }
  return parts.join('+');
}
