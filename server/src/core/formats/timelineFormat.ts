/**
 * What a timeline format has to offer: reading, and the text edits of the changes that fixes ask for.
 *
 * A format knows characters; it does not know reports, tolerances or findings. Adding one means writing this interface
 * once and adding it to `formatFor`.
 */

import type { DifferingRange } from '../text/differingRange.ts';
import type { Span } from '../text/span.ts';
import type { TextEdit } from '../text/textEdit.ts';
import type { Rate } from '../time/rate.ts';
import type { Rational } from '../time/rational.ts';
import type { Clip, FormatId, Timeline } from '../timeline/model.ts';
import type { Shift } from '../timeline/shiftTimeline.ts';

/** What the text itself does not say and the project may. */
export interface ReadOptions {
  /** `edlRate` of the settings. */
  readonly edlRate: Rate | null;
  /** The rate all pictures of the report share; null when they differ or there is no report. */
  readonly sharedPictureRate: Rate | null;
  /** File names by the `urn:uuid:` of composition playlists, in small letters: what an asset map beside the playlist says. */
  readonly assetNames?: ReadonlyMap<string, string> | null;
}

/** A change in the terms of the timeline, for the format to turn into characters. */
export type Change =
  /** Show another part of the media from the same place: `count` is the new start in units of `clip.start.rate`. */
  | { readonly kind: 'set-source-start'; readonly clip: number; readonly count: Rational }
  /** Say another rate at `span`, which holds a rate now. */
  | { readonly kind: 'set-rate'; readonly span: Span; readonly rate: Rate }
  /** Replace the characters of `span`. */
  | { readonly kind: 'replace'; readonly span: Span; readonly newText: string }
  /** Write an acceptance on a clip, where the format carries them. */
  | { readonly kind: 'accept'; readonly clip: number; readonly code: string; readonly reason: string };

export type EditResult =
  | { readonly ok: true; readonly edits: readonly TextEdit[] }
  /** Why the format cannot hold the change, as a sentence for people. */
  | { readonly ok: false; readonly reason: string };

/** A timeline in which one clip was read again. */
export interface Reread {
  readonly timeline: Timeline;
  /** As it is now; its index, track, kind, record time, speed and whether it is enabled are as before. */
  readonly clip: Clip;
  /** How all other places moved. */
  readonly shift: Shift;
}

export interface TimelineFormat {
  readonly id: FormatId;
  /** For people: 'OTIO JSON', 'neutral timeline XML', 'edit decision list'. */
  readonly title: string;
  /** Never throws, on any string. */
  readonly read: (text: string, options: ReadOptions) => Timeline;
  /**
   * The timeline of `after`, worked out from the timeline of `before` and the one range in which they differ; equal to
   * reading `after` whole. Null when the edit is not of a kind that can be told to change one clip alone. A format without it
   * reads fast enough.
   */
  readonly reread?: (previous: Timeline, before: string, after: string, changed: DifferingRange) => Reread | null;
  /** The smallest edits that make `change`; everything else stays byte for byte. */
  readonly editsFor: (text: string, timeline: Timeline, change: Change) => EditResult;
  /**
   * The steps in which a clip's start can be written, in units of `clip.start.rate`; null when any exact decimal can.
   * 1 for EDL frames and XML edit units.
   */
  readonly startStep: (timeline: Timeline, clip: number) => Rational | null;
}
