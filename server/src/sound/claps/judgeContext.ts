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
}

export interface RecordingFacts {
  readonly sampleRate: number;
  readonly sampleCount: number;
  /** Mean square difference that one hop in fifty exceeds: the sharp part of the loudest speech. */
  readonly loudEnergy: number;
}

const SERIES_SECONDS = 1.1;
const SERIES_LIKENESS_DB = 8;
/** Share of their spectra that two strikes of one series have in common. */
const SERIES_LIKENESS = 0.4;
/** A series keeps a pace: one gap is not this many times the next. */
const SERIES_UNEVENNESS = 4;

export function judgeInContext(strikes: readonly HeardStrike[], facts: RecordingFacts): Judgement[] {
  const loudest = strikes.reduce((most, strike) => (strike.own.score >= 0.5 ? Math.max(most, strike.energy) : most), 0);
  return strikes.map((strike, index) => {
    const belowLoudest = 10 * Math.log10(Math.max(loudest, strike.energy) / strike.energy);
    const aboveSpeech = 10 * Math.log10((strike.energy + 1e-14) / (facts.loudEnergy + 1e-14));
    return weigh([
      { factor: strike.own.score, objection: strike.own.objection ?? '' },
      {
        factor: isInSeries(strikes, index, facts.sampleRate) ? 0.1 : 1,
        objection: 'it is one of several strikes alike at an even pace: steps, keys, drums or applause',
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
function isInSeries(strikes: readonly HeardStrike[], index: number, sampleRate: number): boolean {
  const own = (strikes[index] as HeardStrike).sample;
  const before = alike(strikes, index, -1, sampleRate);
  const after = alike(strikes, index, 1, sampleRate);
  const around = [...before.reverse(), own, ...after];
  return around.some((sample, place) => {
    const middle = around[place + 1];
    const last = around[place + 2];
    if (middle === undefined || last === undefined) return false;
    const gaps = [middle - sample, last - middle];
    const longest = Math.max(...gaps);
    return longest <= SERIES_SECONDS * sampleRate && longest <= SERIES_UNEVENNESS * Math.min(...gaps);
  });
}

/** The two nearest strikes to one side that are about as strong and sound about the same, nearest first. */
function alike(strikes: readonly HeardStrike[], index: number, direction: 1 | -1, sampleRate: number): number[] {
  const strike = strikes[index] as HeardStrike;
  const found: number[] = [];
  for (let other = index + direction; other >= 0 && other < strikes.length && found.length < 2; other += direction) {
    const neighbour = strikes[other] as HeardStrike;
    if (Math.abs(neighbour.sample - strike.sample) > 2 * SERIES_SECONDS * sampleRate) break;
    if (Math.abs(10 * Math.log10(neighbour.energy / strike.energy)) > SERIES_LIKENESS_DB) continue;
    if (neighbour.measure.riseDb < 14 || likeness(neighbour.measure, strike.measure) < SERIES_LIKENESS) continue;
    found.push(neighbour.sample);
  }
  return found;
}

function likeness(left: StrikeMeasure, right: StrikeMeasure): number {
  return left.octaves.reduce((sum, share, octave) => sum + Math.min(share, right.octaves[octave] ?? 0), 0);
}
