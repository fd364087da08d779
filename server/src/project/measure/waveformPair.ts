/**
 * From a match of scratch sound with a recording to the line of a report.
 *
 * Sound was compared with sound. The picture comes in through the container, which says when the first frame and the first sample are
 * presented; and the air comes in if somebody says how far the camera stood, for what the camera heard was late by the way. What it
 * heard late makes the sound lag, so taking the air out moves the sound earlier: the same frame gets a later sample.
 *
 * Drift goes into the report when it is larger than its own uncertainty. If not, the take was too short to tell; the line then is
 * laid level through its best known point, the middle of what was compared, and the uncertainty grows towards the ends.
 */

import type { PairData } from '../../core/alignment/reportText.ts';
import { multiply, type Rational, rational, toNumber } from '../../core/time/rational.ts';
import { airDelaySeconds } from '../../sound/air.ts';
import type { SoundMatch } from '../../sound/delay/match.ts';
import { longestPiece, type PieceOfTake } from './longestPiece.ts';
import type { MeasuredPair } from './measurement.ts';
import { measuredNote } from './notes.ts';
import type { OpenPicture, OpenScratch, OpenSound } from './openRecordings.ts';
import { decimalOf, roundedUp, significantDecimal } from './significance.ts';

export interface WaveformInput {
  readonly picture: OpenPicture;
  readonly pictureKey: string;
  readonly scratch: OpenScratch;
  readonly sound: OpenSound;
  readonly soundKey: string;
  readonly match: SoundMatch;
  /** Metres from the source to the camera's microphone; null when nobody said. */
  readonly microphoneMetres: Rational | null;
}

/** A hundredth of a sample at 48 kHz is 0.2 microseconds, well below any uncertainty. */
const SAMPLE_PLACES = 2;
const PPM = 1e-6;

export function waveformPair(input: WaveformInput): MeasuredPair {
  const { picture, scratch, sound, microphoneMetres } = input;
  const scratchRate = scratch.sampleRate;
  const soundRate = sound.source.sampleRate;
  const piece = longestPiece(input.match, soundRate / scratchRate);
  const { match } = piece;
  const rate = toNumber(picture.rate);
  const isDriftKnown = Math.abs(match.driftPpm) > match.driftPpmUncertainty;
  const drift = isDriftKnown ? significantDecimal(match.driftPpm, match.driftPpmUncertainty) : rational(0);
  const ratio = soundRate / scratchRate;
  const middle = middleOf(piece);
  const atMiddle = match.offsetSamples + middle * ratio * (1 + match.driftPpm * PPM);
  const scratchAtFrame = (frame: number): number => (frame / rate - toNumber(scratch.start)) * scratchRate;
  const air = microphoneMetres === null ? 0 : airDelaySeconds(toNumber(microphoneMetres)) * soundRate;
  const sampleAtFrame = (frame: number): number =>
    atMiddle + (scratchAtFrame(frame) - middle) * ratio * (1 + toNumber(drift) * PPM) + air;
  const frame = anchorFrame(piece, sound, sampleAtFrame, (at) => (at / scratchRate + toNumber(scratch.start)) * rate);
  const distance = Math.abs(scratchAtFrame(frame) - middle) / scratchRate;
  const slopeDoubt = (match.driftPpmUncertainty + (isDriftKnown ? 0 : Math.abs(match.driftPpm))) * PPM;
  const doubt = match.uncertaintySamples / soundRate + distance * slopeDoubt + toNumber(scratch.startUncertainty);
  const uncertainty = roundedUp(doubt, 6);
  const data: PairData = {
    picture: input.pictureKey,
    sound: input.soundKey,
    frame: rational(frame),
    sample: decimalOf(sampleAtFrame(frame), SAMPLE_PLACES),
    driftPpm: drift,
    uncertainty: { early: uncertainty, late: uncertainty },
    by: 'waveform',
    clap: null,
    note: measuredNote(noteFacts(input)),
  };
  return {
    data,
    confidence: match.confidence,
    remarks: [...remarksOf(input, isDriftKnown), ...match.remarks],
    waveform: {
      match,
      scratchStart: multiply(scratch.start, rational(scratchRate)),
      scratchRate,
      airSamples: decimalOf(air, SAMPLE_PLACES),
    },
  };
}

/** Scratch samples: the middle of the windows that lie on the line, where the line is known best. */
function middleOf({ windows, start, end }: PieceOfTake): number {
  if (windows.length === 0) return (start + end) / 2;
  return windows.reduce((sum, { scratchSample }) => sum + scratchSample, 0) / windows.length;
}

/**
 * The frame that the report names: the first one, where people look, if sound and picture both run then; else the first whole frame
 * for which both do. After a jump, the first whole frame of the piece that the numbers are about.
 */
function anchorFrame(
  { match, start, end }: PieceOfTake,
  { source }: OpenSound,
  sampleAtFrame: (frame: number) => number,
  frameAtScratch: (sample: number) => number,
): number {
  const isInside = (frame: number): boolean => sampleAtFrame(frame) >= 0 && sampleAtFrame(frame) < source.sampleCount;
  if (start === match.overlap.start && isInside(0)) return 0;
  const last = Math.floor(frameAtScratch(end));
  let frame = Math.max(0, Math.ceil(frameAtScratch(start)));
  while (frame < last && !isInside(frame)) frame += 1;
  return frame;
}

function noteFacts({ match, microphoneMetres, sound, scratch }: WaveformInput): readonly string[] {
  const facts: string[] = [];
  if (microphoneMetres !== null) {
    const metres = toNumber(microphoneMetres);
    facts.push(`${trimmed(metres, 2)} m of air taken out (${trimmed(airDelaySeconds(metres) * 1000, 1)} ms)`);
  } else facts.push('as the camera heard it, late by the air between: about 2.9 ms for each metre');
  if (match.polarity === -1) facts.push('polarity inverted');
  if (match.pull !== null) facts.push(`0.1 % pull (${match.pull.ratio})`);
  const soundRate = sound.source.sampleRate;
  const seconds = (sample: number): string => trimmed(sample / scratch.sampleRate, 1);
  for (const { samples, after, before } of match.jumps) {
    const size = Math.abs(samples);
    facts.push(
      `jump of ${trimmed(size, 1)} samples (${trimmed((size / soundRate) * 1000, 1)} ms) between ${seconds(after)} s and ${seconds(before)} s of the camera's sound`,
    );
  }
  return facts;
}

function remarksOf({ match }: WaveformInput, isDriftKnown: boolean): readonly string[] {
  const remarks: string[] = [];
  if (match.polarity === -1) remarks.push('One of the two is upside down (polarity inverted); that does not move it.');
  if (!isDriftKnown) {
    remarks.push(`The clocks agree as far as this take can tell: any drift is below ${largestDrift(match)} parts per million.`);
  }
  return remarks;
}

/** What may be there unseen, rounded up to a tenth. */
function largestDrift({ driftPpm, driftPpmUncertainty }: SoundMatch): string {
  return trimmed(Math.max(0.1, Math.ceil(10 * (driftPpmUncertainty + Math.abs(driftPpm))) / 10), 1);
}

function trimmed(value: number, places: number): string {
  return String(Number(value.toFixed(places)));
}
