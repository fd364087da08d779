/**
 * Finds the line on which stretches of a take agree, and the places where a take breaks into several.
 *
 * Every stretch was searched for by itself and offers some peaks: the direct sound, echoes, chance. Truth is the line that passes near
 * a peak of most of them. Where samples were lost, stretches before and after agree among themselves but not with each other; a
 * take is split where two lines explain clearly more than one.
 */

import type { PairingLine } from './pairing.ts';
import type { CorrelationPeak } from './searchWindow.ts';
import { median, theilSen } from './theilSen.ts';

/** Free-running clocks differ by tens of parts per million; beyond this something else is going on. */
const LARGEST_DRIFT = 400e-6;

export interface Searched {
  readonly x: number;
  /** Offset that a lag of 0 stands for. */
  readonly base: number;
  /** The direct sound and echoes, highest first: in a room the direct sound is not always the highest. */
  readonly peaks: readonly CorrelationPeak[];
}

export function peakNear(window: Searched, line: PairingLine, tolerance: number): CorrelationPeak | null {
  let best: CorrelationPeak | null = null;
  for (const peak of window.peaks) {
    const distance = Math.abs(window.base + peak.lag - line.offset - line.drift * window.x);
    if (distance <= tolerance && peak.clarity > (best?.clarity ?? 0)) best = peak;
  }
  return best;
}

export interface Placed {
  /** Middle of the stretch, on the common clock of the pairing. */
  readonly x: number;
  /** Sound position minus scratch position. */
  readonly offset: number;
  readonly clarity: number;
  readonly polarity: 1 | -1;
}

export function placeAll(windows: readonly Searched[], line: PairingLine, tolerance: number): Placed[] {
  return windows.flatMap((window): Placed[] => {
    const peak = peakNear(window, line, tolerance);
    return peak === null ? [] : [{ x: window.x, offset: window.base + peak.lag, clarity: peak.clarity, polarity: peak.polarity }];
  });
}

/** The line through peaks of two windows on which most windows have one; a drift of 0 is always among those tried. */
export function proposeLine(windows: readonly Searched[], tolerance: number): PairingLine {
  let best: PairingLine = { offset: (windows[0]?.base ?? 0) + (windows[0]?.peaks[0]?.lag ?? 0), drift: 0 };
  let most = 0;
  const consider = (offset: number, drift: number): void => {
    let support = 0;
    for (const window of windows) {
      let nearest = 0;
      for (const peak of window.peaks) {
        const distance = Math.abs(window.base + peak.lag - offset - drift * window.x);
        if (distance <= tolerance) nearest = Math.max(nearest, peak.clarity * (1 - (0.5 * distance) / tolerance));
      }
      support += nearest;
    }
    if (support > most) {
      most = support;
      best = { offset, drift };
    }
  };
  for (const window of windows) {
    for (const peak of window.peaks) {
      const offset = window.base + peak.lag;
      consider(offset, 0);
      for (const other of windows) {
        if (other.x <= window.x) continue;
        for (const { lag } of other.peaks) {
          const drift = (other.base + lag - offset) / (other.x - window.x);
          if (Math.abs(drift) <= LARGEST_DRIFT) consider(offset - drift * window.x, drift);
        }
      }
    }
  }
  return best;
}

export function lineThrough(windows: readonly Placed[]): PairingLine {
  const offsets = windows.map((window) => window.offset);
  const fit = theilSen(
    windows.map((window) => window.x),
    offsets,
  );
  return Math.abs(fit.slope) <= LARGEST_DRIFT
    ? { offset: fit.intercept, drift: fit.slope }
    : { offset: median(offsets) ?? 0, drift: 0 };
}

/** Sum of the clarity of what lies near the line. */
function supportOf(windows: readonly Searched[], line: PairingLine, tolerance: number): number {
  return windows.reduce((sum, window) => sum + (peakNear(window, line, tolerance)?.clarity ?? 0), 0);
}

export interface TakePiece {
  readonly windows: readonly Searched[];
  readonly line: PairingLine;
}

const LEAST_IN_PIECE = 3;
/** Two lines must explain this much more than one before a take is split. */
const WORTH_SPLITTING = 1.2;

/** The pieces of a take in order, each with its line; one piece when nothing speaks for a jump. */
export function splitTake(windows: readonly Searched[], line: PairingLine, tolerance: number): TakePiece[] {
  const single = pieceOf(windows, tolerance);
  const whole = Math.max(supportOf(windows, line, tolerance), supportOf(windows, single.line, tolerance));
  const best = windows.reduce((sum, window) => sum + (window.peaks[0]?.clarity ?? 0), 0);
  if (windows.length < 2 * LEAST_IN_PIECE || whole > 0.9 * best) return [{ windows, line }];
  let split: { readonly left: TakePiece; readonly right: TakePiece; readonly support: number } | null = null;
  for (let cut = LEAST_IN_PIECE; cut <= windows.length - LEAST_IN_PIECE; cut += 1) {
    const left = pieceOf(windows.slice(0, cut), tolerance);
    const right = pieceOf(windows.slice(cut), tolerance);
    const support = supportOf(left.windows, left.line, tolerance) + supportOf(right.windows, right.line, tolerance);
    if (split === null || support > split.support) split = { left, right, support };
  }
  if (split === null || split.support < WORTH_SPLITTING * whole) return [{ windows, line }];
  const { left, right } = split;
  const border = right.windows[0]?.x ?? 0;
  const isApart =
    Math.abs(left.line.offset + left.line.drift * border - right.line.offset - right.line.drift * border) > 2 * tolerance;
  const isSound = [left, right].every(
    (piece) => placeAll(piece.windows, piece.line, tolerance).length >= Math.max(LEAST_IN_PIECE, 0.6 * piece.windows.length),
  );
  if (!isApart || !isSound) return [{ windows, line }];
  return [...splitTake(left.windows, left.line, tolerance), ...splitTake(right.windows, right.line, tolerance)];
}

function pieceOf(windows: readonly Searched[], tolerance: number): TakePiece {
  const proposal = proposeLine(windows, tolerance);
  const placed = placeAll(windows, proposal, tolerance);
  return { windows, line: placed.length >= 3 ? lineThrough(placed) : proposal };
}
