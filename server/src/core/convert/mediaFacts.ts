/**
 * Where the media of a clip begins, as far as the timeline states it or the alignment report knows it.
 *
 * Formats disagree about source times: neutral XML and composition playlists count from the first frame or sample of the
 * file, edit lists and most OTIO files write the file's timecode. Between the two lies the file's stamp. Where the timeline does not
 * state it the report may; the same look-up as in the audit is used, so that a converted file is checked like its source.
 */

import { type Alignment, buildAlignment, entryFor } from '../alignment/lookup.ts';
import type { AlignmentReport } from '../alignment/model.ts';
import { originOf } from '../alignment/origin.ts';
import type { Rate } from '../time/rate.ts';
import { add, divide, type Rational, subtract, ZERO } from '../time/rational.ts';
import type { Clip, TimeRange } from '../timeline/model.ts';

export interface MediaFacts {
  /**
   * How it is known where the file begins in source time. `stated`: by the timeline. `media-time`: source times count from
   * the file's start. `report`: by the report's stamp. `assumed`: the report knows the file and no stamp fits, so the audit counts
   * from 0. `unknown`: nobody says.
   */
  readonly from: 'stated' | 'media-time' | 'report' | 'assumed' | 'unknown';
  /** Source time of the first frame or sample; 0 where unknown. */
  readonly origin: Rational;
  /** Source times the file holds, by timeline or report; null when its length is not known. */
  readonly available: TimeRange | null;
  /** The file's own time stamp by the report, in seconds; null when it gives none. */
  readonly stamp: Rational | null;
  /** Frames or samples per second of the file by the report; null when it does not know the file. */
  readonly rate: Rate | null;
}

/** The facts of each clip, by index. */
export function mediaFacts(clips: readonly Clip[], reports: readonly AlignmentReport[]): readonly MediaFacts[] {
  const alignment = reports.length === 0 ? null : buildAlignment(reports);
  return clips.map((clip) => factsOf(clip, alignment));
}

function factsOf(clip: Clip, alignment: Alignment | null): MediaFacts {
  const { available, sourceIsMediaTime } = clip.media;
  const match = alignment === null ? null : entryFor(alignment, clip);
  const rate = match?.picture?.rate ?? match?.sound?.sampleRate ?? null;
  if (available !== null) return { from: 'stated', origin: available.start, available, stamp: available.start, rate };
  if (match === null || match.by === null) {
    return { from: sourceIsMediaTime ? 'media-time' : 'unknown', origin: ZERO, available: null, stamp: null, rate };
  }
  const count = match.picture?.startFrame ?? match.sound?.startSample ?? null;
  const stamp = count === null || rate === null ? null : divide(count, rate);
  const origin = originOf(clip, match);
  const from = sourceIsMediaTime ? 'media-time' : origin.from === 'stamp' ? 'report' : 'assumed';
  const range = origin.mediaLength === null ? null : { start: origin.seconds, end: add(origin.seconds, origin.mediaLength) };
  return { from, origin: origin.seconds, available: range, stamp, rate };
}

/** Media time at the head of a clip. */
export function mediaStart(clip: Clip, facts: MediaFacts): Rational {
  return subtract(clip.sourceStart, facts.origin);
}
