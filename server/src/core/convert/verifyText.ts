/**
 * The last look: a converted text is read again, and whatever is not as it was meant is told.
 *
 * Nothing that was told before is told again. What is compared is what sync rests on: each clip's place on record, where its
 * media runs there, its speed and whether it is on; the timeline's rate, start and number of transitions.
 */

import { formatFor } from '../formats/formatFor.ts';
import type { ReadOptions } from '../formats/timelineFormat.ts';
import { countToSeconds, rateLabel } from '../time/rate.ts';
import { add, equals, formatRational, isInteger, type Rational, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Timeline } from '../timeline/model.ts';
import { listStart } from './listStart.ts';
import { createLossLog, type Loss } from './loss.ts';
import { mediaStart } from './mediaFacts.ts';
import type { ConversionSource, Written } from './source.ts';
import { clipLoss } from './tell.ts';

export type TargetFormat = 'otio' | 'xml' | 'edl';

export interface Verification {
  readonly source: ConversionSource;
  readonly target: TargetFormat;
  readonly text: string;
  readonly written: Written<unknown>;
  /** Indices of the tracks that were to be written. */
  readonly tracks: ReadonlySet<number>;
  readonly options: ReadOptions;
}

export function verifyText({ source, target, text, written, tracks, options }: Verification): readonly Loss[] {
  const { timeline } = source;
  const log = createLossLog();
  const first = formatFor(target).read(text, options);
  const tell = (kind: 'rate' | 'check', message: string): void =>
    log.tell({ kind, message, clip: null, track: null, span: timeline.rateSpan });
  let back = first;
  if (!equals(first.rate, timeline.rate)) {
    const { numerator, denominator } = timeline.rate;
    tell(
      'rate',
      `The list does not say that it runs at ${rateLabel(timeline.rate)}; whoever reads it takes it for ${rateLabel(first.rate)} (${first.rateReason}). Write "edlRate": "${numerator}/${denominator}" into afterclap.json beside it.`,
    );
    back = formatFor(target).read(text, { ...options, edlRate: timeline.rate });
  }
  if (!equals(back.rate, timeline.rate))
    tell('check', `The rate reads back as ${rateLabel(back.rate)} instead of ${rateLabel(timeline.rate)}.`);
  if (!startsAlike(timeline, back))
    tell('check', 'The record timecode of the first frame reads back otherwise than it was meant.');
  const meant = timeline.transitions.filter(({ track }) => tracks.has(track)).length;
  if (back.transitions.length !== meant && !written.hasKind('transition')) {
    tell('check', `${back.transitions.length} transitions read back instead of ${meant}.`);
  }
  const found = new Map<string, number>();
  for (const clip of back.clips) {
    const key = keyOf(clip, back, subtract(clip.sourceStart, clip.media.available?.start ?? ZERO), clip.sourceStart, target);
    found.set(key, (found.get(key) ?? 0) + 1);
  }
  for (const clip of timeline.clips) {
    if (!tracks.has(clip.track) || written.isExcused(clip.index)) continue;
    const key = keyOf(clip, timeline, mediaTime(source, clip), sourceTime(source, clip, target), target);
    const count = found.get(key) ?? 0;
    if (count > 0) found.set(key, count - 1);
    else
      log.tell(
        clipLoss(
          'check',
          clip,
          'It does not read back as it was meant: its place, its source or its speed differs. Compare it by hand.',
          clip.start?.span ?? null,
        ),
      );
  }
  return log.losses();
}

/** What of a clip must be the same, as text. Neutral XML counts from the file's start, the others in source time. */
function keyOf(clip: Clip, timeline: Timeline, fromFile: Rational, inSource: Rational, target: TargetFormat): string {
  const start = target === 'edl' ? countToSeconds(listStart(timeline), timeline.rate) : ZERO;
  const { speed } = clip;
  return [
    clip.role,
    formatRational(add(start, clip.record.start)),
    formatRational(add(start, clip.record.end)),
    formatRational(target === 'xml' ? fromFile : inSource),
    speed.kind === 'constant' ? formatRational(speed.scalar) : 'unknown',
    clip.isEnabled ? 'on' : 'off',
  ].join(' ');
}

function mediaTime({ facts }: ConversionSource, clip: Clip): Rational {
  const own = facts[clip.index];
  return own === undefined ? clip.sourceStart : mediaStart(clip, own);
}

/** An edit list writes timecode, so times from the file's start have the stamp added. */
function sourceTime({ facts }: ConversionSource, clip: Clip, target: TargetFormat): Rational {
  const own = facts[clip.index];
  const isStamped = target === 'edl' && own?.from === 'media-time' && own.stamp !== null;
  return isStamped ? add(clip.sourceStart, own.stamp as Rational) : clip.sourceStart;
}

/** An edit list begins with its first event, so there the labels of the clips say it. */
function startsAlike(timeline: Timeline, back: Timeline): boolean {
  if (back.format === 'edl' || timeline.startFrame === null || back.startFrame === null) return true;
  return !isInteger(timeline.startFrame) || equals(timeline.startFrame, back.startFrame);
}
