/**
 * Places where energy jumps: the hops at which something sharp may have happened.
 *
 * Cheap and generous, because it runs over everything: a place is kept when its hop is the loudest since 25 ms and for the next
 * 4 ms, and ten times louder than the 20 ms before. What is a clap is decided later, on the samples.
 */

export interface Strike {
  /** Hop with the most energy. */
  readonly peakHop: number;
  /** Hop in which the first arrival begins; an echo may be louder than it. */
  readonly firstHop: number;
}

/** Hops that judging a strike looks back and forward. */
export const HOPS_BEFORE = 300;
export const HOPS_AFTER = 300;

const LOOK_BACK = 25;
const LOOK_AHEAD = 4;
/** Echoes come later than this only in halls where nobody records speech. */
const ECHO_HOPS = 80;
/** Hops before a strike without which nothing is known about the quiet it comes out of. */
const LEAST_BACKGROUND = 8;
const BACKGROUND_FROM = 24;
const BACKGROUND_TO = 4;
/** Ten decibels. */
const RISE = 10;
/** A first arrival may be this much weaker than the loudest echo after it: 15 dB. */
const ECHO_ALLOWANCE = 0.03;
/** Mean square difference of a sine at -86 dBFS and 2 kHz: below it nothing is looked at. */
const FLOOR = 1e-10;

/** Strikes whose peak lies in the hops from `from` up to `to`. `energies` must reach 25 hops beyond on both sides where it can. */
export function findStrikes(energies: Float32Array, from: number, to: number): Strike[] {
  const strikes: Strike[] = [];
  for (let hop = Math.max(from, LEAST_BACKGROUND); hop < to; hop += 1) {
    const energy = energies[hop] as number;
    // The next hop first: it rules out nearly all.
    if (energy < FLOOR || energy < (energies[hop - 1] ?? 0) || energy <= (energies[hop + 1] ?? 0)) continue;
    const background = meanEnergy(energies, hop - BACKGROUND_FROM, hop - BACKGROUND_TO);
    if (energy < RISE * background || !isLoudestAround(energies, hop)) continue;
    strikes.push({ peakHop: hop, firstHop: firstArrival(energies, hop) });
  }
  return strikes;
}

/** Mean of the hops from `from` up to `to`, as far as they exist. */
export function meanEnergy(energies: Float32Array, from: number, to: number): number {
  const first = Math.max(0, from);
  const end = Math.min(energies.length, to);
  let sum = 0;
  for (let hop = first; hop < end; hop += 1) sum += energies[hop] as number;
  return end > first ? sum / (end - first) : 0;
}

export function largestEnergy(energies: Float32Array, from: number, to: number): number {
  let largest = 0;
  for (let hop = Math.max(0, from); hop < Math.min(energies.length, to); hop += 1) {
    if ((energies[hop] as number) > largest) largest = energies[hop] as number;
  }
  return largest;
}

/** True when `strike` is an echo of `previous`: soon after it, and not 15 dB louder. Distances in hops, energies of the peaks. */
export function isEcho(hopsBetween: number, energy: number, previousEnergy: number): boolean {
  return hopsBetween < ECHO_HOPS && previousEnergy >= ECHO_ALLOWANCE * energy;
}

function isLoudestAround(energies: Float32Array, hop: number): boolean {
  const energy = energies[hop] as number;
  const end = Math.min(energies.length, hop + LOOK_AHEAD + 1);
  for (let other = Math.max(0, hop - LOOK_BACK); other < end; other += 1) if ((energies[other] as number) > energy) return false;
  return true;
}

function firstArrival(energies: Float32Array, peakHop: number): number {
  const peak = energies[peakHop] as number;
  for (let hop = Math.max(0, peakHop - LOOK_BACK); hop < peakHop; hop += 1) {
    const before = meanEnergy(energies, hop - BACKGROUND_FROM, hop - 1);
    if ((energies[hop] as number) >= ECHO_ALLOWANCE * peak && (energies[hop] as number) >= RISE * before) return hop;
  }
  return peakHop;
}
