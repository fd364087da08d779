/**
 * Which report entry a clip's media is, and which pairs it belongs to.
 *
 * Names are indexed once and a look-up is a few map reads: ten thousand clips cost a small part of reading their text.
 *
 * Several reports may describe one file (a main and a back-up recorder, each measured into a report of its own): see
 * mergeReports. Compare entries by identity, not by key: two days may use one key for two files.
 */

import type { Rate } from '../time/rate.ts';
import { add, compare, equals, isZero } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import { comparableName, fileNamesOfUrl, withoutExtension } from './mediaNames.ts';
import { mergeReports } from './mergeReports.ts';
import type { AlignmentReport, FileProblem, Pair, PictureEntry, SoundEntry } from './model.ts';
import { contradictionsAmong } from './pairAgreement.ts';

/** All reports of a timeline as one. */
export interface Alignment {
  /** One entry per file, in the order of the reports. */
  readonly pictures: readonly PictureEntry[];
  readonly sounds: readonly SoundEntry[];
  /** Every pair, their entries being those of `pictures` and `sounds`. */
  readonly pairs: readonly Pair[];
  /** What the reports say against each other; each report's own problems are not repeated here. */
  readonly problems: readonly FileProblem[];
  readonly pairsByPicture: ReadonlyMap<PictureEntry, readonly Pair[]>;
  readonly pairsBySound: ReadonlyMap<SoundEntry, readonly Pair[]>;
  readonly names: NameIndex;
}

/** What of a clip decided. */
type MatchedBy = 'file name' | 'media name' | 'reel' | 'clip name';

/** The entry a clip's media is: at most one of `picture` and `sound` is set, whatever the clip's track. */
export interface MediaMatch {
  readonly picture: PictureEntry | null;
  readonly sound: SoundEntry | null;
  /** Null when no entry matches. */
  readonly by: MatchedBy | null;
  /** Other entries that the same clip means just as well, or by a later of its names; empty nearly always. */
  readonly ambiguousWith: readonly OtherMatch[];
}

interface OtherMatch {
  readonly entry: PictureEntry | SoundEntry;
  readonly by: MatchedBy;
}

/** One entry under one of its names. */
type Target = { readonly picture: PictureEntry; readonly sound: null } | { readonly picture: null; readonly sound: SoundEntry };

/** Entries by comparable name. */
interface NameIndex {
  readonly byName: ReadonlyMap<string, readonly Target[]>;
  readonly byNameWithoutExtension: ReadonlyMap<string, readonly Target[]>;
  /** Answers already given: taking a URL apart costs more than any look-up. A cache that lives as long as the alignment. */
  readonly answersForUrls: Map<string, readonly Target[]>;
  /** The last match for a URL, with what it was asked for: the clips of one file come with the same names nearly always. */
  readonly matches: Map<
    string | null,
    {
      readonly role: Clip['role'];
      readonly name: string | null;
      readonly reel: string | null;
      readonly clipName: string;
      readonly match: MediaMatch;
    }
  >;
}

const NOTHING: readonly never[] = [];
const NO_MATCH: MediaMatch = { picture: null, sound: null, by: null, ambiguousWith: NOTHING };

/** Makes the reports answer look-ups; earlier reports win where they say the same. */
export function buildAlignment(reports: readonly AlignmentReport[]): Alignment {
  const merged = mergeReports(reports);
  const chosen = oneForEachTwo(merged.pairs);
  const problems = contradictionsAmong(merged.pairs)
    .filter(({ earlier, later }) => earlier.file !== later.file)
    .map(({ later, message }): FileProblem => ({ file: later.file, span: later.atSpan, severity: 'warning', message }));
  return {
    ...merged,
    problems: [...merged.problems, ...problems],
    pairsByPicture: grouped(chosen, (pair) => pair.picture),
    pairsBySound: grouped(chosen, (pair) => pair.sound),
    names: indexNames(merged.pictures, merged.sounds),
  };
}

/**
 * The entry a clip's media is. File name of the media's URL, name of the media, reel, clip name: the first that matches an
 * entry's key or one of its names decides. A whole name counts before one without its extension. Of entries that
 * match alike, one of the clip's own role comes first, then the order of the reports.
 */
export function entryFor({ names }: Alignment, clip: Clip): MediaMatch {
  const { url, name, reel } = clip.media;
  const clipName = clip.name;
  const known = names.matches.get(url);
  const isKnown = known?.role === clip.role && known.clipName === clipName && known.name === name && known.reel === reel;
  if (isKnown) return known.match;
  const match = searchEntry(names, clip);
  names.matches.set(url, { role: clip.role, name, reel, clipName, match });
  return match;
}

function searchEntry(names: NameIndex, clip: Clip): MediaMatch {
  const { url, name, reel } = clip.media;
  const byFile = url === null ? NOTHING : targetsOfUrl(names, url);
  const byMedia = name === null ? NOTHING : findTargets(names, name);
  const byReel = reel === null ? NOTHING : findTargets(names, reel);
  const byClip = findTargets(names, clip.name);
  const [decisive, by]: readonly [readonly Target[], MatchedBy] =
    byFile.length > 0
      ? [byFile, 'file name']
      : byMedia.length > 0
        ? [byMedia, 'media name']
        : byReel.length > 0
          ? [byReel, 'reel']
          : [byClip, 'clip name'];
  const target = preferred(decisive, clip.role);
  if (target === null) return NO_MATCH;
  const hasOthers = [byFile, byMedia, byReel, byClip].some(
    (targets) => targets.length > 1 || (targets.length === 1 && targets[0] !== target),
  );
  return {
    picture: target.picture,
    sound: target.sound,
    by,
    ambiguousWith: hasOthers
      ? othersThan(target, [
          [byFile, 'file name'],
          [byMedia, 'media name'],
          [byReel, 'reel'],
          [byClip, 'clip name'],
        ])
      : NOTHING,
  };
}

