/**
 * rate-mismatch: clip, timeline and report disagree on a frame rate.
 *
 * Told once a clip, on the first rate that is wrong; a rate the text does not state for the clip (an EDL has none) is told
 * once for a picture of the report, or a long list would say the same thing on every line.
 */

import type { PictureEntry } from '../alignment/model.ts';
import type { Change } from '../formats/timelineFormat.ts';
import type { Span } from '../text/span.ts';
import { isSampleRate, type Rate, rateLabel } from '../time/rate.ts';
import { equals } from '../time/rational.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import type { Finding, Fix, RelatedPlace } from './finding.ts';
import { differsByPull, driftInWords } from './rateConflict.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const rateMismatch: Rule = {
  code: 'rate-mismatch',
  defaultSeverity: 'error',
  documentation: {
    title: 'Frame rates disagree',
    what: 'A frame rate written in the timeline is not the one the report gives for the picture, or clip and timeline differ by 0.1 %, as 24 and 23.976 do. Rates are compared as exact ratios: 23.976 and 23.98 both mean 24000/1001.',
    why: 'The same timecode label means another instant at another rate. Between 24 and 23.976 that is 3.6 s per hour: one frame after 42 s.',
    whatToDo:
      'Find out what the camera really ran at (the report, the camera sheet), then export the timeline with that rate. The quick fix writes the rate of the report; it may change how long the clip is, so it is never part of a fix-all. For an EDL, which holds no rate, set edlRate in afterclap.json.',
    sources: ['SMPTE ST 12-1:2008: nominal rates stand for exact ratios', '3.6 s per hour: arithmetic (24 against 24000/1001)'],
  },
  check: rateFindings,
  fixes: rateFixes,
};

interface Conflict {
  readonly written: Rate;
  readonly wanted: Rate;
  /** Who says what is wanted, as a phrase. */
  readonly source: string;
  readonly place: Span;
  /** Every place in the clip that writes the conflicting rate. */
  readonly rateSpans: readonly Span[];
  readonly related: readonly RelatedPlace[];
}

function* rateFindings(context: AuditContext): Generator<FindingDraft> {
  yield* observedRates(context);
  yield* timelineRate(context);
  const toldInherited = new Set<string>();
  for (const resolved of context.clips) {
    const conflict = conflictOf(context, resolved);
    if (conflict === null) continue;
    if (conflict.rateSpans.length === 0) {
      const key = `${resolved.picture?.key ?? ''} ${rateLabel(conflict.written)}`;
      if (toldInherited.has(key)) continue;
      toldInherited.add(key);
    }
    const { clip, picture } = resolved;
    yield draft({
      message: `The timeline counts '${clip.name}' at ${rateLabel(conflict.written)} frames per second; ${conflict.source} says ${rateLabel(conflict.wanted)}: ${driftInWords(conflict.written, conflict.wanted)}. Find out what the camera ran at and use that rate in both.`,
      place: { file: null, span: conflict.place },
      related: conflict.related,
      picture: picture?.key ?? null,
      sound: resolved.sound?.key ?? null,
      clips: [clip.index],
    });
  }
}

function* observedRates(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'rate') continue;
    yield draft({
      message: observation.message,
      place: { file: null, span: observation.span },
      clips: observation.clip === null ? [] : [observation.clip],
    });
  }
}

/** A timeline 0.1 % off the pictures it is cut from, said once and not for every clip. */
function* timelineRate(context: AuditContext): Generator<FindingDraft> {
  const { timeline } = context;
  const picture = pictureTimelineIsOff(context);
  if (picture === null || timeline.rateSpan === null) return;
  yield draft({
    message: `The timeline runs at ${rateLabel(timeline.rate)}, all its pictures at ${rateLabel(picture.rate)} by the report: ${driftInWords(timeline.rate, picture.rate)}. Find out which is meant; picture and sound must be handed over at one rate.`,
    place: { file: null, span: timeline.rateSpan },
    related: [{ file: picture.file, span: picture.rateSpan, message: `the report's rate of ${picture.key}` }],
    picture: picture.key,
  });
}

