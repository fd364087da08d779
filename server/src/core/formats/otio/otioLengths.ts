/**
 * How long each item is, worked out from the leaves up.
 *
 * A track is as long as its children together, transitions left out, plus what a leading and a trailing transition add; a
 * stack is as long as its longest child; a source_range overrules both (OTIO library: available_range, trimmed_range).
 * A retime does not change what an item takes on record.
 */

import { add, compare, maximum, type Rational, rational, sign, subtract, ZERO } from '../../time/rational.ts';
import type { Item } from './otioItem.ts';
import { type Reading, reportUnreadable, shortened } from './otioReading.ts';

/** A rescale in doubles misses by far less, and no frame is that short. */
const RESCALE_NOISE = rational(1, 1_000_000);

/** Fills `length`, `innerLength` and `lengthDoubt`. `items` holds every parent before its children. */
export function measureItems(reading: Reading, items: readonly Item[]): void {
  for (let index = items.length - 1; index >= 0; index -= 1) measure(reading, items[index] as Item);
}

/**
 * True for the form of source_range that edit list converters write: minus the record start, and a duration that is the sum of
 * the children. It moves the children and cuts nothing (the OTIO project's edit list adapter writes it).
 */
export function isRecordOffset(item: Item): boolean {
  if (item.kind !== 'track' && item.kind !== 'stack') return false;
  const start = item.range?.start?.seconds;
  const duration = item.range?.duration?.seconds;
  if (start === undefined || duration === undefined || sign(start) >= 0) return false;
  if (isNearly(duration, item.innerLength)) return true;
  // Taken as a cut it would leave nothing at all, which nobody writes on purpose.
  return compare(add(start, duration), ZERO) <= 0;
}

function measure(reading: Reading, item: Item): void {
  const { range } = item;
  if (item.kind === 'transition' || item.kind === 'opaque') return;
  if (item.kind === 'track') measureTrack(item);
  if (item.kind === 'stack') measureStack(item);
  if (range !== null) {
    if (range.duration !== null) {
      item.length = range.duration.seconds;
      item.lengthDoubt = null;
    } else {
      item.length = availableLength(item) ?? item.innerLength;
      item.lengthDoubt = `${named(item)}, whose length cannot be read,`;
    }
    return;
  }
  if (item.kind === 'clip') {
    const available = availableLength(item);
    if (available !== null) {
      item.length = available;
    } else {
      item.lengthDoubt = `${named(item)}, whose length is not stated,`;
      reportUnreadable(
        reading,
        item.label,
        'This clip has no source_range and its media no available_range: its length is unknown, so neither it nor what follows it on its track can be placed.',
      );
    }
  } else if (item.kind !== 'gap') {
    item.length = item.innerLength;
  }
}

function measureTrack(track: Item): void {
  let length: Rational = ZERO;
  for (const child of track.children) {
    if (child.kind !== 'transition') length = add(length, child.length);
    track.lengthDoubt ??= child.lengthDoubt;
  }
  const first = track.children[0];
  const last = track.children.at(-1);
  if (first?.kind === 'transition') length = add(length, first.before);
  if (last?.kind === 'transition') length = add(length, last.after);
  track.innerLength = length;
}

function measureStack(stack: Item): void {
  let length: Rational = ZERO;
  for (const child of stack.children) {
    length = maximum(length, child.length);
    stack.lengthDoubt ??= child.lengthDoubt;
  }
  stack.innerLength = length;
}

function availableLength(item: Item): Rational | null {
  return item.media?.available?.duration ?? null;
}

function isNearly(left: Rational, right: Rational): boolean {
  const difference = subtract(left, right);
  return compare(difference, RESCALE_NOISE) <= 0 && compare(difference, rational(-1, 1_000_000)) >= 0;
}

/** The item as a message names it. */
export function named(item: Item): string {
  return item.name === '' ? `a ${item.kind} without a name` : `${item.kind} "${shortened(item.name)}"`;
}
