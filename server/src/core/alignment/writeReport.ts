/**
 * Writes a new alignment report.
 *
 * The order is fixed by content, not by who measured what first: keys in natural order, pairs by picture, sound and frame.
 * The same measurements give the same text, byte for byte, on every machine.
 */

import { compareNaturally } from '../text/naturalOrder.ts';
import { compare } from '../time/rational.ts';
import type { AlignmentReport, Pair } from './model.ts';
import { type Layout, type PairData, type PictureData, pairText, pictureText, type SoundData, soundText } from './reportText.ts';

export interface ReportData {
  readonly pictures: readonly PictureData[];
  readonly sounds: readonly SoundData[];
  readonly pairs: readonly PairData[];
}

const LAYOUT: Layout = { indent: '    ', lineBreak: '\n' };

/** The text of a report; ends with a line break. */
export function writeReport(data: ReportData): string {
  const pictures = data.pictures.toSorted((left, right) => compareNaturally(left.key, right.key));
  const sounds = data.sounds.toSorted((left, right) => compareNaturally(left.key, right.key));
  const pairs = data.pairs.toSorted(comparePairs);
  return `{
  "alignment": 1,
  "pictures": ${block(
    '{',
    pictures.map((picture) => pictureText(picture)),
    '}',
  )},
  "sounds": ${block(
    '{',
    sounds.map((sound) => soundText(sound, LAYOUT)),
    '}',
  )},
  "pairs": ${block(
    '[',
    pairs.map((pair) => pairText(pair, LAYOUT)),
    ']',
  )}
}
`;
}

/** What a report that was read says, as data to write. Members the reader does not know are not in it. */
export function reportData(report: AlignmentReport): ReportData {
  const namesOf = (entry: { readonly names: readonly { readonly text: string }[] }): readonly string[] =>
    entry.names.map((name) => name.text);
  return {
    pictures: report.pictures.map((picture) => ({ ...picture, names: namesOf(picture) })),
    sounds: report.sounds.map((sound) => ({ ...sound, names: namesOf(sound) })),
    pairs: report.pairs.map(pairData),
  };
}

function pairData(pair: Pair): PairData {
  const { frame, sample, driftPpm, by, clap, uncertaintyEarly: early, uncertaintyLate: late } = pair;
  const isStated = early.numerator !== 0 || late.numerator !== 0;
  return {
    picture: pair.picture.key,
    sound: pair.sound.key,
    frame,
    sample,
    driftPpm,
    uncertainty: isStated ? { early, late } : null,
    by,
    clap,
    note: pair.note === '' ? null : pair.note,
  };
}

function comparePairs(left: PairData, right: PairData): number {
  return (
    compareNaturally(left.picture, right.picture) ||
    compareNaturally(left.sound, right.sound) ||
    compare(left.frame, right.frame) ||
    compare(left.sample, right.sample)
  );
}

function block(open: string, items: readonly string[], close: string): string {
  if (items.length === 0) return `${open}${close}`;
  return `${open}\n${items.map((item) => `${LAYOUT.indent}${item}`).join(',\n')}\n  ${close}`;
}
