/**
 * Follows a take past places where samples were lost.
 *
 * Where a run of stretches was not found along the line, that part of the scratch is searched for anew and tested like any other place.
 * What is found there is a further piece of the same take; the border between two pieces is narrowed by halving.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { locateCoarsely } from './locateCoarsely.ts';
import { type Pairing, type PairingLine, readScratch, readSound } from './pairing.ts';
import { searchWindow } from './searchWindow.ts';
import { FRAMES_PER_SECOND } from './soundProfile.ts';
import { type PlacedWindow, type PlaceTest, testPlace } from './testPlace.ts';

export interface TakePart {
  readonly line: PairingLine;
  /** Scratch positions on the common clock. */
  readonly from: number;
  readonly to: number;
}

export interface LocatedParts {
  readonly parts: readonly TakePart[];
  /** Borders between parts, narrowed. */
  readonly bounds: readonly { readonly after: number; readonly before: number }[];
}

const LEAST_GAP_SECONDS = 4;
const LEAST_GAP_WINDOWS = 2;
const BORDER_SECONDS = 0.2;

export async function locateJumps(pairing: Pairing, test: PlaceTest, fourier: Fourier): Promise<LocatedParts> {
  const anchors: TakePart[] = [];
  for (const run of runsOf(test.windows)) {
    if (run.agrees) {
      for (const piece of test.pieces) {
        const from = Math.max(piece.from, run.first.x);
        const to = Math.min(piece.to, run.last.x);
        if (from <= to) anchors.push({ line: piece.line, from, to });
      }
      continue;
    }
    const margin = pairing.rate;
    const from = Math.max(0, run.first.x - margin);
    const to = Math.min(pairing.scratchLength, run.last.x + margin);
    if (run.count < LEAST_GAP_WINDOWS || to - from < LEAST_GAP_SECONDS * pairing.rate) continue;
    const found = await findPart(pairing, from, to, fourier);
    if (found !== null) anchors.push(found);
  }
  anchors.sort((left, right) => left.from - right.from);
  const merged = anchors.reduce<TakePart[]>((parts, part) => {
    const last = parts.at(-1);
    const at = part.from;
    const isSame =
      last !== undefined &&
      Math.abs(last.line.offset + last.line.drift * at - part.line.offset - part.line.drift * at) < 0.001 * pairing.rate;
    if (last !== undefined && isSame) parts[parts.length - 1] = { ...last, to: part.to };
    else parts.push(part);
    return parts;
  }, []);
  const bounds: { after: number; before: number }[] = [];
  const parts: TakePart[] = [];
  let from = 0;
  for (let index = 0; index < merged.length; index += 1) {
    const part = merged[index] as TakePart;
    const next = merged[index + 1];
    let to = pairing.scratchLength;
    let start = to;
    if (next !== undefined) {
      const border = await narrow(pairing, part, next, fourier);
      bounds.push(border);
      to = border.after;
      start = border.before;
    }
    parts.push({ line: part.line, from, to });
    from = start;
  }
  return { parts: parts.length > 0 ? parts : [{ line: test.line, from: 0, to: pairing.scratchLength }], bounds };
}

interface Run {
  readonly agrees: boolean;
  readonly first: PlacedWindow;
  readonly last: PlacedWindow;
  readonly count: number;
}

function runsOf(windows: readonly PlacedWindow[]): Run[] {
  const runs: Run[] = [];
  for (const window of windows) {
    const last = runs.at(-1);
    if (last !== undefined && last.agrees === window.agrees)
      runs[runs.length - 1] = { ...last, last: window, count: last.count + 1 };
    else runs.push({ agrees: window.agrees, first: window, last: window, count: 1 });
  }
  return runs;
}

/** The part of the scratch between two positions, searched for in all of the sound. */
async function findPart(pairing: Pairing, from: number, to: number, fourier: Fourier): Promise<TakePart | null> {
  const framesPerSample = FRAMES_PER_SECOND / pairing.rate / pairing.stretch;
  const first = Math.floor(from * framesPerSample);
  const changes = pairing.scratch.changes.subarray(first, Math.ceil(to * framesPerSample));
  const places = locateCoarsely(changes, pairing.sound.changes, pairing.stretch, fourier).slice(0, 4);
  for (const place of places) {
    const offset = place.offsetSeconds * pairing.rate - (first / FRAMES_PER_SECOND) * pairing.stretch * pairing.rate;
    const test = await testPlace(pairing, offset, fourier, { from, to, mostWindows: 12, placesTried: places.length });
    const agreeing = test.windows.filter((window) => window.agrees);
    if (test.isBelieved) return { line: test.line, from: agreeing[0]?.x ?? from, to: agreeing.at(-1)?.x ?? to };
  }
  return null;
}

/** Halves the stretch between two parts: each short window in it belongs to the line on which it is found more clearly. */
async function narrow(
  pairing: Pairing,
  left: TakePart,
  right: TakePart,
  fourier: Fourier,
): Promise<{ after: number; before: number }> {
  let after = left.to;
  let before = right.from;
  const length = 1 << 13;
  while (before - after > BORDER_SECONDS * pairing.rate + length) {
    const middle = (after + before) / 2;
    const scratch = await readScratch(pairing, Math.round(middle - length / 2), length);
    const clarity = async (line: PairingLine): Promise<number> => {
      const pad = Math.round(0.01 * pairing.rate);
      const start = Math.round(middle - length / 2 + line.offset + line.drift * middle) - pad;
      const sound = await readSound(pairing, start, length + 2 * pad);
      const near = searchWindow(scratch, sound, pairing.rate, fourier).filter(
        (peak) => Math.abs(peak.lag - pad) < 0.001 * pairing.rate,
      );
      return Math.max(0, ...near.map((peak) => peak.clarity));
    };
    const [onLeft, onRight] = [await clarity(left.line), await clarity(right.line)];
    // Undecided, as over the jump itself or where echoes pass for either: the border stays as wide as it is.
    if (Math.abs(onLeft - onRight) < 0.2 * Math.max(onLeft, onRight) || onLeft + onRight === 0) break;
    if (onLeft >= onRight) after = middle;
    else before = middle;
  }
  return { after, before };
}
