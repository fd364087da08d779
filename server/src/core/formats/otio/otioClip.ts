/**
 * One clip of the neutral timeline, from the item as written and its place.
 */

import type { Span } from '../../text/span.ts';
import { type Rate, rateLabel } from '../../time/rate.ts';
import { compare, equals, isZero, multiply, type Rational, rational, sign, ZERO } from '../../time/rational.ts';
import type { Clip, Track } from '../../timeline/model.ts';
import type { Item } from './otioItem.ts';
import { type ChildPlace, type Place, recordLength, sourceTimeAt } from './otioPlaces.ts';
import { observe, type Reading, reportNote } from './otioReading.ts';
import { combine } from './otioSpeed.ts';
import { isFrameRate } from './otioValues.ts';

const PULLED_UP = rational(1001, 1000);

/** The clip, or null when nothing of it is on record. `record` windows are not empty when it is made. */
export function makeClip(
  reading: Reading,
  item: Item,
  at: ChildPlace,
  parentPlace: Place,
  track: Track,
  index: number,
  span: Span,
): Clip | null {
  const { start: recordStart, end: recordEnd } = at.window;
  if (compare(recordStart, recordEnd) >= 0) return null;
  const { range, media } = item;
  const written = range?.start ?? null;
  const trimmedStart = written?.seconds ?? (range === null ? (media?.available?.start ?? undefined) : undefined);
  const speed = combine(parentPlace.speed, item.speed);
  item.clipIndex = index;
  reportRateConflicts(reading, item);
  if (speed.kind === 'constant' && sign(speed.scalar) < 0) {
    reportNote(
      reading,
      speed.span ?? item.label,
      'This clip plays backwards. OTIO does not say which end is the anchor, so it is not compared.',
      item,
    );
  }
  return {
    index,
    track: track.index,
    role: track.kind,
    name: item.name,
    nameSpan: item.nameSpan,
    span,
    isEnabled: parentPlace.isEnabled && item.isEnabled,
    record: at.window,
    doubt: at.doubt ?? (trimmedStart === undefined ? 'its source start cannot be read' : null),
    sourceStart: trimmedStart === undefined ? ZERO : sourceTimeAt(item, trimmedStart, at, parentPlace, recordStart),
    speed,
    media: (media as NonNullable<Item['media']>).media,
    start: written,
    length: range?.duration ?? null,
    textGroup: index,
    headOverlap: at.hasOwnHead ? overlap(item, -1, parentPlace) : ZERO,
    tailOverlap: at.hasOwnTail ? overlap(item, 1, parentPlace) : ZERO,
  };
}

/** How long a transition beside the clip lets it go on: visible_range of the OTIO library. */
function overlap(item: Item, side: -1 | 1, place: Place): Rational {
  const neighbour = item.parent?.kind === 'track' ? item.parent.children[item.position + side] : undefined;
  if (neighbour === undefined || neighbour.kind !== 'transition' || !neighbour.isEnabled) return ZERO;
  return recordLength(place, side === -1 ? neighbour.before : neighbour.after);
}

/** Rates of one clip that can't all be right. Sample rates beside frame rates are no contradiction: they count sound. */
function reportRateConflicts(reading: Reading, item: Item): void {
  const start = item.range?.start ?? null;
  const duration = item.range?.duration ?? null;
  if (
    start !== null &&
    duration !== null &&
    isConflict(start.rate, duration.rate) &&
    !isZero(start.count) &&
    !isZero(duration.count)
  ) {
    const message = `source_range counts its start in ${rateLabel(start.rate)} and its duration in ${rateLabel(duration.rate)} frames per second: expected one rate for both.`;
    observe(reading, { kind: 'rate', span: start.rateSpan ?? start.span, message, clip: null }, item);
  }
  const own = duration ?? start;
  const available = item.media?.available?.rate ?? null;
  if (own !== null && available !== null && isConflict(own.rate, available) && differsByPull(own.rate, available)) {
    const message = `The clip counts ${rateLabel(own.rate)} frames per second and its media ${rateLabel(available)}: they run apart by 3.6 s per hour. Find out which one the camera ran at.`;
    observe(reading, { kind: 'rate', span: own.rateSpan ?? own.span, message, clip: null }, item);
  }
}

function isConflict(left: Rate, right: Rate): boolean {
  return left !== right && !equals(left, right) && isFrameRate(left) && isFrameRate(right);
}

function differsByPull(left: Rate, right: Rate): boolean {
  return equals(left, multiply(right, PULLED_UP)) || equals(right, multiply(left, PULLED_UP));
}
