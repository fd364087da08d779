/**
 * The alignment report as read: which sound belongs to which picture, and where.
 *
 * Each entry keeps the span of its key and numbers, so that a finding can point into the report and the editor can jump
 * there. Several reports may serve one timeline; `file` says which one an entry stands in.
 */

import type { Span } from '../text/span.ts';
import type { Rate } from '../time/rate.ts';
import type { Rational } from '../time/rational.ts';

export interface PictureEntry {
  readonly key: string;
  readonly keySpan: Span;
  readonly span: Span;
  /** Path of the report this stands in, as shown to people. */
  readonly file: string;
  readonly names: readonly WrittenName[];
  readonly rate: Rate;
  readonly rateSpan: Span;
  readonly isDropFrame: boolean;
  /** Frame number of the time stamp of the first frame; null when the report does not say. */
  readonly startFrame: Rational | null;
  readonly startSpan: Span | null;
  readonly frameCount: Rational | null;
}

export interface SoundEntry {
  readonly key: string;
  readonly keySpan: Span;
  readonly span: Span;
  readonly file: string;
  readonly names: readonly WrittenName[];
  readonly sampleRate: Rate;
  readonly sampleRateSpan: Span;
  /** Samples since midnight of the first sample (BWF TimeReference); null when the report does not say. */
  readonly startSample: Rational | null;
  readonly sampleCount: Rational | null;
  /** Samples of the claps heard in the file, as listed; the first is clap 1. */
  readonly claps: readonly Rational[];
}

export interface WrittenName {
  readonly text: string;
  /** With its quotes, as all spans of JSON strings in a report. */
  readonly span: Span;
}

/**
 * One picture with one sound that ran at the same moment:
 * s(p) = sample/sampleRate + (p - frame/rate) x (1 + driftPpm/1e6), media seconds to media seconds.
 */
export interface Pair {
  readonly picture: PictureEntry;
  readonly sound: SoundEntry;
  readonly span: Span;
  readonly pictureSpan: Span;
  readonly soundSpan: Span;
  readonly atSpan: Span;
  readonly file: string;
  readonly frame: Rational;
  readonly sample: Rational;
  readonly driftPpm: Rational;
  /** Seconds, not negative: the true instant of the sound may lie this much earlier or later than `sample` says. */
  readonly uncertaintyEarly: Rational;
  readonly uncertaintyLate: Rational;
  readonly by: 'clap' | 'waveform' | 'timecode' | 'eye' | null;
  readonly clap: number | null;
  readonly note: string;
}

/** What is wrong inside a report or settings file; the rule report-invalid words it. */
export interface FileProblem {
  readonly file: string;
  readonly span: Span;
  readonly message: string;
  readonly severity: 'error' | 'warning' | 'information';
}

export interface AlignmentReport {
  /** As shown to people: a path relative to the timeline or the folder being checked. */
  readonly file: string;
  readonly text: string;
  readonly pictures: readonly PictureEntry[];
  readonly sounds: readonly SoundEntry[];
  readonly pairs: readonly Pair[];
  readonly problems: readonly FileProblem[];
}
