/**
 * The neutral timeline: what every format is read into and the only thing the rules see.
 *
 * Compositions are flattened while reading: a clip carries its exact place in record time and the affine map from
 * there to source time, so no rule walks a tree. What a person wrote stays reachable: each number that a finding may
 * point at or a fix may change is a `WrittenTime` with its span.
 *
 * Invariants
 * - All times are exact rationals in seconds; record times count from the timeline's first instant.
 * - `clips[i].index === i`, `tracks[i].index === i`; clips stand in text order.
 * - Readers never throw; what they could not read, they leave out and say so in `observations`.
 */

import type { Span } from '../text/span.ts';
import type { Rate } from '../time/rate.ts';
import type { Rational } from '../time/rational.ts';

export type FormatId = 'otio' | 'xml' | 'edl' | 'cpl';

/** Half-open: `end` is the first instant after the range. Seconds. */
export interface TimeRange {
  readonly start: Rational;
  readonly end: Rational;
}

export interface Timeline {
  readonly format: FormatId;
  readonly name: string;
  /** Frames per second of the timeline: the `f` of tolerances and messages. */
  readonly rate: Rate;
  /** Why this rate, as a phrase for people: 'global start time says 24', 'edlRate in afterclap.json'. */
  readonly rateReason: string;
  /** Where the rate stands in the text, when it does. */
  readonly rateSpan: Span | null;
  /** True when record timecode counts drop-frame. */
  readonly isDropFrame: boolean;
  /** Record timecode of the first instant, in frames at `rate`; null when the file does not tell. */
  readonly startFrame: Rational | null;
  readonly duration: Rational;
  readonly tracks: readonly Track[];
  readonly clips: readonly Clip[];
  readonly transitions: readonly Transition[];
  /** Trouble met while reading; the rules turn each into a finding. */
  readonly observations: readonly Observation[];
  /** Findings the file itself accepts, each with a reason. */
  readonly acceptances: readonly Acceptance[];
  /** Nesting as written, for outlines and folding: stacks, tracks, clips. */
  readonly outline: readonly OutlineNode[];
}

export interface Track {
  readonly index: number;
  readonly kind: 'picture' | 'sound' | 'other';
  /** As a person calls it: the written name, else V1, A2 ... */
  readonly name: string;
  readonly span: Span;
  readonly isEnabled: boolean;
}

export interface Clip {
  readonly index: number;
  /** Index into `tracks`. */
  readonly track: number;
  readonly role: 'picture' | 'sound' | 'other';
  readonly name: string;
  readonly nameSpan: Span | null;
  /** The whole clip as written: an object, an element, an event with its comments. */
  readonly span: Span;
  /** False when the clip, or anything it stands in, is disabled. */
  readonly isEnabled: boolean;
  readonly record: TimeRange;
  /**
   * Where this clip's record place is doubtful, the reason (an unreadable or unknown item stands before it on its track).
   * Such clips are not compared.
   */
  readonly doubt: string | null;
  /** Source time at `record.start`, in seconds as the timeline counts them (often a timecode). */
  readonly sourceStart: Rational;
  readonly speed: Speed;
  readonly media: Media;
  /** The number whose change slips the clip. Null when nothing in the text says it. */
  readonly start: WrittenTime | null;
  /** The number that says how long the clip is. Null when nothing in the text says it. */
  readonly length: WrittenTime | null;
  /**
   * Clips that share characters have the same number here: one EDL event on several channels. An edit to one is an
   * edit to all. Unique otherwise.
   */
  readonly textGroup: number;
  /** Seconds of record time the clip goes on before its head and after its tail, under a transition. */
  readonly headOverlap: Rational;
  readonly tailOverlap: Rational;
}

/** How source time runs against record time: source = sourceStart + scalar x (record - record.start). */
export type Speed =
  | { readonly kind: 'constant'; readonly scalar: Rational; readonly span: Span | null }
  /** A retime whose curve is not known: such clips keep their place but are not compared. */
  | { readonly kind: 'unknown'; readonly reason: string; readonly span: Span | null };

