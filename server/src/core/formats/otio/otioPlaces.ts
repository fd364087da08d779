/**
 * From the place of a composition on record to the places of its children: the walk down the tree.
 *
 * A composition's own time is 0 at its first child. At record time r it stands at `scale x r + offset`; one level down
 * that becomes `trimmedStart + speed x (t - startInParent)`. This is what the OTIO library's transformed_time does;
 * its range_of_child skips the source_range of the levels between and is wrong for nested compositions (observed).
 *
 * All maps are affine and exact. A reversed composition is played from its end; OTIO leaves that undefined, so what is
 * inside is marked as doubtful.
 */

import {
  add,
  compare,
  divide,
  equals,
  isZero,
  maximum,
  multiply,
  negate,
  ONE,
  type Rational,
  sign,
  subtract,
  ZERO,
} from '../../time/rational.ts';
import type { Speed } from '../../timeline/model.ts';
import type { Item } from './otioItem.ts';
import { isRecordOffset } from './otioLengths.ts';
import { combine } from './otioSpeed.ts';

/** Record times in which something is seen or heard; empty when `end` is not after `start`. */
interface RecordWindow {
  readonly start: Rational;
  readonly end: Rational;
}

/** A composition on record. */
export interface Place {
  readonly scale: Rational;
  readonly offset: Rational;
  readonly window: RecordWindow;
  readonly speed: Speed;
  readonly isEnabled: boolean;
  readonly doubt: string | null;
  /** Whose source_range leaves nothing of it; null when something is left. */
  readonly hiddenBy: Item | null;
  /** The nearest composition, itself included, that has a source_range: what cuts its children. */
  readonly cutBy: Item | null;
  /** Where the next child of a track starts, in own time. */
  cursor: Rational;
  /** What makes that doubtful. */
  cursorDoubt: string | null;
}

/** Where a child lies: in its parent's own time, and on record as far as the windows above leave it. */
export interface ChildPlace {
  readonly startInParent: Rational;
  readonly window: RecordWindow;
  /** True when the cut at the head, or at the tail, is the child's own and not that of something around it. */
  readonly hasOwnHead: boolean;
  readonly hasOwnTail: boolean;
  readonly doubt: string | null;
}

/** The topmost composition: its source_range, if any, starts at record 0. */
export function placeRoot(root: Item): Place {
  const trimmedStart = root.range?.start?.seconds ?? ZERO;
  const isCut = root.range !== null && root.range.duration !== null && !isRecordOffset(root);
  const { scale, offset } = mapInside(root, trimmedStart, ONE, ZERO, ZERO);
  return {
    scale,
    offset,
    window: { start: ZERO, end: recordEnd(root) },
    speed: root.speed,
    isEnabled: root.isEnabled,
    doubt: reverseDoubt(root) ?? unknownSpeedDoubt(root) ?? unreadableStartDoubt(root),
    hiddenBy: null,
    cutBy: isCut ? root : null,
    cursor: ZERO,
    cursorDoubt: null,
  };
}

/** Places the next child and moves the parent's cursor past it. Children must come in order. */
export function placeChild(parent: Item, place: Place, child: Item): ChildPlace {
  const isTrack = parent.kind === 'track';
  const startInParent = isTrack ? place.cursor : ZERO;
  const doubt = place.doubt ?? (isTrack ? place.cursorDoubt : null);
  if (isTrack && child.kind !== 'transition') {
    place.cursor = add(place.cursor, child.length);
    if (child.lengthDoubt !== null) place.cursorDoubt ??= `${child.lengthDoubt} stands before it on its track`;
  }
  // A record offset shows all of its children, moved; everything else shows what fits into its length.
  const isOffset = isRecordOffset(child);
  const from = isOffset ? subtract(startInParent, child.range?.start?.seconds ?? ZERO) : startInParent;
  const to = add(from, isOffset ? child.innerLength : child.length);
  return windowOnRecord(place, from, to, startInParent, doubt);
}

/** The place of a composition that is a child. */
export function placeInside(child: Item, at: ChildPlace, parent: Place, parentItem: Item): Place {
  const trimmedStart = child.range?.start?.seconds ?? ZERO;
  const { scale, offset } = mapInside(child, trimmedStart, parent.scale, parent.offset, at.startInParent);
  const isEmpty = compare(at.window.start, at.window.end) >= 0;
  return {
    scale,
    offset,
    window: at.window,
    speed: combine(parent.speed, child.speed),
    isEnabled: parent.isEnabled && child.isEnabled,
    doubt: at.doubt ?? reverseDoubt(child) ?? unknownSpeedDoubt(child) ?? unreadableStartDoubt(child),
    hiddenBy: parent.hiddenBy ?? (isEmpty && sign(child.length) > 0 ? (parent.cutBy ?? parentItem) : null),
    cutBy: child.range !== null && !isRecordOffset(child) ? child : parent.cutBy,
    cursor: ZERO,
    cursorDoubt: null,
  };
}

