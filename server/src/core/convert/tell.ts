/**
 * Losses that several writers have in common, worded once.
 */

import type { Span } from '../text/span.ts';
import { type Rate, rateLabel } from '../time/rate.ts';
import { compare, equals, multiply, type Rational, rational, toNumber } from '../time/rational.ts';
import type { Clip, Transition } from '../timeline/model.ts';
import { isOutOfProportion } from './exactTimes.ts';
import type { Lane } from './laneLayout.ts';
import type { Loss, LossKind, LossLog } from './loss.ts';
import type { ConversionSource } from './source.ts';

/** A loss of one clip, on `span` or else on the whole of it. */
export function clipLoss(kind: LossKind, clip: Clip, message: string, span: Span | null = null): Loss {
  return { kind, message, clip: clip.index, track: clip.track, span: span ?? clip.span };
}

/** Clips that last; those of no length are told and left out, since no reader would show or play them. */
export function writableClips({ timeline }: ConversionSource, log: LossLog): readonly Clip[] {
  return timeline.clips.filter((clip) => {
    if (isAbsurd(clip)) {
      log.excuse(clip.index);
      log.tell(
        clipLoss(
          'unreadable',
          clip,
          'Its place, its source or its speed is out of all proportion, so it is left out.',
          clip.start?.span ?? null,
        ),
      );
      return false;
    }
    if (compare(clip.record.start, clip.record.end) < 0) return true;
    log.excuse(clip.index);
    log.tell(
      clipLoss('hidden', clip, 'It has no length, so it is never seen or heard. It is left out.', clip.length?.span ?? null),
    );
    return false;
  });
}

/** Where a clip had to be counted in another unit so that nothing is rounded. */
export function tellUnits(log: LossLog, clip: Clip, start: Rate, length: Rate): void {
  const written = clip.start !== null && !equals(clip.start.rate, start) ? clip.start : null;
  const writtenLength = clip.length !== null && !equals(clip.length.rate, length) ? clip.length : null;
  const changed = written ?? writtenLength;
  if (changed === null) return;
  const now = written === null ? length : start;
  const what = written === null ? 'length' : 'start';
  log.tellAlike(
    `unit ${clip.track} ${rateLabel(changed.rate)} ${rateLabel(now)} ${what}`,
    { kind: 'unit', clip: clip.index, track: clip.track, span: changed.span },
    (count) =>
      `Its ${what} was counted at ${rateLabel(changed.rate)} and is now counted at ${rateLabel(now)}: the instant is the same, the unit is not${others(count)}.`,
  );
}

/** A clip that overlaps another one on its track stands on a track of its own. */
export function tellLayer(log: LossLog, lane: Lane): void {
  if (lane.layer === 0) return;
  for (const item of lane.items) {
    if (item.kind !== 'clip') continue;
    const message = `It overlaps another clip on ${lane.track.name}, where an edit list records over it. A track here plays one clip after another, so it is put on a track of its own, '${lane.track.name} layer ${lane.layer + 1}'; decide which of the two is meant.`;
    log.tell(clipLoss('track', item.clip, message));
  }
}

export function tellLostTransition(log: LossLog, transition: Transition): void {
  const message = `The transition${transition.name === '' ? '' : ` '${transition.name}'`} stands where no clip of its track begins or ends. It is left out.`;
  log.tell({ kind: 'transition', message, clip: null, track: transition.track, span: transition.span });
}

/** ' (so with 11 more clips of this track)' or nothing. */
export function others(count: number): string {
  return count === 1 ? '' : ` (so with ${count - 1} more ${count === 2 ? 'clip' : 'clips'} of this track)`;
}

/** '12.5 ms', '1.2 s': the size of a time, for sentences. */
export function amount(seconds: Rational): string {
  const milliseconds = Math.abs(toNumber(multiply(seconds, rational(1000))));
  return milliseconds >= 1000 ? `${short(milliseconds / 1000)} s` : `${short(milliseconds)} ms`;
}

function short(value: number): string {
  if (value !== 0 && value < 0.001) return 'less than 0.001';
  return value.toFixed(3).replace(/\.?0+$/, '');
}

function isAbsurd({ record, sourceStart, speed }: Clip): boolean {
  return [record.start, record.end, sourceStart, ...(speed.kind === 'constant' ? [speed.scalar] : [])].some(isOutOfProportion);
}
