/**
 * The clips of one channel as an edit list has them: transitions begin at the cut, and what fades to or from nothing fades to or
 * from black.
 *
 * A transition that begins before its cut is the same picture with the cut moved to its beginning: the outgoing clip ends
 * there and goes on under the transition, the incoming one starts there. What is seen and heard stays, and so does sync.
 */

import { add, compare, formatRational, minimum, multiply, ONE, type Rational, sign, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Transition } from '../timeline/model.ts';
import type { LossLog } from './loss.ts';
import { amount, tellLostTransition } from './tell.ts';

export interface EdlPiece {
  /** Null for black. */
  readonly clip: Clip | null;
  readonly start: Rational;
  readonly end: Rational;
  /** How much earlier than the clip itself it starts in source time, in seconds. */
  readonly earlier: Rational;
  readonly passage: EdlPassage | null;
}

/** How the piece comes in, when not by a cut. */
export interface EdlPassage {
  readonly transition: Transition;
  readonly length: Rational;
  /** Null for black. */
  readonly outgoing: EdlPiece | null;
}

interface Draft {
  clip: Clip | null;
  start: Rational;
  end: Rational;
  earlier: Rational;
  passage: { transition: Transition; length: Rational; outgoing: Draft | null } | null;
}

/** In record order. `clips` are those of one track that are to be written; `transitions` those of the track. */
export function edlPieces(clips: readonly Clip[], transitions: readonly Transition[], log: LossLog): readonly EdlPiece[] {
  const drafts: Draft[] = clips
    .toSorted((left, right) => compare(left.record.start, right.record.start) || left.index - right.index)
    .map((clip) => ({ clip, start: clip.record.start, end: clip.record.end, earlier: ZERO, passage: null }));
  const byStart = new Map<string, Draft>();
  const byEnd = new Map<string, Draft>();
  for (const draft of drafts) {
    if (!byStart.has(formatRational(draft.start))) byStart.set(formatRational(draft.start), draft);
    byEnd.set(formatRational(draft.end), draft);
  }
  const black: Draft[] = [];
  for (const transition of transitions.toSorted((left, right) => compare(left.at, right.at))) {
    const outgoing = byEnd.get(formatRational(transition.at)) ?? null;
    const incoming = byStart.get(formatRational(transition.at)) ?? null;
    const made = applyTransition(transition, outgoing, incoming, drafts, log);
    if (made !== null) black.push(made);
  }
  return [...drafts, ...black].toSorted((left, right) => compare(left.start, right.start));
}

/** The black that a transition goes to, when it goes to nothing; null otherwise. */
function applyTransition(
  transition: Transition,
  outgoing: Draft | null,
  incoming: Draft | null,
  drafts: readonly Draft[],
  log: LossLog,
): Draft | null {
  const { before, after, at } = transition;
  const length = add(before, after);
  if (outgoing === null && incoming === null) {
    tellLostTransition(log, transition);
    return null;
  }
  const isTooLong = outgoing !== null && compare(before, subtract(outgoing.end, outgoing.start)) >= 0;
  if (
    sign(length) === 0 ||
    (sign(before) > 0 && (outgoing === null || isTooLong)) ||
    (incoming?.passage !== undefined && incoming?.passage !== null)
  ) {
    const why =
      sign(length) === 0 ? 'has no length' : 'begins before the clip in front of it does, or a second one stands on its cut';
    tell(log, transition, `This transition ${why}. It is written as a cut.`);
    return null;
  }
  const cut = subtract(at, before);
  for (const side of [outgoing, incoming]) {
    if (sign(before) > 0 && side !== null && side.clip !== null) log.excuse(side.clip.index);
  }
  if (sign(before) > 0) {
    tell(
      log,
      transition,
      `This transition begins ${amount(before)} before its cut, and in an edit list it begins at the cut. The cut is moved there: what is seen and heard stays the same.`,
    );
    if (outgoing !== null) outgoing.end = cut;
  }
  if (incoming !== null) {
    incoming.start = cut;
    const { speed } = incoming.clip as Clip;
    incoming.earlier = multiply(before, speed.kind === 'constant' ? speed.scalar : ONE);
    incoming.passage = { transition, length, outgoing };
    return null;
  }
  const next = drafts.find((draft) => compare(draft.start, at) >= 0 && draft !== outgoing);
  const end = next === undefined ? add(at, after) : minimum(add(at, after), next.start);
  if (compare(cut, end) >= 0) {
    tell(log, transition, 'This transition leads to nothing and the next clip follows at once. It is written as a cut.');
    return null;
  }
  tell(log, transition, 'This transition leads to nothing. In the list it leads to black, which is an event of its own.');
  return { clip: null, start: cut, end, earlier: ZERO, passage: { transition, length, outgoing } };
}

function tell(log: LossLog, transition: Transition, message: string): void {
  log.tell({ kind: 'transition', message, clip: null, track: transition.track, span: transition.span });
}
