/**
 * Is the scratch really there? The second test, on samples, of a place that the coarse search named.
 *
 * Stretches along the overlap are each searched for within 60 ms of where they should be. Chance puts them anywhere; truth puts them
 * on one line. Every other stretch proposes the line, the rest confirm it: a match that only fits what proposed it is not believed.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { lineThrough, type Placed, peakNear, placeAll, proposeLine, type Searched, splitTake } from './agreeOnLine.ts';
import { chooseStarts, overlapOf, type Pairing, type PairingLine, readScratch, readSound } from './pairing.ts';
import { searchWindow } from './searchWindow.ts';

export interface PlacedWindow extends Placed {
  readonly agrees: boolean;
}

export interface PlaceTest {
  readonly isBelieved: boolean;
  readonly windows: readonly PlacedWindow[];
  readonly line: PairingLine;
  /** Stretches of the take that lie on one line each; more than one where it jumps by less than the search reaches. */
  readonly pieces: readonly { readonly line: PairingLine; readonly from: number; readonly to: number }[];
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
  /** Places tried in all, for the arithmetic of chance; fewer than one where something else speaks for this one. */
  readonly placesTried: number;
}

const SEARCH_SECONDS = 0.06;
const AGREE_SECONDS = 0.0005;
/** An echo may stand in for the direct sound after a jump, so a jump shows only at the width of a peak. */
const SPLIT_SECONDS = 0.00012;
/** Clearer peaks than this hardly ever come by chance. */
const CLEAR = 5.5;
/** Stretches spread over the overlap, none of them clear, after which a place is given up. */
const GIVE_UP_AFTER = 12;
/** Faint stretches on one line, from which they are worth a thought. */
const LEAST_FAINT = 4;
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
  const found: Searched[] = [];
  if (count >= 1 && end - start >= SHORTEST_WINDOW) {
    const starts = chooseStarts(pairing, start, end, length, count);
    for (const at of everyOtherFirst(starts)) {
      const scratch = await readScratch(pairing, at, length);
      const soundStart = Math.round(at + offset) - pad;
      const sound = await readSound(pairing, soundStart, length + 2 * pad);
      found.push({ x: at + length / 2, base: soundStart - at, peaks: searchWindow(scratch, sound, rate, fourier) });
      if (found.length === GIVE_UP_AFTER && isHopeless(found, AGREE_SECONDS * rate)) break;
    }
    found.sort((left, right) => left.x - right.x);
  }
  return judge(found, rate, options.placesTried, pad);
}

/** The wrong places are many, and half of the stretches already tells them. */
function everyOtherFirst(starts: readonly number[]): number[] {
  return [...starts.filter((_, index) => index % 2 === 1), ...starts.filter((_, index) => index % 2 === 0)];
}

/** None clear, and no more of them on one line than chance puts there. */
function isHopeless(found: readonly Searched[], tolerance: number): boolean {
  if (found.some(isClear)) return false;
  const highest = found.map(highestOnly);
  return placeAll(highest, proposeLine(highest, tolerance), tolerance).length < LEAST_FAINT;
}

function highestOnly(window: Searched): Searched {
  return { ...window, peaks: window.peaks.slice(0, 1) };
}

function isClear(window: Searched): boolean {
  return (window.peaks[0]?.clarity ?? 0) >= CLEAR;
}

/** Short overlaps get short stretches, so that there are several to agree. */
function windowLength(overlap: number): number {
  let length = LONGEST_WINDOW;
  while (length > SHORTEST_WINDOW && length * 8 > overlap) length /= 2;
  return length;
}

/**
 * Clear stretches count with all their peaks. Where noise lets few be clear, the faint ones may still speak by their number: each with
 * its highest peak alone, since five peaks would fit anything.
 */
function judge(found: readonly Searched[], rate: number, placesTried: number, pad: number): PlaceTest {
  const byClear = judgeBy(found.filter(isClear), found, rate, placesTried, pad);
  if (byClear.isBelieved) return byClear;
  const highest = found.map(highestOnly);
  const byNumber = judgeBy(highest, highest, rate, placesTried, pad);
  return byNumber.isBelieved ? byNumber : byClear;
}

function judgeBy(
  clear: readonly Searched[],
  found: readonly Searched[],
  rate: number,
  placesTried: number,
  pad: number,
): PlaceTest {
  const proposing = clear.length >= 6 ? clear.filter((_, index) => index % 2 === 0) : clear;
  const confirming = clear.filter((window) => !proposing.includes(window));
  const tolerance = AGREE_SECONDS * rate;
  const proposal = proposeLine(proposing, tolerance);
  const confirmed = confirming.filter((window) => peakNear(window, proposal, tolerance) !== null).length;
  const isConfirmed = confirming.length === 0 || confirmed >= Math.max(1, 0.4 * confirming.length);
  const first = placeAll(clear, proposal, tolerance);
  const line = first.length >= 3 ? lineThrough(first) : proposal;
  const pieces = splitTake(clear, line, SPLIT_SECONDS * rate);
  const agreeing = pieces.flatMap((piece) => placeAll(piece.windows, piece.line, tolerance));
  const fitted = 2 * pieces.length;
  const chance = placesTried * choose(clear.length, agreeing.length) * (tolerance / pad) ** Math.max(0, agreeing.length - fitted);
  const upright = agreeing.filter((window) => window.polarity === 1).length;
  const share = Math.max(upright, agreeing.length - upright) / Math.max(1, agreeing.length);
  const longest = pieces.reduce((most, piece) => (piece.windows.length > most.windows.length ? piece : most));
  return {
    isBelieved: agreeing.length >= 3 && chance < CHANCE_LIMIT && (isConfirmed || pieces.length > 1) && share > 0.7,
    windows: found.map((window): PlacedWindow => {
      const piece = pieces.find((candidate) => candidate.windows.includes(window));
      const near = piece === undefined ? null : peakNear(window, piece.line, tolerance);
      const shown = near ?? window.peaks[0] ?? { lag: 0, clarity: 0, polarity: 1 };
      return {
        x: window.x,
        offset: window.base + shown.lag,
        clarity: shown.clarity,
        polarity: shown.polarity,
        agrees: near !== null,
      };
    }),
    line: longest.line,
    pieces: pieces.map((piece) => ({ line: piece.line, from: piece.windows[0]?.x ?? 0, to: piece.windows.at(-1)?.x ?? 0 })),
    polarity: 2 * upright >= agreeing.length ? 1 : -1,
    clarity: agreeing.reduce((sum, window) => sum + window.clarity, 0) / Math.max(1, agreeing.length),
    chance,
  };
}

function choose(total: number, taken: number): number {
  let value = 1;
  for (let index = 0; index < taken; index += 1) value = (value * (total - index)) / (index + 1);
  return value;
}