/** Source time of a clip at record time `at`. `trimmedStart` is the source time at its own, uncut head. */
export function sourceTimeAt(clip: Item, trimmedStart: Rational, child: ChildPlace, parent: Place, at: Rational): Rational {
  // Nothing is cut off its head, so it starts where it says.
  if (child.hasOwnHead && sign(parent.scale) > 0) return trimmedStart;
  const inParent = parent.scale === ONE ? add(at, parent.offset) : add(multiply(parent.scale, at), parent.offset);
  const sinceHead = subtract(inParent, child.startInParent);
  if (isZero(sinceHead)) return trimmedStart;
  const scalar = clip.speed.kind === 'constant' ? clip.speed.scalar : ONE;
  return add(trimmedStart, scalar === ONE ? sinceHead : multiply(scalar, sinceHead));
}

/** Seconds of record time that `seconds` of the composition's own time take; zero where it stands still. */
export function recordLength(place: Place, seconds: Rational): Rational {
  if (place.scale === ONE || isZero(seconds)) return seconds;
  if (isZero(place.scale)) return ZERO;
  const scaled = divide(seconds, place.scale);
  return sign(scaled) < 0 ? negate(scaled) : scaled;
}

function mapInside(
  item: Item,
  trimmedStart: Rational,
  scale: Rational,
  offset: Rational,
  startInParent: Rational,
): Pick<Place, 'scale' | 'offset'> {
  const speed = item.speed.kind === 'constant' ? item.speed.scalar : ONE;
  if (speed === ONE) return { scale, offset: add(trimmedStart, subtract(offset, startInParent)) };
  const start = sign(speed) < 0 ? add(trimmedStart, multiply(negate(speed), item.length)) : trimmedStart;
  const product = multiply(speed, scale);
  return {
    scale: equals(product, ONE) ? ONE : product,
    offset: add(start, multiply(speed, subtract(offset, startInParent))),
  };
}

/** The part of [from, to) in the composition's own time that is on record. */
function windowOnRecord(place: Place, from: Rational, to: Rational, startInParent: Rational, doubt: string | null): ChildPlace {
  const { scale, offset, window } = place;
  let head: Rational;
  let tail: Rational;
  if (isZero(scale)) {
    // Everything stands still: one instant is held for as long as the composition lasts.
    const isHeld = compare(from, offset) <= 0 && compare(offset, to) < 0;
    const held = isHeld ? window : { start: window.start, end: window.start };
    return { startInParent, doubt, window: held, hasOwnHead: false, hasOwnTail: false };
  }
  if (scale === ONE) {
    // Mostly nothing around is trimmed or moved, and nothing needs to be worked out.
    head = isZero(offset) ? from : subtract(from, offset);
    tail = isZero(offset) ? to : subtract(to, offset);
  } else {
    head = divide(subtract(from, offset), scale);
    tail = divide(subtract(to, offset), scale);
    if (sign(scale) < 0) [head, tail] = [tail, head];
  }
  const hasOwnHead = compare(head, window.start) >= 0;
  const hasOwnTail = compare(tail, window.end) <= 0;
  const start = hasOwnHead ? head : window.start;
  const end = hasOwnTail ? tail : window.end;
  return { startInParent, doubt, window: { start, end }, hasOwnHead, hasOwnTail };
}

function reverseDoubt(item: Item): string | null {
  if (item.speed.kind !== 'constant' || sign(item.speed.scalar) >= 0) return null;
  return `it stands in a ${item.kind} that plays backwards, and OTIO does not say from which end`;
}

function unreadableStartDoubt(item: Item): string | null {
  return item.range !== null && item.range.start === null
    ? `it stands in a ${item.kind} whose source_range cannot be read`
    : null;
}

function unknownSpeedDoubt(item: Item): string | null {
  return item.speed.kind === 'unknown' ? `it stands in a ${item.kind} whose speed is not known: ${item.speed.reason}` : null;
}

/** Where record ends: as long as the root's own source_range says, else after the last thing on it. */
export function recordEnd(root: Item): Rational {
  const moved = isRecordOffset(root) ? negate(root.range?.start?.seconds ?? ZERO) : ZERO;
  if (root.range?.duration !== undefined && root.range.duration !== null && isZero(moved)) return root.length;
  let end: Rational = root.kind === 'track' ? root.innerLength : ZERO;
  for (const child of root.kind === 'track' ? [] : root.children) {
    const offset = isRecordOffset(child) ? negate(child.range?.start?.seconds ?? ZERO) : ZERO;
    end = maximum(end, add(offset, compare(offset, ZERO) > 0 ? child.innerLength : child.length));
  }
  return add(end, moved);
}
