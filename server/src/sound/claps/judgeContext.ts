/**
 * What the rest of the recording says about each strike: series, loudness against the others and against speech, and place.
 *
 * One slate clap stands alone. Three strikes alike within a second or so are steps, keys, drums or applause, whatever each of
 * them sounds like. Claps made for several cameras are alike too, but apart: nobody walks from camera to camera in a second.
 */

import { type Judgement, ramp, weigh } from './judgeStrike.ts';
import type { StrikeMeasure } from './measureStrike.ts';

/** One strike with what is known before the whole recording is heard. */
export interface HeardStrike {
  /** Sample of the edge in the recording. */
  readonly sample: number;
  readonly crossing: number;
  readonly channel: number;
  readonly measure: StrikeMeasure;
  readonly own: Judgement;
  /** Mean square difference at its loudest. */
  readonly energy: number;
  /** Other strikes near it, of whatever kind, by sample. */
  readonly around: readonly Neighbour[];
}

/** What is kept of every strike, those not worth measuring included: a series is one even if no member of it is a clap. */
export interface Neighbour {
  readonly sample: number;
  readonly energy: number;
  /** Null where it was not measured. */
  readonly octaves: readonly number[] | null;
}

/** Strikes further away than this are no neighbours. */
export const NEIGHBOUR_SECONDS = 1.5;

export interface RecordingFacts {
  readonly sampleRate: number;
  readonly sampleCount: number;
  /** Mean square difference that one hop in fifty exceeds: the sharp part of the loudest speech. */
  readonly loudEnergy: number;
}

const SERIES_SECONDS = 0.75;
const SERIES_LIKENESS_DB = 8;
/** Share of their spectra that two strikes of one series have in common. */
const SERIES_LIKENESS = 0.4;
/** A series keeps a pace: one gap is not this many times the next. */
const SERIES_UNEVENNESS = 4;

export function judgeInContext(strikes: readonly HeardStrike[], facts: RecordingFacts): Judgement[] {
  const loudest = strikes.reduce((most, strike) => (strike.own.score >= 0.5 ? Math.max(most, strike.energy) : most), 0);
  const highest = strikes.reduce(
    (most, strike) => (strike.own.score >= 0.5 ? Math.max(most, strike.measure.edge.peak) : most),
    0,
  );
  return strikes.map((strike) => {
    const belowHighest = 20 * Math.log10(Math.max(highest, strike.measure.edge.peak) / strike.measure.edge.peak);
    const belowLoudest = 10 * Math.log10(Math.max(loudest, strike.energy) / strike.energy);
    const aboveSpeech = 10 * Math.log10((strike.energy + 1e-14) / (facts.loudEnergy + 1e-14));
    return weigh([
      { factor: strike.own.score, objection: strike.own.objection ?? '' },
      {
        factor: isInSeries(strike, facts.sampleRate) ? 0.1 : 1,
        objection: 'it is one of several strikes alike at an even pace: steps, keys, drums or applause',
      },
      {
        factor: ramp(-belowHighest, -15, -9),
        objection: `its peak is ${belowHighest.toFixed(0)} dB below that of the clearest clap of the recording`,
      },
      {
        factor: ramp(-belowLoudest, -21, -11),
        objection: `it is ${belowLoudest.toFixed(0)} dB weaker than the clearest clap of the recording`,
      },
      {
        factor: ramp(aboveSpeech, -12, -3),
        objection: `it is ${Math.abs(aboveSpeech).toFixed(0)} dB below the sharpest sounds of the rest of the recording`,
      },
    ]);
  });
}

/** True when the strike and two neighbours, on either side or around it, are alike and evenly spaced. */
function isInSeries(strike: HeardStrike, sampleRate: number): boolean {
  const alike = strike.around.filter((neighbour) => isAlike(neighbour, strike));
  const before = alike.filter((neighbour) => neighbour.sample < strike.sample).slice(-2);
  const after = alike.filter((neighbour) => neighbour.sample > strike.sample).slice(0, 2);
  const places = [...before.map((one) => one.sample), strike.sample, ...after.map((one) => one.sample)];
  return places.some((sample, place) => {
    const middle = places[place + 1];
    const last = places[place + 2];
    if (middle === undefined || last === undefined) return false;
    const gaps = [middle - sample, last - middle];
    const longest = Math.max(...gaps);
    return longest <= SERIES_SECONDS * sampleRate && longest <= SERIES_UNEVENNESS * Math.min(...gaps);
  });
}

/** About as strong, and sounding about the same as far as that was measured. */
function isAlike(neighbour: Neighbour, strike: HeardStrike): boolean {
  if (Math.abs(10 * Math.log10(neighbour.energy / strike.energy)) > SERIES_LIKENESS_DB) return false;
  return neighbour.octaves === null || likeness(neighbour.octaves, strike.measure.octaves) >= SERIES_LIKENESS;
}

function likeness(left: readonly number[], right: readonly number[]): number {
  return left.reduce((sum, share, octave) => sum + Math.min(share, right[octave] ?? 0), 0);
}