/** One of the pictures, when all are alike and 0.1 % off the timeline. */
function pictureTimelineIsOff(context: AuditContext): PictureEntry | null {
  const isSeen = ({ clip, picture }: ResolvedClip): boolean => clip.role === 'picture' && clip.isEnabled && picture !== null;
  const first = context.clips.find(isSeen)?.picture ?? null;
  if (first === null || !differsByPull(context.timeline.rate, first.rate)) return null;
  const isOther = (resolved: ResolvedClip): boolean =>
    isSeen(resolved) && !equals((resolved.picture as PictureEntry).rate, first.rate);
  return context.clips.some(isOther) ? null : first;
}

/** True when a rate of the clip disagrees with the report or the timeline: its lag is then no sign of where it belongs. */
export function hasRateConflict(context: AuditContext, resolved: ResolvedClip): boolean {
  return conflictOf(context, resolved) !== null;
}

/** True when the clip's rate is wrong and stands nowhere in its own text: said on one clip for all of its camera. */
export function isRateToldOnce(context: AuditContext, resolved: ResolvedClip): boolean {
  return conflictOf(context, resolved)?.rateSpans.length === 0;
}

function conflictOf(context: AuditContext, resolved: ResolvedClip): Conflict | null {
  const { clip, picture } = resolved;
  const wanted = picture?.rate ?? context.timeline.rate;
  const isWrong = (rate: Rate): boolean => {
    if (rate === wanted || isSampleRate(rate)) return false;
    return picture === null || clip.role !== 'picture' ? differsByPull(rate, wanted) : !equals(rate, wanted);
  };
  const { start, length, media } = clip;
  const written =
    start !== null && isWrong(start.rate)
      ? { rate: start.rate, place: start.rateSpan ?? start.span }
      : length !== null && length.rateSpan !== null && isWrong(length.rate)
        ? { rate: length.rate, place: length.rateSpan }
        : media.rate !== null && media.rateSpan !== null && isWrong(media.rate)
          ? { rate: media.rate, place: media.rateSpan }
          : null;
  if (written === null) return null;
  const rateSpans = [start, length, media].flatMap((holder) =>
    holder !== null && holder.rate !== null && holder.rateSpan !== null && equals(holder.rate, written.rate)
      ? [holder.rateSpan]
      : [],
  );
  return {
    written: written.rate,
    wanted,
    source: picture === null ? 'the timeline' : `the report for ${picture.key}`,
    place: written.place,
    rateSpans,
    related: relatedOf(context, resolved),
  };
}

function relatedOf(context: AuditContext, { picture }: ResolvedClip): readonly RelatedPlace[] {
  if (picture !== null) return [{ file: picture.file, span: picture.rateSpan, message: `the report's rate of ${picture.key}` }];
  const { rateSpan } = context.timeline;
  return rateSpan === null ? [] : [{ file: null, span: rateSpan, message: "the timeline's rate" }];
}

function rateFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const index = finding.clips[0];
  if (index === undefined) return timelineRateFixes(context, finding);
  const resolved = context.clips[index];
  const conflict = resolved === undefined ? null : conflictOf(context, resolved);
  if (conflict === null || conflict.rateSpans.length === 0) return [];
  const changes: readonly Change[] = conflict.rateSpans.map((span) => ({ kind: 'set-rate', span, rate: conflict.wanted }));
  return [
    {
      title: `Write ${rateLabel(conflict.wanted)} for ${rateLabel(conflict.written)} in this clip (its length in seconds changes with it)`,
      isSafe: false,
      isPreferred: false,
      changes,
    },
  ];
}

function timelineRateFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const { rateSpan, rate } = context.timeline;
  const picture = pictureTimelineIsOff(context);
  if (picture === null || rateSpan === null || rateSpan.start !== finding.place.span.start) return [];
  return [
    {
      title: `Write ${rateLabel(picture.rate)} for the timeline's ${rateLabel(rate)} (what counts in it changes with it)`,
      isSafe: false,
      isPreferred: false,
      changes: [{ kind: 'set-rate', span: rateSpan, rate: picture.rate }],
    },
  ];
}
