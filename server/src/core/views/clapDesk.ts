/**
 * An alignment report as the clap desk shows it: its pairs, pictures and sounds as plain data, exact numbers as strings.
 */

import type { AlignmentReport, Pair, PictureEntry, SoundEntry } from '../alignment/model.ts';
import { rateLabel } from '../time/rate.ts';
import { formatRational, type Rational } from '../time/rational.ts';

/** Rationals are 'num/den' or whole numbers. */
export interface DeskReport {
  /** File name of the report. */
  readonly name: string;
  readonly pictures: readonly DeskPicture[];
  readonly sounds: readonly DeskSound[];
  readonly pairs: readonly DeskPair[];
  /** Why there is nothing to show; null when there is. */
  readonly empty: string | null;
}

export interface DeskPicture {
  readonly key: string;
  readonly names: readonly string[];
  readonly rate: string;
  readonly rateLabel: string;
  readonly isDropFrame: boolean;
  readonly startFrame: string | null;
  readonly frameCount: string | null;
}

export interface DeskSound {
  readonly key: string;
  readonly names: readonly string[];
  readonly sampleRate: string;
  readonly startSample: string | null;
  readonly claps: readonly string[];
}

export interface DeskPair {
  readonly picture: string;
  readonly sound: string;
  readonly frame: string;
  readonly sample: string;
  readonly driftPpm: string;
  /** Seconds. */
  readonly early: string;
  readonly late: string;
  readonly by: Pair['by'];
  readonly clap: number | null;
  readonly note: string;
}

export function deskReport(report: AlignmentReport): DeskReport {
  return {
    name: report.file,
    pictures: report.pictures.map(deskPicture),
    sounds: report.sounds.map(deskSound),
    pairs: report.pairs.map(deskPair),
    empty: whyEmpty(report),
  };
}

/** Index of the pair that holds `offset`, else of the first that names the entry there; null when there is none. */
export function pairAt({ pairs, pictures, sounds }: AlignmentReport, offset: number): number | null {
  const holds = ({ start, end }: { readonly start: number; readonly end: number }): boolean => offset >= start && offset <= end;
  const direct = pairs.findIndex(({ span }) => holds(span));
  if (direct !== -1) return direct;
  const picture = pictures.find(({ keySpan, span }) => holds({ start: keySpan.start, end: span.end }));
  const sound = sounds.find(({ keySpan, span }) => holds({ start: keySpan.start, end: span.end }));
  const named = pairs.findIndex((pair) => pair.picture === picture || pair.sound === sound);
  return named === -1 ? null : named;
}

function whyEmpty({ file, pictures, sounds, problems }: AlignmentReport): string | null {
  const broken = problems.find(({ severity }) => severity === 'error');
  const because = broken === undefined ? '' : ` ${broken.message}`;
  if (pictures.length === 0 && sounds.length === 0) {
    return `${file} names no picture and no sound yet.${because} Measure the folder of the recordings, or write them into "pictures" and "sounds".`;
  }
  if (sounds.length === 0) return `${file} names no sound, so there is no clap to look at.${because}`;
  if (pictures.length === 0) return `${file} names no picture, so there are no frames to hold a clap against.${because}`;
  return null;
}

function deskPicture({ key, names, rate, isDropFrame, startFrame, frameCount }: PictureEntry): DeskPicture {
  return {
    key,
    names: names.map(({ text }) => text),
    rate: formatRational(rate),
    rateLabel: rateLabel(rate),
    isDropFrame,
    startFrame: textOf(startFrame),
    frameCount: textOf(frameCount),
  };
}

function deskSound({ key, names, sampleRate, startSample, claps }: SoundEntry): DeskSound {
  return {
    key,
    names: names.map(({ text }) => text),
    sampleRate: formatRational(sampleRate),
    startSample: textOf(startSample),
    claps: claps.map(formatRational),
  };
}

function deskPair(pair: Pair): DeskPair {
  const { frame, sample, driftPpm, uncertaintyEarly, uncertaintyLate, by, clap, note } = pair;
  return {
    picture: pair.picture.key,
    sound: pair.sound.key,
    frame: formatRational(frame),
    sample: formatRational(sample),
    driftPpm: formatRational(driftPpm),
    early: formatRational(uncertaintyEarly),
    late: formatRational(uncertaintyLate),
    by,
    clap,
    note,
  };
}

function textOf(value: Rational | null): string | null {
  return value === null ? null : formatRational(value);
}
