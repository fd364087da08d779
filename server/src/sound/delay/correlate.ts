/**
 * Where a camera's scratch sound lies in a recording, to a fraction of a sample, with drift; or a plain 'nowhere'.
 *
 * Coarse to fine: profiles name places (locateCoarsely.ts), samples test them (testPlace.ts), blocks in phase refine what
 * passed (refineWindows.ts), lines are fitted with jumps set apart (fitPieces.ts). A place that passes is only a match if no other place passes as
 * well; otherwise both are named and nobody guesses.
 */

import type { Fourier } from '../fourier/fourier.ts';
import { type DelayPoint, fitPieces, type Piece, type PiecewiseFit } from './fitPieces.ts';
import { type CoarsePlace, locateCoarsely } from './locateCoarsely.ts';
import { locateJumps } from './locateJumps.ts';
import type { Jump, Match, MatchWindow, Place, SoundMatch } from './match.ts';
import { chooseStarts, overlapOf, type Pairing, type PairingLine, pairUp } from './pairing.ts';
import { type RefinedWindow, refineWindows } from './refineWindows.ts';
import type { SoundProfile } from './soundProfile.ts';
import { type PlaceTest, testPlace } from './testPlace.ts';

export interface CorrelateOptions {
  /** Seconds of sound at the scratch's first sample by the files' time stamps: looked at first, never believed untested. */
  readonly hintSeconds?: number;
}

/** Sound seconds per scratch second, in the order in which they are tried. */
const STRETCHES: readonly { readonly stretch: number; readonly name: string | null }[] = [
  { stretch: 1, name: null },
  { stretch: 1001 / 1000, name: '1001/1000' },
  { stretch: 1000 / 1001, name: '1000/1001' },
];

const MOST_WINDOWS = 24;
const MOST_PLACES = 8;
/** What the profiles say counts as much evidence, in natural logarithms of odds, and no more. */
const MOST_CREDIT = 5;
/** Score of a coarse place below which no pull is considered. */
const PULL_SCORE = 1;
/** Share of the best place's score from which another could fit equally well. */
const WORTH_A_LOOK = 0.3;
const REFINED_WINDOWS = 16;
/** Short overlaps are cheap to compare densely, and need it. */
const SHORT_SECONDS = 180;
const SHORTEST_SECONDS = 0.7;
const LEAST_MOVEMENT = 0.004;
/** Steeper than two bad crystals: something else may be behind it. */
const STEEP_DRIFT = 150e-6;
/** Clocks differ by some tens of parts per million: +/-20 ppm each is the published figure for plain crystals. */
const CLOCK_DEVIATION = 30e-6;
/** Another place is as good when its stretches are this clear, against those of the best. */
const EQUALLY_CLEAR = 0.75;

export async function correlate(
  scratch: SoundProfile,
  sound: SoundProfile,
  fourier: Fourier,
  options: CorrelateOptions = {},
): Promise<Match> {
  const refusal = whyHopeless(scratch, sound);
  if (refusal !== null) return { kind: 'no-match', reason: refusal };
  let nearest = '';
  let doubtful: Candidate | null = null;
  for (const { stretch, name } of STRETCHES) {
    const pairing = pairUp(scratch, sound, stretch);
    const places = coarsePlaces(pairing, options, fourier);
    const believed: PlaceTest[] = [];
    for (const place of places) {
      // A pull moves everything: where it is real, the profiles show it beyond chance.
      if (stretch !== 1 && place.score < PULL_SCORE) continue;
      if (believed.length > 0 && place.score < WORTH_A_LOOK * (places[0]?.score ?? 0)) continue;
      // Once a place has passed, others need a closer look only to see whether they pass too.
      const test = await testPlace(pairing, place.offsetSeconds * pairing.rate, fourier, {
        mostWindows: believed.length === 0 ? MOST_WINDOWS : 8,
        placesTried: places.length * STRETCHES.length * Math.exp(-Math.min(MOST_CREDIT, place.score)),
      });
      if (test.isBelieved && !believed.some((other) => Math.abs(other.line.offset - test.line.offset) < 0.05 * pairing.rate))
        believed.push(test);
    }
    const best = believed[0];
    if (best === undefined) {
      nearest ||=
        places.length === 0
          ? 'nothing in it stands out'
          : `${places.length} places were tried and none held when tested sample by sample`;
      continue;
    }
    const candidate: Candidate = { pairing, believed, name };
    if (isBeyondDoubt(best)) return await settle(candidate, fourier);
    // A pull looks like a torn take with a steep drift: the other stretches are heard before this one is believed.
    if (doubtful === null || evidence(best) > evidence(doubtful.believed[0] as PlaceTest)) doubtful = candidate;
  }
  if (doubtful !== null) return await settle(doubtful, fourier);
  return { kind: 'no-match', reason: `The scratch was not found in this sound: ${nearest}.` };
}

