/**
 * Several reports as one: entries that describe the same file become one entry, and all pairs hang on those.
 *
 * Two entries of different reports are the same file when they are of one role, share a name (or, when one of them lists no
 * names, the key) and agree on every number both state. What one leaves out, the other fills in. Entries that share a
 * name and disagree stay apart and the later report is told.
 *
 * Entries of one report are never merged: there, a name used twice is a mistake and the reader says so.
 */

import { equals, type Rational } from '../time/rational.ts';
import { comparableName } from './mediaNames.ts';
import type { AlignmentReport, FileProblem, Pair, PictureEntry, SoundEntry } from './model.ts';

export interface MergedReports {
  readonly pictures: readonly PictureEntry[];
  readonly sounds: readonly SoundEntry[];
  readonly pairs: readonly Pair[];
  readonly problems: readonly FileProblem[];
}

export function mergeReports(reports: readonly AlignmentReport[]): MergedReports {
  const [only, ...others] = reports;
  if (only !== undefined && others.length === 0) {
    return { pictures: only.pictures, sounds: only.sounds, pairs: only.pairs, problems: [] };
  }
  const problems: FileProblem[] = [];
  const pictures = mergeEntries(
    reports.flatMap((report) => report.pictures),
    mergePicture,
    problems,
  );
  const sounds = mergeEntries(
    reports.flatMap((report) => report.sounds),
    mergeSound,
    problems,
  );
  const pairs = reports.flatMap((report) =>
    report.pairs.map((pair) => {
      const picture = pictures.mergedBy.get(pair.picture) ?? pair.picture;
      const sound = sounds.mergedBy.get(pair.sound) ?? pair.sound;
      return picture === pair.picture && sound === pair.sound ? pair : { ...pair, picture, sound };
    }),
  );
  return { pictures: pictures.merged, sounds: sounds.merged, pairs, problems };
}

interface Entry {
  readonly key: string;
  readonly keySpan: FileProblem['span'];
  readonly file: string;
  readonly names: readonly { readonly text: string }[];
}

/** One file, with every entry that describes it. */
interface Slot<Kind> {
  entry: Kind;
  readonly members: Kind[];
}

interface MergedEntries<Kind> {
  readonly merged: readonly Kind[];
  /** The merged entry of each entry as read. */
  readonly mergedBy: ReadonlyMap<Kind, Kind>;
}

/** `merge` answers null when the two contradict each other. */
function mergeEntries<Kind extends Entry>(
  entries: readonly Kind[],
  merge: (first: Kind, second: Kind) => Kind | null,
  problems: FileProblem[],
): MergedEntries<Kind> {
  const slots: Slot<Kind>[] = [];
  const slotsByName = new Map<string, Set<Slot<Kind>>>();
  const slotsByKey = new Map<string, Set<Slot<Kind>>>();
  for (const entry of entries) {
    const key = comparableName(entry.key);
    const names = fileNamesOf(entry);
    const candidates = new Set(names.flatMap((name) => [...(slotsByName.get(name) ?? [])]));
    for (const slot of slotsByKey.get(key) ?? []) {
      if (names.length === 0 || fileNamesOf(slot.entry).length === 0) candidates.add(slot);
    }
    let home: Slot<Kind> | null = null;
    for (const slot of candidates) {
      if (slot.members.some((known) => known.file === entry.file)) continue;
      const merged = merge(slot.entry, entry);
      if (merged !== null) {
        slot.entry = merged;
        slot.members.push(entry);
        home = slot;
        break;
      }
      problems.push(contradiction(slot.entry, entry));
    }
    if (home === null) {
      home = { entry, members: [entry] };
      slots.push(home);
    }
    for (const name of names) add(slotsByName, name, home);
    add(slotsByKey, key, home);
  }
  const mergedBy = new Map(slots.flatMap((slot) => slot.members.map((entry) => [entry, slot.entry] as const)));
  return { merged: slots.map((slot) => slot.entry), mergedBy };
}

function fileNamesOf(entry: Entry): readonly string[] {
  return entry.names.map((name) => comparableName(name.text)).filter((name) => name !== '');
}

function add<Value>(index: Map<string, Set<Value>>, name: string, value: Value): void {
  const known = index.get(name);
  if (known === undefined) index.set(name, new Set([value]));
  else known.add(value);
}

function mergePicture(first: PictureEntry, second: PictureEntry): PictureEntry | null {
  const isSame =
    equals(first.rate, second.rate) &&
    agree(first.startFrame, second.startFrame) &&
    agree(first.frameCount, second.frameCount) &&
    (first.startFrame === null || second.startFrame === null || first.isDropFrame === second.isDropFrame);
  if (!isSame) return null;
  const stamped = first.startFrame === null ? second : first;
  return {
    ...first,
    names: unitedNames(first, second),
    startFrame: stamped.startFrame,
    startSpan: stamped === first ? first.startSpan : null,
    isDropFrame: stamped.isDropFrame,
    frameCount: first.frameCount ?? second.frameCount,
  };
}

function mergeSound(first: SoundEntry, second: SoundEntry): SoundEntry | null {
  const isSame =
    equals(first.sampleRate, second.sampleRate) &&
    agree(first.startSample, second.startSample) &&
    agree(first.sampleCount, second.sampleCount);
  if (!isSame) return null;
  return {
    ...first,
    names: unitedNames(first, second),
    startSample: first.startSample ?? second.startSample,
    sampleCount: first.sampleCount ?? second.sampleCount,
    claps: first.claps.length > 0 ? first.claps : second.claps,
  };
}

/** Names the second adds stand in another text; they get the place of the first's key, so that every span is inside `file`. */
function unitedNames(first: PictureEntry | SoundEntry, second: PictureEntry | SoundEntry): PictureEntry['names'] {
  const known = new Set(fileNamesOf(first));
  const added = second.names.filter((name) => !known.has(comparableName(name.text)));
  return [...first.names, ...added.map((name) => ({ text: name.text, span: first.keySpan }))];
}

function agree(left: Rational | null, right: Rational | null): boolean {
  return left === null || right === null || equals(left, right);
}

function contradiction(earlier: Entry, later: Entry): FileProblem {
  return {
    file: later.file,
    span: later.keySpan,
    severity: 'warning',
    message: `"${later.key}" claims a file that "${earlier.key}" in ${earlier.file} claims too, with another rate, time stamp or length. Clips of that file mean either one; correct the report that is wrong.`,
  };
}
