/**
 * Two lists of claps of one recording as one: what a report lists already, and what was heard now.
 *
 * Pairs name claps by number, so a clap that is put in moves the numbers after it. A clap that the report lists within a
 * millisecond of one heard now is the same one, and keeps the sample that stands there: somebody may have put it right by hand. Only
 * where a pair is measured by it, and so gets the new sample, does the list get that too.
 */

import { absolute, compare, multiply, type Rational, rational, subtract } from '../../core/time/rational.ts';

export interface MergedClaps {
  /** New samples, each with the number of listed claps that come before it, in order. */
  readonly added: readonly { readonly sample: Rational; readonly after: number }[];
  /** The number of each listed clap in the joined list: what was clap `index + 1` is clap `numbersOfListed[index]`. */
  readonly numbersOfListed: readonly number[];
  readonly numbersOfHeard: readonly number[];
  /** Listed claps that take a new sample, by their index in the list. */
  readonly moved: readonly { readonly index: number; readonly sample: Rational }[];
}

/** Seconds within which two edges are one clap; nobody claps twice in a millisecond. */
const SAME_CLAP = rational(1, 1000);
/** Samples: a list of whole ones and a sample with decimals are one clap still. */
const ROUNDING = rational(1);

/** `used` holds the numbers of the claps heard now by which pairs are measured. */
export function mergeClaps(
  listed: readonly Rational[],
  heard: readonly Rational[],
  sampleRate: Rational,
  used: ReadonlySet<number>,
): MergedClaps {
  const reach = multiply(SAME_CLAP, sampleRate);
  const partnerOf = heard.map((sample) => nearestOf(listed, sample, reach));
  const added = heard
    .filter((_, index) => partnerOf[index] === null)
    .map((sample) => ({ sample, after: listed.filter((other) => compare(other, sample) < 0).length }))
    .sort((left, right) => left.after - right.after || compare(left.sample, right.sample));
  const numbersOfListed = listed.map((_, index) => index + 1 + added.filter(({ after }) => after <= index).length);
  const numbersOfHeard = heard.map((sample, index) => {
    const partner = partnerOf[index] ?? null;
    if (partner !== null) return numbersOfListed[partner] as number;
    const place = added.findIndex((one) => one.sample === sample);
    return place + 1 + (added[place]?.after ?? 0);
  });
  const moved = heard.flatMap((sample, index) => {
    const partner = partnerOf[index] ?? null;
    if (partner === null || !used.has(index + 1)) return [];
    const isElsewhere = compare(absolute(subtract(listed[partner] as Rational, sample)), ROUNDING) > 0;
    return isElsewhere ? [{ index: partner, sample }] : [];
  });
  return { added, numbersOfListed, numbersOfHeard, moved };
}

function nearestOf(listed: readonly Rational[], sample: Rational, reach: Rational): number | null {
  let best: number | null = null;
  let least = reach;
  for (const [index, other] of listed.entries()) {
    const distance = absolute(subtract(other, sample));
    if (compare(distance, least) > 0) continue;
    best = index;
    least = distance;
  }
  return best;
}
