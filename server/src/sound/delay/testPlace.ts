/**
 * Is the scratch really there? The second test, on samples, of a place that the coarse search named.
 *
 * Stretches along the overlap are each searched for within 60 ms of where they should be. Chance puts them anywhere; truth puts them
 * on one line. Every other stretch proposes the line, the rest confirm it: a match that only fits what proposed it is not believed.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { chooseStarts, overlapOf, type Pairing, readScratch, readSound } from './pairing.ts';
import { searchWindow } from './searchWindow.ts';
import { theilSen } from './theilSen.ts';

export interface PlacedWindow {
  /** Middle of the stretch, on the common clock of the pairing. */
  readonly x: number;
  /** Sound position minus scratch position. */
  readonly offset: number;
  readonly clarity: number;
  readonly polarity: 1 | -1;
  readonly agrees: boolean;
}

export interface PlaceTest {
  readonly isBelieved: boolean;
  readonly windows: readonly PlacedWindow[];
  readonly line: { readonly offset: number; readonly drift: number };
  readonly polarity: 1 | -1;
  /** Mean clarity of the windows that agree. */
  readonly clarity: number;
  /** Expected number of lines as good as this one by chance. */
  readonly chance: number;
}

export interface PlaceTestOptions {
  readonly from?: number;
  readonly to?: number;
  readonly mostWindows: number;
  /** Places tried in all, for the arithmetic of chance. */
  readonly placesTried: number;
}

const SEARCH_SECONDS = 0.06;
const AGREE_SECONDS = 0.0005;
/** Clearer peaks than this hardly ever come by chance. */
const CLEAR = 5.5;
/** Free-running clocks differ by tens of parts per million; beyond this something else is going on. */
const LARGEST_DRIFT = 400e-6;
const CHANCE_LIMIT = 1e-3;
const LONGEST_WINDOW = 1 << 15;
const SHORTEST_WINDOW = 1 << 12;

export async function testPlace(
  pairing: Pairing,
  offset: number,
  fourier: Fourier,
  options: PlaceTestOptions,
): Promise<PlaceTest> {
  const { rate } = pairing;
  const pad = Math.round(SEARCH_SECONDS * rate);
  const overlap = overlapOf(pairing, { offset, drift: 0 });
  const start = Math.max(overlap.start, options.from ?? 0);
  const end = Math.min(overlap.end, options.to ?? Number.POSITIVE_INFINITY);
  const length = windowLength(end - start);
  const count = Math.min(options.mostWindows, Math.floor((end - start) / length));
  const found: { x: number; offset: number; clarity: number; polarity: 1 | -1 }[] = [];
  if (count >= 1 && end - start >= SHORTEST_WINDOW) {
    for (const at of chooseStarts(pairing, start, end, length, count)) {
      const scratch = await readScratch(pairing, at, length);
      const soundStart = Math.round(at + offset) - pad;
      const sound = await readSound(pairing, soundStart, length + 2 * pad);
      const find = searchWindow(scratch, sound, rate, fourier);
      found.push({ x: at + length / 2, offset: soundStart + find.lag - at, clarity: find.clarity, polarity: find.polarity });
    }
  }
  return judge(found, rate, options.placesTried, pad);
}

/** Short overlaps get short stretches, so that there are several to agree. */
function windowLength(overlap: number): number {
  let length = LONGEST_WINDOW;
  while (length > SHORTEST_WINDOW && length * 8 > overlap) length /= 2;
  return length;
}

type Found = Omit<PlacedWindow, 'agrees'>;

function judge(found: readonly Found[], rate: number, placesTried: number, pad: number): PlaceTest {
  const clear = found.filter((window) => window.clarity >= CLEAR);
  const proposing = clear.length >= 6 ? clear.filter((_, index) => index % 2 === 0) : clear;
  const tolerance = AGREE_SECONDS * rate;
  const proposal = proposeLine(proposing, tolerance);
  const isNear = (window: Found, line: { offset: number; drift: number }): boolean =>
    Math.abs(window.offset - line.offset - line.drift * window.x) <= tolerance;
  const first = clear.filter((window) => isNear(window, proposal));
  const line = first.length >= 3 ? lineThrough(first) : proposal;
  const agreeing = clear.filter((window) => isNear(window, line));
  const confirming = clear.filter((window) => !proposing.includes(window));
  const confirmed = confirming.filter((window) => isNear(window, proposal)).length;
  const isConfirmed = confirming.length === 0 || confirmed >= Math.max(1, 0.4 * confirming.length);
  const chance = placesTried * choose(clear.length, agreeing.length) * (tolerance / pad) ** Math.max(0, agreeing.length - 2);
  const upright = agreeing.filter((window) => window.polarity === 1).length;
  const share = Math.max(upright, agreeing.length - upright) / Math.max(1, agreeing.length);
  return {
    isBelieved: agreeing.length >= 3 && chance < CHANCE_LIMIT && isConfirmed && share > 0.7,
    windows: found.map((window) => ({ ...window, agrees: window.clarity >= CLEAR && isNear(window, line) })),
    line,
    polarity: 2 * upright >= agreeing.length ? 1 : -1,
    clarity: agreeing.reduce((sum, window) => sum + window.clarity, 0) / Math.max(1, agreeing.length),
    chance,
  };
}

/** The line through two of the windows on which most of them lie; short spans only propose a drift of 0. */
function proposeLine(windows: readonly Found[], tolerance: number): { offset: number; drift: number } {
  let best = { offset: windows[0]?.offset ?? 0, drift: 0 };
  let most = 0;
  const consider = (offset: number, drift: number): void => {
    let support = 0;
    for (const window of windows) {
      const distance = Math.abs(window.offset - offset - drift * window.x);
      if (distance <= tolerance) support += window.clarity * (1 - (0.5 * distance) / tolerance);
    }
    if (support > most) {
      most = support;
      best = { offset, drift };
    }
  };
  for (const window of windows) {
    consider(window.offset, 0);
    for (const other of windows) {
      if (other.x <= window.x) continue;
      const drift = (other.offset - window.offset) / (other.x - window.x);
      if (Math.abs(drift) <= LARGEST_DRIFT) consider(window.offset - drift * window.x, drift);
    }
  }
  return best;
}

function lineThrough(windows: readonly Found[]): { offset: number; drift: number } {
  const { slope, intercept } = theilSen(
    windows.map((window) => window.x),
    windows.map((window) => window.offset),
  );
  if (Math.abs(slope) <= LARGEST_DRIFT) return { offset: intercept, drift: slope };
  const flat = theilSen(
    windows.map(() => 0),
    windows.map((window) => window.offset),
  );
  return { offset: flat.intercept, drift: 0 };
}

function choose(total: number, taken: number): number {
  let value = 1;
  for (let index = 0; index < taken; index += 1) value = (value * (total - index)) / (index + 1);
  return value;
}