/** The pair of a picture and a sound; where the reports hold several, the one that states the least uncertainty, else the first. */
export function pairFor(alignment: Alignment, picture: PictureEntry, sound: SoundEntry): Pair | null {
  return pairsOfSound(alignment, sound).find((pair) => pair.picture === picture) ?? null;
}

/** The pairs of a sound, one per picture; see `pairFor`. */
export function pairsOfSound(alignment: Alignment, sound: SoundEntry): readonly Pair[] {
  return alignment.pairsBySound.get(sound) ?? NOTHING;
}

/** The pairs of a picture, one per sound; see `pairFor`. */
export function pairsOfPicture(alignment: Alignment, picture: PictureEntry): readonly Pair[] {
  return alignment.pairsByPicture.get(picture) ?? NOTHING;
}

/** True when a report is so wrong that nothing in it counts: what it knows can't be told, and 'not in the report' would be a guess. */
export function isUnread({ pictures, sounds, problems }: AlignmentReport): boolean {
  return pictures.length === 0 && sounds.length === 0 && problems.some(({ severity }) => severity === 'error');
}

/** The rate all pictures of all reports share; null when they differ or there are none. */
export function sharedPictureRate(reports: readonly AlignmentReport[]): Rate | null {
  const pictures = reports.flatMap((report) => report.pictures);
  const first = pictures[0]?.rate ?? null;
  return first !== null && pictures.every((picture) => equals(picture.rate, first)) ? first : null;
}

function oneForEachTwo(pairs: readonly Pair[]): readonly Pair[] {
  const chosen: Pair[] = [];
  for (const ofPicture of grouped(pairs, (pair) => pair.picture).values()) {
    for (const alike of grouped(ofPicture, (pair) => pair.sound).values()) {
      chosen.push(alike.reduce((best, pair) => (isMoreCertain(pair, best) ? pair : best)));
    }
  }
  return chosen;
}

/** A pair that states no uncertainty is not taken for an exact one: it comes after those that do. */
function isMoreCertain(left: Pair, right: Pair): boolean {
  const leftSize = add(left.uncertaintyEarly, left.uncertaintyLate);
  const rightSize = add(right.uncertaintyEarly, right.uncertaintyLate);
  if (isZero(leftSize)) return false;
  return isZero(rightSize) || compare(leftSize, rightSize) < 0;
}

function grouped<Item, Key>(items: readonly Item[], keyOf: (item: Item) => Key): ReadonlyMap<Key, readonly Item[]> {
  const groups = new Map<Key, Item[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [item]);
    else group.push(item);
  }
  return groups;
}

function indexNames(pictures: readonly PictureEntry[], sounds: readonly SoundEntry[]): NameIndex {
  const byName = new Map<string, Target[]>();
  const byNameWithoutExtension = new Map<string, Target[]>();
  const put = (target: Target): void => {
    const entry = entryOf(target);
    for (const text of [entry.key, ...entry.names.map((name) => name.text)]) {
      const name = comparableName(text);
      if (name === '') continue;
      append(byName, name, target);
      append(byNameWithoutExtension, withoutExtension(name), target);
    }
  };
  for (const picture of pictures) put({ picture, sound: null });
  for (const sound of sounds) put({ picture: null, sound });
  return { byName, byNameWithoutExtension, answersForUrls: new Map(), matches: new Map() };
}

function targetsOfUrl(names: NameIndex, url: string): readonly Target[] {
  const known = names.answersForUrls.get(url);
  if (known !== undefined) return known;
  const answer =
    fileNamesOfUrl(url)
      .map((name) => findTargets(names, name))
      .find((targets) => targets.length > 0) ?? NOTHING;
  names.answersForUrls.set(url, answer);
  return answer;
}

function findTargets(names: NameIndex, text: string): readonly Target[] {
  const name = comparableName(text);
  if (name === '') return NOTHING;
  const bare = withoutExtension(name);
  return (
    names.byName.get(name) ??
    // A name that has an extension is rather the entry without one than an entry with another.
    (bare === name ? undefined : names.byName.get(bare)) ??
    names.byNameWithoutExtension.get(bare) ??
    NOTHING
  );
}

function preferred(targets: readonly Target[], role: Clip['role']): Target | null {
  const [first] = targets;
  if (targets.length > 1 && role !== 'other') return targets.find((target) => target[role] !== null) ?? (first as Target);
  return first ?? null;
}

/** Every other entry that a clip's names mean, each once, by the first name that means it. */
function othersThan(decided: Target, found: readonly (readonly [readonly Target[], MatchedBy])[]): readonly OtherMatch[] {
  const others = new Map<PictureEntry | SoundEntry, OtherMatch>();
  for (const [targets, by] of found) {
    for (const target of targets) {
      const entry = entryOf(target);
      if (target !== decided && !others.has(entry)) others.set(entry, { entry, by });
    }
  }
  return [...others.values()];
}

function entryOf(target: Target): PictureEntry | SoundEntry {
  return target.picture ?? target.sound;
}

function append(index: Map<string, Target[]>, name: string, target: Target): void {
  const targets = index.get(name);
  if (targets === undefined) index.set(name, [target]);
  else if (!targets.some((known) => entryOf(known) === entryOf(target))) targets.push(target);
}