/** A time as it stands in the text. */
export interface WrittenTime {
  /** The characters of the number or label: what a finding underlines and a fix replaces. */
  readonly span: Span;
  /** Frames or samples at `rate`, exactly as written; fractions where the format allows them. */
  readonly count: Rational;
  readonly rate: Rate;
  /** Where the rate is written for this very number; null when it is inherited. */
  readonly rateSpan: Span | null;
  /** True when the number is written as a timecode label that counts drop-frame. Absent where numbers are plain counts. */
  readonly isDropFrame?: boolean;
  /** True when the rate is only the unit the number counts in and claims nothing of the file: composition playlists. */
  readonly isUnitOnly?: boolean;
}

/** What a clip shows or plays, in the words of the timeline. */
export interface Media {
  readonly kind: 'file' | 'sequence' | 'generator' | 'missing';
  /** URL, path or file name as written. */
  readonly url: string | null;
  readonly urlSpan: Span | null;
  readonly name: string | null;
  readonly nameSpan: Span | null;
  /** Reel or tape name; never AX, BL, BLACK or BARS. */
  readonly reel: string | null;
  readonly reelSpan: Span | null;
  /** Source times the file holds, when the timeline states them. Seconds. */
  readonly available: TimeRange | null;
  /**
   * True when the clip's source times already count from the file's first frame or sample and `available` is null, so
   * that the origin is 0 whatever the report's stamps say. Neutral XML without an AvailableRange; false for OTIO and EDL.
   */
  readonly sourceIsMediaTime: boolean;
  /** The rate in which `available` is written, or that the reference states. */
  readonly rate: Rate | null;
  readonly rateSpan: Span | null;
}

export interface Transition {
  readonly track: number;
  readonly span: Span;
  readonly name: string;
  /** The cut itself. */
  readonly at: Rational;
  readonly before: Rational;
  readonly after: Rational;
}

export interface OutlineNode {
  readonly kind: 'timeline' | 'stack' | 'track' | 'clip' | 'gap' | 'transition' | 'event' | 'media';
  readonly name: string;
  readonly span: Span;
  readonly nameSpan: Span | null;
  /** Index into `clips`, for clip nodes. */
  readonly clip: number | null;
  readonly children: readonly OutlineNode[];
}

export interface Acceptance {
  /** As written; may name a code that does not exist. */
  readonly code: string;
  readonly reason: string;
  readonly span: Span;
  /** Indices into `clips`; 'all' when it stands on the whole timeline. */
  readonly clips: readonly number[] | 'all';
}

/**
 * What a reader noticed. Facts only: the rule of the same name decides severity, wording and fix.
 * Every observation has a span inside the text.
 */
export type Observation =
  | {
      readonly kind: 'unreadable';
      readonly span: Span;
      /** A full sentence: what is wrong here and what was expected. */
      readonly message: string;
    }
  | { readonly kind: 'limit'; readonly span: Span; readonly message: string }
  | {
      readonly kind: 'old-schema';
      readonly span: Span;
      readonly schema: string;
      readonly version: number;
      readonly newest: number;
    }
  | {
      /** A timecode label drop-frame counting skips, or a field past its largest value. */
      readonly kind: 'label';
      readonly span: Span;
      readonly text: string;
      readonly problem: 'skipped' | 'no-drop-frame-at-rate' | 'mixed';
      readonly message: string;
      /** The label to put there instead, when one is certain. */
      readonly replacement: string | null;
      readonly clip: number | null;
    }
  | {
      /** Source and record lengths of one clip differ and no speed explains it. */
      readonly kind: 'length';
      readonly span: Span;
      readonly sourceFrames: Rational;
      readonly recordFrames: Rational;
      /** Replacing `span` by this makes the source as long as the record; null when that is impossible. */
      readonly replacement: string | null;
      readonly clip: number;
    }
  | {
      /** A rate that is not a usual one, or that contradicts another rate of the same file. */
      readonly kind: 'rate';
      readonly span: Span;
      readonly message: string;
      readonly clip: number | null;
    }
  | {
      /** A fraction of a frame where the format holds whole frames only. */
      readonly kind: 'off-grid';
      readonly span: Span;
      readonly message: string;
      readonly clip: number | null;
    }
  | {
      /** Something read with a guess, or left out, which a person should know. `speed-note`: about a speed (M2, reversed clips). */
      readonly kind: 'note' | 'speed-note';
      readonly span: Span;
      readonly message: string;
      readonly clip: number | null;
      /** True when it is to be a warning rather than information. */
      readonly isWarning?: boolean;
    };
