/**
 * What a match by waveform says of the rows of a clap log: which clap a row means, and whether its frame can be right.
 *
 * A match places every clap of the sound in the picture to a small part of a frame. A frame read by eye is an interval; the two agree
 * where the clap falls into it.
 */

import { amountOfTime } from '../../core/text/words.ts';
import { divide, rational, toNumber } from '../../core/time/rational.ts';
import type { ClapFit, HeardClap, SeenClap } from '../../sound/clapLog/assignClaps.ts';
import { contactInterval } from '../../sound/clapLog/contactInterval.ts';
import type { MeasuredPair } from './measurement.ts';
import type { OpenSound } from './openRecordings.ts';
import type { LoggedClap } from './seenClaps.ts';

/** A camera farther away than ten metres would have been told: the air may put a match late by as much. */
const UNTOLD_AIR_SECONDS = 0.03;
/** Frames that no eye tells. */
const ROOM_FRAMES = 0.1;
const MILLION = 1e6;

export interface WaveformCandidate {
  readonly sound: OpenSound;
  /** Null where the two do not match. */
  readonly waveform: MeasuredPair | null;
  readonly claps: readonly HeardClap[];
}

/** The row with sound and clap filled in, where exactly one clap of a matching sound falls into its frame. */
export function decidedByWaveform(clap: LoggedClap, candidates: readonly WaveformCandidate[]): SeenClap {
  const { seen } = clap;
  if (seen.clapNumber !== null) return seen;
  for (const { sound, waveform, claps } of candidates) {
    if (waveform === null || (seen.sound !== null && seen.sound !== sound.label)) continue;
    const fitting = claps.flatMap(({ sample }, index) => (framesBeside(waveform, clap, sound, sample) === 0 ? [index + 1] : []));
    const [only, ...others] = fitting;
    if (only !== undefined && others.length === 0) return { ...seen, sound: sound.label, clapNumber: only };
  }
  return seen;
}

/** A sentence for people; null when match and row agree. */
export function objectionTo(waveform: MeasuredPair, fit: ClapFit, clap: LoggedClap, sound: OpenSound): string | null {
  const beside = framesBeside(waveform, clap, sound, toNumber(fit.placement.sample));
  if (beside === 0) return null;
  const frames = Number(Math.abs(beside).toFixed(1));
  const time = amountOfTime(divide(rational(Math.round(Math.abs(beside) * 1000), 1000), clap.seen.rate));
  const side = beside > 0 ? 'after' : 'before';
  return `By the camera's own sound clap ${fit.clap} of ${sound.name} falls ${frames} frames (${time}) ${side} the frame in which the hands are said to meet. The report holds the camera's own sound. Look at the frame again; if it is right, picture and sound of this camera do not run together.`;
}

/** Frames by which a clap at `sample` lies beside those in which the row lets it lie: above 0 after them, 0 inside. */
function framesBeside({ data, waveform }: MeasuredPair, { seen }: LoggedClap, { source }: OpenSound, sample: number): number {
  const rate = toNumber(seen.rate);
  const perFrame = (source.sampleRate / rate) * (1 + toNumber(data.driftPpm) / MILLION);
  const frame = toNumber(data.frame) + (sample - toNumber(data.sample)) / perFrame;
  const interval = contactInterval(seen.reading, seen.rate, seen.shutterDegrees);
  const room = ROOM_FRAMES + (data.uncertainty === null ? 0 : toNumber(data.uncertainty.late) * rate);
  // What the camera heard late, the match puts late into the picture.
  const air = waveform !== null && toNumber(waveform.airSamples) === 0 ? UNTOLD_AIR_SECONDS * rate : 0;
  const earliest = toNumber(seen.frame) + toNumber(interval.earliest) * rate - room;
  const latest = toNumber(seen.frame) + toNumber(interval.latest) * rate + room + air;
  return frame < earliest ? frame - earliest : frame > latest ? frame - latest : 0;
}
