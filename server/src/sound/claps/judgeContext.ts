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
/** Strikes in the neighbourhood, itself not counted, that make a series. */
const SERIES_OTHERS = 2;

export function judgeInContext(strikes: readonly HeardStrike[], facts: RecordingFacts): Judgement[] {
  const loudest = strikes.reduce((most, strike) => (strike.own.score >= 0.5 ? Math.max(most, strike.energy) : most), 0);
  return strikes.map((strike, index) => {
    const likeBefore = alikeAround(strikes, index, -1, facts.sampleRate);
    const likeAfter = alikeAround(strikes, index, 1, facts.sampleRate);
    const belowLoudest = 10 * Math.log10(Math.max(loudest, strike.energy) / strike.energy);
    const aboveSpeech = 10 * Math.log10((strike.energy + 1e-14) / (facts.loudEnergy + 1e-14));
    return weigh([
      { factor: strike.own.score, objection: strike.own.objection ?? '' },
      {
        factor: likeBefore + likeAfter >= SERIES_OTHERS ? 0.1 : 1,
        objection: `it is one of ${likeBefore + likeAfter + 1} strikes alike within about a second: steps, keys, drums or applause`,
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

/** Strikes of about the same strength in a chain to one side, no gap longer than a series allows. */
function alikeAround(strikes: readonly HeardStrike[], index: number, direction: 1 | -1, sampleRate: number): number {
  const strike = strikes[index] as HeardStrike;
  let count = 0;
  let last = strike.sample;
  for (let other = index + direction; other >= 0 && other < strikes.length; other += direction) {
    const neighbour = strikes[other] as HeardStrike;
    if (Math.abs(neighbour.sample - last) > SERIES_SECONDS * sampleRate) break;
    if (Math.abs(10 * Math.log10(neighbour.energy / strike.energy)) > SERIES_LIKENESS_DB) continue;
    if (neighbour.measure.riseDb < 14 || likeness(neighbour.measure, strike.measure) < SERIES_LIKENESS) continue;
    count += 1;
    last = neighbour.sample;
    if (count >= SERIES_OTHERS) break;
  }
  return count;
}

function likeness(left: StrikeMeasure, right: StrikeMeasure): number {
  return left.octaves.reduce((sum, share, octave) => sum + Math.min(share, right.octaves[octave] ?? 0), 0);
}