interface Candidate {
  readonly pairing: Pairing;
  /** Tests that were passed, the first place first; never empty. */
  readonly believed: readonly PlaceTest[];
  readonly name: string | null;
}

async function settle({ pairing, believed, name }: Candidate, fourier: Fourier): Promise<Match> {
  return (await ambiguity(pairing, believed, fourier)) ?? (await measure(pairing, believed[0] as PlaceTest, name, fourier));
}

function evidence(test: PlaceTest): number {
  return test.windows.reduce((sum, window) => sum + (window.agrees ? window.clarity : 0), 0);
}

function isBeyondDoubt(test: PlaceTest): boolean {
  const agreeing = test.windows.filter((window) => window.agrees).length;
  return test.pieces.length === 1 && Math.abs(test.line.drift) < STEEP_DRIFT && agreeing >= 0.6 * test.windows.length;
}

function whyHopeless(scratch: SoundProfile, sound: SoundProfile): string | null {
  const seconds = (profile: SoundProfile): number => profile.sampleCount / profile.source.sampleRate;
  if (scratch.sampleCount === 0) return 'The scratch sound holds no samples.';
  if (sound.sampleCount === 0) return 'The sound holds no samples.';
  if (scratch.isSilent) return 'The scratch sound is silent.';
  if (sound.isSilent) return 'The sound is silent.';
  if (scratch.movement < LEAST_MOVEMENT) return 'The scratch sound holds nothing but a steady tone or hum, which fits anywhere.';
  if (sound.movement < LEAST_MOVEMENT) return 'The sound holds nothing but a steady tone or hum, which fits anywhere.';
  if (seconds(scratch) < SHORTEST_SECONDS)
    return `The scratch sound lasts ${seconds(scratch).toFixed(2)} s; at least ${SHORTEST_SECONDS} s are needed.`;
  if (seconds(sound) < SHORTEST_SECONDS)
    return `The sound lasts ${seconds(sound).toFixed(2)} s; at least ${SHORTEST_SECONDS} s are needed.`;
  return null;
}

function coarsePlaces(pairing: Pairing, options: CorrelateOptions, fourier: Fourier): CoarsePlace[] {
  const places = locateCoarsely(pairing.scratch.changes, pairing.sound.changes, pairing.stretch, fourier).slice(0, MOST_PLACES);
  if (options.hintSeconds === undefined) return places;
  // A stamp is rarely good to 60 ms, so it only sorts: what lies within two seconds of it comes first.
  const hint = options.hintSeconds;
  const isNear = (place: CoarsePlace): boolean => Math.abs(place.offsetSeconds - hint) <= 2;
  return [...places.filter(isNear), ...places.filter((place) => !isNear(place))];
}

/** Several places at which the same stretches of scratch are found equally clearly. Places that cover different stretches are a jump. */
async function ambiguity(pairing: Pairing, believed: readonly PlaceTest[], fourier: Fourier): Promise<Match | null> {
  const best = believed[0];
  if (best === undefined || believed.length < 2) return null;
  const rivals: Place[] = [];
  for (const test of believed.slice(1)) {
    const full = await testPlace(pairing, test.line.offset, fourier, { mostWindows: MOST_WINDOWS, placesTried: believed.length });
    const agreeing = full.windows.filter((window) => window.agrees);
    const shared = agreeing.filter((window) =>
      best.windows.some((other) => other.agrees && Math.abs(other.x - window.x) < pairing.rate),
    );
    if (full.isBelieved && shared.length >= 0.5 * agreeing.length && full.clarity >= EQUALLY_CLEAR * best.clarity) {
      rivals.push({ offsetSamples: inSoundSamples(pairing, full.line.offset), confidence: confidenceOf(full) });
    }
  }
  if (rivals.length === 0) return null;
  const places = [{ offsetSamples: inSoundSamples(pairing, best.line.offset), confidence: confidenceOf(best) }, ...rivals];
  return {
    kind: 'ambiguous',
    reason: `${places.length} places of the sound fit this scratch equally well, as repeated music or a loop does.`,
    places,
  };
}

