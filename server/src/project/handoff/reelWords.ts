/**
 * How a reel came about, in words: for the sheet, and, shorter and without commas, for the coding history in the file itself.
 */

import type { PlannedReel } from '../../core/handoff/reelPlan.ts';
import { amountOfTime, countOf, listInWords } from '../../core/text/words.ts';
import { countToSeconds, type Rate } from '../../core/time/rate.ts';
import { isZero, maximum, type Rational, rational, toNumber, ZERO } from '../../core/time/rational.ts';
import { driftText } from '../../core/views/pairText.ts';
import { hasTimecode, numberText, timecodeText } from '../../core/views/timeText.ts';
import type { ReelLayout } from '../../sound/reel/reel.ts';
import { ZERO_CROSSINGS } from '../../sound/reel/sincKernel.ts';
import type { TimedPiece } from './reelPieces.ts';

export interface ReelWording {
  readonly reel: PlannedReel;
  readonly layout: ReelLayout;
  readonly pieces: readonly TimedPiece[];
  /** In samples: drift up to this over a piece is left in. */
  readonly threshold: Rational;
}

/** 'cam-a-01 with deck-01', 'the whole of cut.otio'. */
export function reelOf({ picture, pieces, timelines, lane }: PlannedReel): string {
  if (picture !== null) return `${picture.key} with ${pieces[0]?.pair.sound.key ?? 'nothing'}`;
  const sounds = [...new Set(pieces.map(({ pair }) => pair.sound.key))];
  const which = lane === 1 ? '' : `, recording ${lane} of each picture`;
  return `the whole of ${timelines[0]?.path ?? ''}${which}: ${listInWords(sounds)}`;
}

/** Timecode of the reel's first sample. */
export function reelStart({ startFrame, rate, isDropFrame }: PlannedReel): string {
  const frame = startFrame ?? ZERO;
  return hasTimecode(rate) ? timecodeText(frame, rate, isDropFrame) : `frame ${numberText(frame)}`;
}

/** Sentences for the sheet. `clippedCount`: samples held at full scale. */
export function reelSentences(wording: ReelWording, clippedCount: number): readonly string[] {
  const { reel, layout, pieces } = wording;
  return [
    ...timingSentences(wording),
    ...silenceSentences(pieces, reel.sampleRate),
    ...(clippedCount === 0 ? [] : [`${clippedCount} samples went past full scale and were held there.`]),
    `${layout.format.validBits} bit${layout.format.encoding === 'float' ? ' float' : ''}, ${layout.channelCount} ch.`,
    ...reel.remarks,
  ];
}

function timingSentences({ reel, layout, pieces, threshold }: ReelWording): readonly string[] {
  const resampled = pieces.filter(({ isResampled }) => isResampled);
  const copied = pieces.filter(({ isResampled }) => !isResampled);
  const [only] = pieces;
  const sentences: string[] = [];
  if (reel.kind === 'picture' && only !== undefined) {
    const drift = driftText(only.planned.pair.driftPpm);
    const amount = `${countOf(only.driftSamples, 'sample')} of drift over the reel`;
    if (only.isResampled)
      sentences.push(`The recorder ran ${drift ?? 'at another pace'}: ${amount} were taken out. ${howResampled(layout)}`);
    else {
      sentences.push(
        `The recording bit for bit from its sample ${numberText(only.from)}, ${errorWords(only.largestError, reel.sampleRate)}.`,
      );
      if (drift !== null)
        sentences.push(`Its ${amount} are no more than the threshold of ${countOf(threshold, 'sample')} and were left in.`);
    }
    return sentences;
  }
  if (copied.length > 0) {
    const worst = copied.map(({ largestError }) => largestError).reduce(maximum);
    sentences.push(
      `${piecesInWords(copied.length)} ${copied.length === 1 ? 'is' : 'are'} the recording bit for bit, ${errorWords(worst, reel.sampleRate)}.`,
    );
  }
  if (resampled.length > 0)
    sentences.push(
      `${piecesInWords(resampled.length)} had drift taken out or came at another sample rate. ${howResampled(layout)}`,
    );
  return sentences;
}

function piecesInWords(count: number): string {
  return count === 1 ? '1 piece' : `${count} pieces`;
}

function howResampled({ format }: ReelLayout): string {
  const rounding = format.encoding === 'float' ? '' : `, rounded to ${format.validBits} bits with triangular dither`;
  return `Windowed sinc of ${2 * ZERO_CROSSINGS} weights${rounding}.`;
}

function errorWords(error: Rational, sampleRate: Rate): string {
  return isZero(error)
    ? 'to the sample'
    : `nowhere more than ${toNumber(error).toFixed(2)} samples off (${amountOfTime(countToSeconds(error, sampleRate))})`;
}

function silenceSentences(pieces: readonly TimedPiece[], sampleRate: Rate): readonly string[] {
  const total = (side: 'silentHead' | 'silentTail'): number => pieces.reduce((sum, piece) => sum + piece[side], 0);
  const words = (count: number): string => amountOfTime(countToSeconds(rational(count), sampleRate));
  return [
    ...(total('silentHead') === 0 ? [] : [`Silent for ${words(total('silentHead'))} before the recording begins.`]),
    ...(total('silentTail') === 0 ? [] : [`Silent for ${words(total('silentTail'))} after the recording ends.`]),
  ];
}

/** What the coding history says: steps, the program in front. */
export function historySteps({ reel, layout, pieces, threshold }: ReelWording, by: string, names: string): readonly string[] {
  const limit = `threshold ${countOf(threshold, 'sample')}`;
  const drifting = pieces.filter(({ isResampled }) => isResampled);
  const steps = [by, `sync reel of ${names}`];
  const [only] = pieces;
  if (reel.kind === 'picture' && only !== undefined && drifting.length === 0) {
    const left = isZero(only.driftSamples) ? 'no drift' : `drift of ${numberText(only.driftSamples)} samples left in (${limit})`;
    steps.push(`bit for bit from sample ${numberText(only.from)}`, left);
  } else if (reel.kind === 'picture' && only !== undefined) {
    steps.push(
      `recorder ${driftText(only.planned.pair.driftPpm)?.replace(/, (.*)$/, ' ($1)') ?? 'at another pace'}`,
      `${numberText(only.driftSamples)} samples of drift taken out (${limit})`,
    );
  } else {
    steps.push(
      `${piecesInWords(pieces.length - drifting.length)} bit for bit`,
      `${piecesInWords(drifting.length)} resampled (${limit})`,
    );
  }
  if (drifting.length > 0) {
    steps.push(`windowed sinc ${2 * ZERO_CROSSINGS} weights Kaiser`);
    if (layout.format.encoding === 'integer') steps.push(`triangular dither to ${layout.format.validBits} bit`);
  }
  // Commas part the fields of a coding history.
  return steps.map((step) => step.replaceAll(/(\d),(?=\d)/g, '$1'));
}
