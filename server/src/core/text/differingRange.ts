/**
 * Where two versions of a text differ: one range, from the first character that changed to the last.
 *
 * Found by comparing slices and halving, not character by character: comparing slices runs at memory speed, so ten million
 * characters take about a millisecond. Several edits at once come out as one range around all of them.
 */

export interface DifferingRange {
  /** The same in both texts. */
  readonly start: number;
  readonly endBefore: number;
  readonly endAfter: number;
}

/** How far from the last edit the next is looked for first. */
const SLACK = 512;

/**
 * The smallest range outside of which both texts are the same. Empty in both where the texts are equal.
 *
 * `near` is where `before` differed from an earlier version of `after`, if that is known: while somebody types, the texts
 * differ there again, and are then compared once and not twice. It changes nothing but the time.
 */
export function differingRange(before: string, after: string, near: DifferingRange | null = null): DifferingRange {
  const shorter = Math.min(before.length, after.length);
  const head = near === null ? shorter : near.start - SLACK;
  const start = commonLength(shorter, head, (from, to) => before.slice(from, to) === after.slice(from, to));
  const tail = commonLength(
    shorter - start,
    near === null ? shorter - start : before.length - near.endBefore - SLACK,
    (from, to) => before.slice(before.length - to, before.length - from) === after.slice(after.length - to, after.length - from),
  );
  return { start, endBefore: before.length - tail, endAfter: after.length - tail };
}

/** The greatest length up to `limit` for which `isSame(0, length)` holds. `guess` is tried first. */
function commonLength(limit: number, guess: number, isSame: (from: number, to: number) => boolean): number {
  let same = 0;
  let step = Math.max(1, Math.min(guess, limit));
  while (same < limit) {
    const next = Math.min(limit, same + step);
    if (!isSame(same, next)) break;
    step = same === 0 ? SLACK : step * 2;
    same = next;
  }
  while (step > 1 && same < limit) {
    step = Math.ceil(step / 2);
    const next = Math.min(limit, same + step);
    if (isSame(same, next)) same = next;
  }
  return same;
}
