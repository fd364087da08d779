/**
 * Puts a new measurement into a report that exists, and keeps everything in it that a person wrote.
 *
 * An entry is the measured file when it lists the file's name, whatever its key is. Pairs that were measured again get their new
 * numbers; every other character stays. A note of a person's stays too: what measuring has to say stands behind it in brackets
 * and is replaced there the next time.
 *
 * Where the report says something of a file that the file itself denies, its pairs are refused: one of the two is wrong, and
 * which one only a person knows.
 */

import { comparableName } from '../../core/alignment/mediaNames.ts';
import type { AlignmentReport, PictureEntry, SoundEntry } from '../../core/alignment/model.ts';
import { readReport } from '../../core/alignment/readReport.ts';
import type { PairData } from '../../core/alignment/reportText.ts';
import { updatePair } from '../../core/alignment/updatePair.ts';
import { applyEdits, type TextEdit } from '../../core/text/textEdit.ts';
import { rateLabel } from '../../core/time/rate.ts';
import { equals, formatRational, type Rational } from '../../core/time/rational.ts';
import type { LeftOver, MeasuredPicture, MeasuredSound, Measurement } from './measurement.ts';
import { type MergedClaps, mergeClaps } from './mergeClaps.ts';
import { joinNotes } from './notes.ts';
import { pictureEntryEdits, soundEntryEdits } from './updateEntry.ts';

export type Merging =
  | {
      readonly ok: true;
      readonly text: string;
      readonly changedPairs: number;
      readonly addedPairs: number;
      /** Pairs that were not put in, and why. */
      readonly refused: readonly LeftOver[];
    }
  /** A sentence for people; nothing was changed. */
  | { readonly ok: false; readonly reason: string };

/** `file` as shown to people. */
export function mergeMeasurement(file: string, text: string, measurement: Measurement): Merging {
  let report = readReport(file, text);
  const broken = report.problems.find(({ severity }) => severity === 'error');
  if (broken !== undefined) {
    return { ok: false, reason: `${file} has errors, so nothing was put into it; repair it first. ${broken.message}` };
  }
  const refused: LeftOver[] = [];
  const keys = { pictures: new Map<string, string>(), sounds: new Map<string, string>() };
  const numbers = new Map<string, readonly number[]>();
  const apply = (edits: readonly TextEdit[]): boolean => {
    const changed = applyEdits(report.text, edits);
    if (changed === null) return false;
    if (changed !== report.text) report = readReport(file, changed);
    return true;
  };

  for (const picture of measurement.pictures) {
    const known = entryFor(report.pictures, picture.name);
    const conflict = known === null ? takenKey(report, picture.data.key) : pictureConflict(known, picture);
    if (conflict !== null) refused.push(refusal('picture', picture.name, file, conflict));
    else if (!apply(pictureEntryEdits(report, known?.key ?? picture.data.key, picture.data))) return confused(file);
    else keys.pictures.set(picture.data.key, known?.key ?? picture.data.key);
  }
  for (const sound of measurement.sounds) {
    const known = entryFor(report.sounds, sound.name);
    const conflict = known === null ? takenKey(report, sound.data.key) : soundConflict(known, sound);
    if (conflict !== null) {
      refused.push(refusal('sound', sound.name, file, conflict));
      continue;
    }
    const used = measurement.pairs.flatMap(({ data }) =>
      data.sound === sound.data.key && data.clap !== null ? [data.clap] : [],
    );
    const claps: MergedClaps = mergeClaps(known?.claps ?? [], sound.data.claps, sound.data.sampleRate, new Set(used));
    if (!apply(soundEntryEdits(report, known?.key ?? sound.data.key, sound.data, known, claps))) return confused(file);
    keys.sounds.set(sound.data.key, known?.key ?? sound.data.key);
    numbers.set(sound.data.key, claps.numbersOfHeard);
  }

  const pairsBefore = report.pairs.length;
  let done = 0;
  for (const { data } of measurement.pairs) {
    const picture = keys.pictures.get(data.picture);
    const sound = keys.sounds.get(data.sound);
    if (picture === undefined || sound === undefined) continue;
    const clap = data.clap === null ? null : (numbers.get(data.sound)?.[data.clap - 1] ?? data.clap);
    const pair: PairData = { ...data, picture, sound, clap };
    const known = report.pairs.find(
      (other) => other.picture.key === picture && other.sound.key === sound && isSameClap(other.clap, clap),
    );
    const result = updatePair(report, {
      pair: { ...pair, note: joinNotes(known?.note ?? '', data.note) },
      picture: null,
      sound: null,
    });
    if (!result.ok || !apply(result.edits)) {
      const reason = result.ok ? 'its place in the text could not be found' : result.reason;
      return { ok: false, reason: `${file} was left as it was: ${reason}` };
    }
    done += 1;
  }
  const added = report.pairs.length - pairsBefore;
  const spoiled = report.problems.find(({ severity }) => severity === 'error');
  if (spoiled !== undefined) {
    return {
      ok: false,
      reason: `${file} was left as it was, since putting the pairs in would have broken it: ${spoiled.message}`,
    };
  }
  return { ok: true, text: report.text, changedPairs: done - added, addedPairs: added, refused };
}

