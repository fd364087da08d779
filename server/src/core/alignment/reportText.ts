/**
 * The text of a report's parts: one entry, one pair.
 *
 * The layout keeps a difference between two versions readable: an entry or a pair is one line, with a second one for its
 * measurements, and every number stands as the shortest decimal that reads back as the same value.
 */

import type { Rate } from '../time/rate.ts';
import {
  add,
  floor,
  formatExactDecimal,
  formatRational,
  isInteger,
  multiply,
  type Rational,
  rational,
  reduce,
  round,
} from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Pair, PictureEntry, SoundEntry } from './model.ts';

/** A picture as it is to be written. */
export interface PictureData extends Pick<PictureEntry, 'key' | 'rate' | 'isDropFrame' | 'startFrame' | 'frameCount'> {
  readonly names: readonly string[];
}

/** A sound as it is to be written. */
export interface SoundData extends Pick<SoundEntry, 'key' | 'sampleRate' | 'startSample' | 'sampleCount' | 'claps'> {
  readonly names: readonly string[];
}

/** A pair as it is to be written; its picture and sound by key. */
export interface PairData extends Pick<Pair, 'frame' | 'sample' | 'driftPpm' | 'by' | 'clap'> {
  readonly picture: string;
  readonly sound: string;
  /** Seconds; null when nothing is known about it. */
  readonly uncertainty: { readonly early: Rational; readonly late: Rational } | null;
  /** Null leaves it out. */
  readonly note: string | null;
}

/** Where an item is put: what stands before it on its line, and how lines end. `lineBreak` null: all on one line. */
export interface Layout {
  readonly indent: string;
  readonly lineBreak: string | null;
}

/** More places than any measurement has; a decimal that needs more is one third or the like, and is rounded. */
const MOST_EXACT_PLACES = 12;
const ROUNDED_PLACES = 1_000_000n;
const ROUNDED_MILLISECONDS = 1000n;

/** `"cam-a-07": { ... }`. */
export function pictureText(picture: PictureData): string {
  const members = [
    ...(picture.names.length > 0 ? [namesText(picture.names)] : []),
    `"rate": ${rateText(picture.rate)}`,
    ...(picture.startFrame === null ? [] : [`"start": ${JSON.stringify(startText(picture, picture.startFrame))}`]),
    ...(picture.isDropFrame ? ['"dropFrame": true'] : []),
    ...(picture.frameCount === null ? [] : [`"frames": ${decimalText(picture.frameCount)}`]),
  ];
  return `${JSON.stringify(picture.key)}: { ${members.join(', ')} }`;
}

/** `"deck-12": { ... }`, its claps on a line of their own. */
export function soundText(sound: SoundData, layout: Layout): string {
  const members = [
    ...(sound.names.length > 0 ? [namesText(sound.names)] : []),
    `"sampleRate": ${rateText(sound.sampleRate)}`,
    ...(sound.startSample === null ? [] : [`"startSample": ${decimalText(sound.startSample)}`]),
    ...(sound.sampleCount === null ? [] : [`"samples": ${decimalText(sound.sampleCount)}`]),
  ];
  const opening = `${JSON.stringify(sound.key)}: { `;
  const claps = sound.claps.length > 0 ? [`"claps": [${sound.claps.map(decimalText).join(', ')}]`] : [];
  return `${opening}${twoLines(members, claps, layout, ' '.repeat(opening.length))} }`;
}

/** `{ "picture": ... }`, its measurements on a line of their own. */
export function pairText(pair: PairData, layout: Layout): string {
  const members = [
    `"picture": ${JSON.stringify(pair.picture)}`,
    `"sound": ${JSON.stringify(pair.sound)}`,
    `"at": { "frame": ${decimalText(pair.frame)}, "sample": ${decimalText(pair.sample)} }`,
  ];
  const measurements = [
    `"driftPpm": ${decimalText(pair.driftPpm)}`,
    ...(pair.uncertainty === null ? [] : [`"uncertaintyMs": ${uncertaintyText(pair.uncertainty)}`]),
    ...(pair.by === null ? [] : [`"by": "${pair.by}"`]),
    ...(pair.clap === null ? [] : [`"clap": ${pair.clap}`]),
    ...(pair.note === null ? [] : [`"note": ${JSON.stringify(pair.note)}`]),
  ];
  return `{ ${twoLines(members, measurements, layout, '  ')} }`;
}

/** `{ "early": 20.9, "late": 20.9 }`, from seconds. */
export function uncertaintyText(uncertainty: { readonly early: Rational; readonly late: Rational }): string {
  return `{ "early": ${millisecondsText(uncertainty.early)}, "late": ${millisecondsText(uncertainty.late)} }`;
}

/** Milliseconds of `seconds`. What has no short decimal is rounded up, since an uncertainty must not shrink on paper. */
export function millisecondsText(seconds: Rational): string {
  const milliseconds = multiply(seconds, rational(1000));
  const exact = exactText(milliseconds, 3);
  if (exact !== null) return exact;
  const up = floor(add(multiply(milliseconds, rational(ROUNDED_MILLISECONDS)), rational(999_999, 1_000_000)));
  return formatExactDecimal(rational(up, ROUNDED_MILLISECONDS)) ?? '0';
}

/** The shortest decimal that is exactly `value`; one that has none, or needs more than 12 places, is rounded to 6. */
export function decimalText(value: Rational): string {
  return (
    exactText(value, MOST_EXACT_PLACES) ??
    formatExactDecimal(rational(round(multiply(value, rational(ROUNDED_PLACES))), ROUNDED_PLACES)) ??
    '0'
  );
}

/** A whole rate as a number, any other as its exact fraction. */
function rateText(rate: Rate): string {
  return isInteger(rate) ? formatRational(rate) : `"${formatRational(reduce(rate))}"`;
}

function exactText(value: Rational, mostPlaces: number): string | null {
  const text = formatExactDecimal(value);
  if (text === null) return null;
  const point = text.indexOf('.');
  return point === -1 || text.length - point - 1 <= mostPlaces ? text : null;
}

function namesText(names: readonly string[]): string {
  return `"names": [${names.map((name) => JSON.stringify(name)).join(', ')}]`;
}

function startText(picture: PictureData, startFrame: Rational): string {
  return formatTimecode(Number(floor(startFrame)), picture.rate, picture.isDropFrame);
}

function twoLines(first: readonly string[], second: readonly string[], layout: Layout, hanging: string): string {
  if (second.length === 0) return first.join(', ');
  const between = layout.lineBreak === null ? ' ' : `${layout.lineBreak}${layout.indent}${hanging}`;
  return `${first.join(', ')},${between}${second.join(', ')}`;
}