async function measure(pairing: Pairing, test: PlaceTest, pullName: string | null, fourier: Fourier): Promise<Match> {
  const located = await locateJumps(pairing, test, fourier);
  const points: RefinedWindow[] = [];
  for (const part of located.parts) {
    points.push(...(await refinePart(pairing, part.line, part.from, part.to, fourier)));
  }
  points.sort((left, right) => left.x - right.x);
  const usable = points.filter((point) => point.clarity >= 3 && point.polarity === test.polarity);
  const chosen = usable.length >= 2 ? usable : points;
  const fit = fitPieces(chosen, Math.max(3, 0.0001 * pairing.rate));
  return conclude(pairing, test, chosen, fit, located.bounds, pullName);
}

/** Refines once, and again where the line moved so far that blocks were compared out of place. */
async function refinePart(
  pairing: Pairing,
  line: PairingLine,
  from: number,
  to: number,
  fourier: Fourier,
): Promise<RefinedWindow[]> {
  let current = line;
  let refined: RefinedWindow[] = [];
  for (let round = 0; round < 3; round += 1) {
    const overlap = overlapOf(pairing, current);
    const start = Math.max(from, overlap.start);
    const end = Math.min(to, overlap.end);
    let length = 1 << 16;
    while (length > 1 << 13 && length * 8 > end - start) length /= 2;
    if (end - start < length) return refined;
    const most = end - start < SHORT_SECONDS * pairing.rate ? 2 * REFINED_WINDOWS : REFINED_WINDOWS;
    const count = Math.max(1, Math.min(most, Math.floor((2.5 * (end - start)) / length)));
    refined = await refineWindows(pairing, current, chooseStarts(pairing, start, end, length, count), length, fourier);
    const fit = fitPieces(refined, Number.POSITIVE_INFINITY);
    if (Math.abs(fit.slope) > 1e-3) return refined;
    const next = { offset: fit.pieces[0]?.offset ?? current.offset, drift: fit.slope };
    const moved = Math.max(
      ...[start, end].map((x) => Math.abs(next.offset + next.drift * x - current.offset - current.drift * x)),
    );
    const isSteady = moved <= 3 && Math.abs(next.drift - current.drift) * length <= 0.5;
    current = next;
    if (isSteady) break;
  }
  return refined;
}

function conclude(
  pairing: Pairing,
  test: PlaceTest,
  points: readonly RefinedWindow[],
  fit: PiecewiseFit,
  bounds: readonly { readonly after: number; readonly before: number }[],
  pullName: string | null,
): SoundMatch {
  const main = fit.pieces.reduce((longest, piece) => (piece.end - piece.first > longest.end - longest.first ? piece : longest));
  const own = points.slice(main.first, main.end);
  const middle = own.reduce((sum, point) => sum + point.x, 0) / Math.max(1, own.length);
  // What a short take says about drift is weighed against what clocks are known to do.
  const trust = Number.isFinite(fit.slopeError) ? CLOCK_DEVIATION ** 2 / (CLOCK_DEVIATION ** 2 + fit.slopeError ** 2) : 0;
  const drift = fit.slope * trust;
  const driftError = Math.min(fit.slopeError, CLOCK_DEVIATION);
  const atMiddle = main.offset + fit.slope * middle;
  const offset = atMiddle - drift * middle;
  const scale = pairing.sound.source.sampleRate / pairing.rate;
  const scratchScale = pairing.scratch.source.sampleRate / pairing.rate / pairing.stretch;
  const deviation = Math.max(fit.deviation, 0.02);
  const overlap = overlapOf(pairing, { offset, drift });
  const driftPpm = (pairing.stretch * (1 + drift) - 1) * 1e6;
  const jumps = jumpsOf(points, fit, bounds, scale, scratchScale);
  return {
    kind: 'match',
    offsetSamples: offset * scale,
    driftPpm,
    driftPpmUncertainty: 2 * driftError * 1e6,
    uncertaintySamples: (0.25 + (2.5 * deviation) / Math.sqrt(Math.max(1, own.length))) * scale,
    polarity: test.polarity,
    confidence: confidenceOf(test),
    overlap: { start: overlap.start * scratchScale, end: overlap.end * scratchScale },
    windows: windowsOf(points, fit, drift, offset, main, scale, scratchScale),
    jumps,
    pull: pullName === null ? null : { ratio: pullName, restPpm: drift * 1e6 },
    remarks: remarksOf(pairing, jumps, driftPpm, driftError * 2e6),
  };
}