/** Edits that get in each other's way are a mistake of ours; a report half changed would be worse. */
function confused(file: string): Merging {
  return {
    ok: false,
    reason: `${file} was left as it was, because the changes could not be put into its text; please report this as a bug`,
  };
}

/** The entry that lists this file name; one that lists no names at all may have it for a key. */
function entryFor<Entry extends PictureEntry | SoundEntry>(entries: readonly Entry[], name: string): Entry | null {
  const wanted = comparableName(name);
  const byName = entries.find((entry) => entry.names.some(({ text }) => comparableName(text) === wanted));
  const stem = wanted.replace(/\.[^.]*$/, '');
  const isKey = (entry: Entry): boolean => [wanted, stem].includes(comparableName(entry.key));
  return byName ?? entries.find((entry) => entry.names.length === 0 && isKey(entry)) ?? null;
}

/** A key that the report gives to another file already. */
function takenKey(report: AlignmentReport, key: string): string | null {
  const isTaken = [...report.pictures, ...report.sounds].some((entry) => comparableName(entry.key) === comparableName(key));
  return isTaken
    ? `the key "${key}" stands there already, for a file of another name; add this file's name to its "names", or rename the key`
    : null;
}

function pictureConflict(known: PictureEntry, { data }: MeasuredPicture): string | null {
  if (!equals(known.rate, data.rate)) {
    return `the report says ${rateLabel(known.rate)} frames per second, the file ${rateLabel(data.rate)}`;
  }
  if (differ(known.frameCount, data.frameCount)) return differenceOf(known.frameCount, data.frameCount, 'frames');
  if (differ(known.startFrame, data.startFrame)) return 'the report gives it another time stamp than the file';
  return null;
}

function soundConflict(known: SoundEntry, { data }: MeasuredSound): string | null {
  if (!equals(known.sampleRate, data.sampleRate)) {
    return `the report says ${formatRational(known.sampleRate)} samples per second, the file ${formatRational(data.sampleRate)}`;
  }
  if (differ(known.sampleCount, data.sampleCount)) return differenceOf(known.sampleCount, data.sampleCount, 'samples');
  if (differ(known.startSample, data.startSample)) return 'the report gives it another time stamp than the file';
  return null;
}

function differenceOf(known: Rational | null, measured: Rational | null, unit: string): string {
  return `the report says ${formatRational(known as Rational)} ${unit}, the file ${formatRational(measured as Rational)}`;
}

function differ(known: Rational | null, measured: Rational | null): boolean {
  return known !== null && measured !== null && !equals(known, measured);
}

function refusal(kind: 'picture' | 'sound', name: string, file: string, conflict: string): LeftOver {
  return {
    severity: 'error',
    kind,
    name,
    reason: `Not put into ${file}: ${conflict}. Its pairs were left as they stand; correct the one that is wrong, then measure again.`,
  };
}

function isSameClap(known: number | null, wanted: number | null): boolean {
  return known === wanted || known === null || wanted === null;
}
