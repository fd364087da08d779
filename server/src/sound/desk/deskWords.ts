/**
 * The clap desk in sentences: where the sound lies, how sure that is, and what it changes. Rendering only.
 */

import { amountInFrames, amountInSamples, amountOfTime } from '../../core/text/words.ts';
import type { Rate } from '../../core/time/rate.ts';
import { compare, formatExactDecimal, isZero, type Rational, sign, toNumber, ZERO } from '../../core/time/rational.ts';
import type { FrameReading } from '../clapLog/contactInterval.ts';
import type { DeskPlacement } from './deskPlacement.ts';

/** What the eye can have seen, as a choice; the first is the plain one. */
export const READING_WORDS: readonly (readonly [FrameReading, words: string])[] = [
  ['first-closed', 'the first frame with the hands together'],
  ['contact', 'the frame in which they meet'],
  ['blur', 'the frame with the blur of the meeting'],
  ['first-showing-closed', 'the first frame that shows them together at all'],
  ['sharp-closed', 'the first sharp frame together, after a sharp one apart'],
];

/** Readings whose interval is narrower where the shutter angle is known. */
export function asksForShutter(reading: FrameReading): boolean {
  return reading !== 'contact' && reading !== 'first-closed';
}

/** 'Frame 133 falls on sample 1234567.25.' */
export function placeWords({ frame, sample }: DeskPlacement, label: string | null): string {
  const timecode = label === null ? '' : ` (${label})`;
  return `The start of frame ${shortDecimal(frame)}${timecode} is heard at sample ${shortDecimal(sample)}.`;
}

/** How far the sound may really lie from its place, and whether the rule of the trade still holds. */
export function limitWords({ uncertaintyEarly, uncertaintyLate, movedByHand, isDoubtKnown }: DeskPlacement): string {
  if (!isDoubtKnown) return 'How sure this is, the report does not say.';
  const lag = `The sound can lag by up to ${amountOfTime(uncertaintyLate)}`;
  const lead = isZero(uncertaintyEarly) ? 'and not lead' : `and lead by up to ${amountOfTime(uncertaintyEarly)}`;
  const warning =
    compare(movedByHand, ZERO) < 0 && !isZero(uncertaintyEarly)
      ? ' It was moved earlier by hand than what was seen allows: better a lag than a lead.'
      : '';
  return `${lag} ${lead}.${warning}`;
}

/** What the change does to what is heard; `later` in seconds, see `heardLater`. */
export function changeWords(later: Rational, rate: Rate, sampleRate: Rate): string {
  if (isZero(later)) return 'This is where the report has it.';
  const amount = `${amountOfTime(later)} (${amountInFrames(later, rate)}, ${amountInSamples(later, sampleRate)})`;
  return `Heard ${amount} ${sign(later) > 0 ? 'later' : 'earlier'} than by the report.`;
}

/** '9.172 s', '1:02:09.172': a place in a recording. */
export function clockWords(seconds: number): string {
  const thousandths = Math.round(seconds * 1000);
  const [hours, minutes] = [Math.floor(thousandths / 3_600_000), Math.floor(thousandths / 60_000) % 60];
  const rest = ((thousandths % 60_000) / 1000).toFixed(3);
  if (hours === 0 && minutes === 0) return `${rest} s`;
  const padded = rest.padStart(6, '0');
  return hours === 0 ? `${minutes}:${padded}` : `${hours}:${String(minutes).padStart(2, '0')}:${padded}`;
}

/** At most four decimals: what is written is exact, what is read need not be. */
function shortDecimal(value: Rational): string {
  const exact = formatExactDecimal(value);
  return exact !== null && exact.replace(/^[^.]*\.?/, '').length <= 4 ? exact : toNumber(value).toFixed(4);
}
