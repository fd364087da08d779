/**
 * One line through the delays along a take, or several parallel ones where samples were lost.
 *
 * Two clocks drift apart evenly, so offsets lie on a line whose slope is the drift. A recorder that drops samples, or stops and goes
 * on, shifts all later offsets by one amount: that is a jump, and taking it for drift spoils the whole take (60 points, 20 ppm, the
 * last quarter half a second late: least squares says 176 ppm). Jumps are found first, by what splitting there gains; then all pieces
 * share one slope, the weighted median of the slopes between windows of the same piece (Theil-Sen, see theilSen.ts).
 */

import { median, robustDeviation, weightedMedian } from './theilSen.ts';

export interface DelayPoint {
  /** Position in the scratch. */
  readonly x: number;
  /** Offset of the sound there, in samples. */
  readonly offset: number;
  /** How clearly it was found; points count by it. */
  readonly clarity: number;
}

export interface Piece {
  /** Indices of its points: from `first` up to `end`. */
  readonly first: number;
  readonly end: number;
  /** Offset at x = 0 along the common slope. */
  readonly offset: number;
}

export interface PiecewiseFit {
  readonly slope: number;
  /** Standard error of the slope. */
  readonly slopeError: number;
  /** Robust standard deviation of single points about their piece. */
  readonly deviation: number;
  readonly pieces: readonly Piece[];
}

/** Efficiency of the median of slopes at normal errors is 0.95 or so: the error grows by this. */
const MEDIAN_LOSS = 1.06;
const LEAST_PIECE = 2;
/** A cut must take away at least a third of what does not fit. */
const WORTH_CUTTING = 0.67;
/** Points on both sides by which the height of a jump is judged. */
const BESIDE_CUT = 4;

/** `points` ascend in x. `leastJump` is the smallest shift, in samples, that may be called a jump. */
export function fitPieces(points: readonly DelayPoint[], leastJump: number): PiecewiseFit {
  let cuts: number[] = [];
  for (;;) {
    const cut = bestCut(points, cuts, leastJump);
    if (cut === null) break;
    cuts = [...cuts, cut].sort((left, right) => left - right);
    if (cuts.length >= 20) break;
  }
  return fitWithCuts(points, cuts);
}

function fitWithCuts(points: readonly DelayPoint[], cuts: readonly number[]): PiecewiseFit {
  const bounds = [0, ...cuts, points.length];
  const slope = commonSlope(points, bounds);
  const pieces = bounds.slice(0, -1).map((first, index): Piece => {
    const end = bounds[index + 1] as number;
    const own = points.slice(first, end);
    const offsets = own.map((point) => point.offset - slope * point.x);
    return {
      first,
      end,
      offset:
        weightedMedian(
          offsets,
          own.map((point) => point.clarity),
        ) ?? 0,
    };
  });
  const residuals = pieces.flatMap((piece) =>
    points.slice(piece.first, piece.end).map((point) => point.offset - slope * point.x - piece.offset),
  );
  // Two parameters and one more for each jump are fitted: few points flatter themselves.
  const freedom = Math.max(1, points.length - pieces.length - 1);
  const deviation = robustDeviation(residuals) * Math.sqrt(points.length / freedom);
  let spread = 0;
  for (const piece of pieces) {
    const own = points.slice(piece.first, piece.end);
    const mean = own.reduce((sum, point) => sum + point.x, 0) / Math.max(1, own.length);
    spread += own.reduce((sum, point) => sum + (point.x - mean) ** 2, 0);
  }
  return {
    slope,
    slopeError: spread > 0 ? (MEDIAN_LOSS * deviation) / Math.sqrt(spread) : Number.POSITIVE_INFINITY,
    deviation,
    pieces,
  };
}

/** Pairs count by their distance and by the fainter of the two: the longer the lever and the clearer its ends, the better the slope. */
function commonSlope(points: readonly DelayPoint[], bounds: readonly number[]): number {
  const slopes: number[] = [];
  const weights: number[] = [];
  for (let index = 0; index + 1 < bounds.length; index += 1) {
    const end = bounds[index + 1] as number;
    for (let first = bounds[index] as number; first < end; first += 1) {
      for (let second = first + 1; second < end; second += 1) {
        const left = points[first] as DelayPoint;
        const right = points[second] as DelayPoint;
        const run = right.x - left.x;
        if (run === 0) continue;
        slopes.push((right.offset - left.offset) / run);
        weights.push(Math.abs(run) * Math.min(left.clarity, right.clarity));
      }
    }
  }
  return weightedMedian(slopes, weights) ?? 0;
}

/**
 * The cut that lowers the sum of absolute residuals most, if what it separates is a jump beyond doubt.
 *
 * Judged along the slope between neighbouring points, which a few jumps cannot bend: seen from afar, a staircase is a slope.
 */
function bestCut(points: readonly DelayPoint[], cuts: readonly number[], leastJump: number): number | null {
  const slope = localSlope(points);
  const level = points.map((point) => point.offset - slope * point.x);
  const noise = robustDeviation(level.slice(1).map((value, index) => value - (level[index] as number))) / Math.SQRT2;
  const before = misfit(level, cuts);
  let best: { readonly cut: number; readonly misfit: number } | null = null;
  for (let cut = LEAST_PIECE; cut <= points.length - LEAST_PIECE; cut += 1) {
    if ([0, ...cuts, points.length].some((bound) => Math.abs(bound - cut) < LEAST_PIECE)) continue;
    const after = misfit(
      level,
      [...cuts, cut].sort((left, right) => left - right),
    );
    if (best === null || after < best.misfit) best = { cut, misfit: after };
  }
  if (best === null || best.misfit > WORTH_CUTTING * before) return null;
  const { cut } = best;
  const bounds = [0, ...cuts, points.length];
  const from = Math.max(...bounds.filter((bound) => bound < cut), cut - BESIDE_CUT);
  const to = Math.min(...bounds.filter((bound) => bound > cut), cut + BESIDE_CUT);
  const jump = Math.abs((median(level.slice(cut, to)) ?? 0) - (median(level.slice(from, cut)) ?? 0));
  return jump >= Math.max(leastJump, 8 * noise) ? cut : null;
}

function localSlope(points: readonly DelayPoint[]): number {
  const slopes: number[] = [];
  for (let first = 0; first < points.length; first += 1) {
    for (let second = first + 1; second <= Math.min(first + 2, points.length - 1); second += 1) {
      const [left, right] = [points[first] as DelayPoint, points[second] as DelayPoint];
      if (right.x !== left.x) slopes.push((right.offset - left.offset) / (right.x - left.x));
    }
  }
  return median(slopes) ?? 0;
}

/** Sum of distances from the median of each piece. */
function misfit(level: readonly number[], cuts: readonly number[]): number {
  const bounds = [0, ...cuts, level.length];
  let sum = 0;
  for (let index = 0; index + 1 < bounds.length; index += 1) {
    const own = level.slice(bounds[index], bounds[index + 1]);
    const centre = median(own) ?? 0;
    for (const value of own) sum += Math.abs(value - centre);
  }
  return sum;
}