function windowsOf(
  points: readonly RefinedWindow[],
  fit: PiecewiseFit,
  drift: number,
  offset: number,
  main: Piece,
  scale: number,
  scratchScale: number,
): MatchWindow[] {
  const limit = Math.max(4, 6 * fit.deviation);
  return points.map((point, index) => {
    const piece = fit.pieces.find((candidate) => index >= candidate.first && index < candidate.end);
    const residual = point.offset - drift * point.x - (offset + ((piece?.offset ?? main.offset) - main.offset));
    return {
      scratchSample: point.x * scratchScale,
      soundSample: (point.x + point.offset) * scale,
      residual: residual * scale,
      clarity: point.clarity,
      role: index % 2 === 0 ? 'proposes' : 'confirms',
      agrees: Math.abs(residual) <= limit,
    };
  });
}

function jumpsOf(
  points: readonly DelayPoint[],
  fit: PiecewiseFit,
  bounds: readonly { readonly after: number; readonly before: number }[],
  scale: number,
  scratchScale: number,
): Jump[] {
  return fit.pieces.slice(1).map((piece, index) => {
    const previous = fit.pieces[index] as Piece;
    let after = points[previous.end - 1]?.x ?? 0;
    let before = points[piece.first]?.x ?? 0;
    for (const bound of bounds) {
      if (bound.after >= after && bound.before <= before) ({ after, before } = bound);
    }
    return { after: after * scratchScale, before: before * scratchScale, samples: (piece.offset - previous.offset) * scale };
  });
}

function remarksOf(pairing: Pairing, jumps: readonly Jump[], driftPpm: number, uncertaintyPpm: number): string[] {
  const remarks: string[] = [];
  const rate = pairing.sound.source.sampleRate;
  for (const jump of jumps) {
    const at = jump.after / pairing.scratch.source.sampleRate;
    const until = jump.before / pairing.scratch.source.sampleRate;
    const size = Math.abs(jump.samples);
    remarks.push(
      `Between ${at.toFixed(1)} s and ${until.toFixed(1)} s of the scratch the sound ${jump.samples > 0 ? 'runs on by' : 'falls back by'} ${size.toFixed(0)} samples (${((size / rate) * 1000).toFixed(1)} ms): one of the two lost samples or was restarted.`,
    );
  }
  if (pairing.stretch !== 1) {
    remarks.push(
      `The sound runs ${(Math.abs(driftPpm) / 10000).toFixed(2)} % ${driftPpm > 0 ? 'slow' : 'fast'} against the scratch when both are played by their labels: a 0.1 % pull.`,
    );
  }
  if (uncertaintyPpm > 20) remarks.push('The overlap is too short to tell the drift of the clocks.');
  return remarks;
}

function inSoundSamples(pairing: Pairing, offset: number): number {
  return (offset * pairing.sound.source.sampleRate) / pairing.rate;
}

/** Share of clear stretches that agree, times how far their number is beyond chance. */
function confidenceOf(test: PlaceTest): number {
  const agreeing = test.windows.filter((window) => window.agrees).length;
  const share = agreeing / Math.max(1, test.windows.length);
  return Math.sqrt(share) * (1 - Math.min(1, test.chance) ** 0.25);
}
